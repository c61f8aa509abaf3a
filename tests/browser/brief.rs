//! What can be asked of a club beside figures, and how it goes on into a trial.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, visits},
    support::Running,
};

const COMPUTED: &str = "[name=launch_floor_computed]";

/// The only trial of the player, as it was opened.
fn trial(service: &Running) -> Value {
    let listed = ask(service, "/v1/players/rowan/trials");
    let id = listed["items"][0]["id"].as_str().unwrap().to_owned();
    ask(service, &format!("/v1/players/rowan/trials/{id}"))
}

fn with_six_visits() -> Running {
    let service = Running::start();
    bag(&service);
    visits(&service, 0..6);
    service
}

#[test]
fn a_computed_floor_is_asked_for_shown_and_kept_by_a_trial() {
    let service = with_six_visits();
    let Some(browser) = Browser::open(&service) else { return };
    // What a trial's brief has not stays out of it.
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u&air=reference&height=stock");
    browser.until("the form shows", &format!("return document.querySelector('{COMPUTED}')"));
    browser.click("details[data-key=brief] summary");
    browser.click(COMPUTED);
    browser.click("form[aria-label='Choose two clubs'] button[type=submit]");
    browser.until("it is asked", "return location.hash.includes('launch_floor_computed=true')");
    let path =
        "/v1/players/rowan/replacements?incumbent=5h&candidate=4u&launch_floor_computed=true";
    let judged = ask(&service, path)["candidates"][0].clone();
    browser.shows("#sentence", judged["words"].as_str().unwrap());
    let criteria = judged["criteria"].as_array().unwrap();
    let found = criteria.iter().find(|one| one["name"] == "above_computed_floor").unwrap();
    let own = found["estimate"].as_f64().unwrap();
    let floor = found["at_least"].as_f64().unwrap();
    let shown = browser.run(
        "const row = [...document.querySelectorAll('.asked tbody tr')].find((one) => one.textContent.includes('soaked ground')); \
         return [...row.children].slice(0, 3).map((cell) => cell.textContent)",
    );
    let asked =
        format!("Launches at {floor:.1}° or higher, enough for a weak strike on soaked ground");
    assert_eq!(shown, json!([asked, format!("{own:.1}°"), "–"]));
    assert_eq!(browser.run(&format!("return document.querySelector('{COMPUTED}').checked")), true);
    browser.look("computed-floor");
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u&air=reference&height=stock\
         &launch_floor_computed=true&spin_lower_by_rpm=600&lie=mat");
    browser.until("a trial can be opened", "return document.querySelector('[data-key=trial]')");
    browser.click("[data-key=trial]");
    browser.until("the trial opens", "return location.hash.includes('/trials/')");
    let opened = trial(&service);
    let brief = &opened["brief"];
    assert_eq!(
        [&brief["launch_floor_computed"], &brief["spin_lower_by_rpm"], &brief["height"]],
        [&json!(true), &json!(600.0), &json!("stock")],
        "{brief}"
    );
    assert_eq!(opened["lies"], json!(["mat"]));
    browser.close();
}

#[test]
fn a_floor_that_is_given_and_computed_is_refused_at_its_field() {
    let service = with_six_visits();
    let Some(browser) = Browser::open(&service) else { return };
    browser.go("/players/rowan/trials");
    browser.until("the form shows", "return document.querySelector('[name=incumbent]')");
    browser.choose("[name=incumbent]", "5h");
    browser.choose("[name=candidate-0]", "4u");
    browser.click("summary");
    browser.type_into("[name=launch_floor_deg]", "12");
    browser.click(COMPUTED);
    browser.click("button[type=submit]");
    browser.until(
        "the fault shows",
        "return document.querySelector('.field .fault:not([hidden])')?.textContent",
    );
    // The same with the given floor taken away again is a trial.
    browser.run("document.querySelector('[name=launch_floor_deg]').value = ''");
    browser.click("button[type=submit]");
    browser.until("the trial opens", "return location.hash.includes('/trials/')");
    assert_eq!(trial(&service)["brief"]["launch_floor_computed"], true);
    assert!(browser.errors().iter().all(|line| line.contains("422")));
    browser.close();
}
