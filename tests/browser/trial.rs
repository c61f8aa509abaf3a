//! A trial in the bay.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, send, visits},
    support::Running,
};

fn next(trial: &Value) -> &Value {
    &trial["hitting_order"]["next"]
}

fn hit(service: &Running, trial: &Value, number: u32) {
    let club = next(trial)["club"].as_str().unwrap();
    let [launch, spin] = if club == "4u" { [13.6, 4_150.0] } else { [16.8, 5_240.0] };
    send(
        service,
        "POST",
        "/v1/shots",
        &json!({
            "id": format!("t{number}"), "source": "bay-3", "time": format!("2026-04-11T11:{number:02}:00Z"),
            "player": "rowan", "club": club, "lie": "mat", "ball": "range-b",
            "launch": {"ball_speed_mps": 51.8, "launch_angle_deg": launch, "spin_rate_rpm": spin},
            "flight": {"carry_m": 158.0 + f64::from(number % 3), "origin": "tracked"},
        }),
    );
}

#[test]
fn it_is_opened_says_what_to_hit_follows_and_can_be_paused_and_closed() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..2);
    browser.go("/players/rowan/trials");
    browser.type_into("[name=name]", "Winter");
    browser.choose("[name=incumbent]", "5h");
    browser.choose("[name=candidate-0]", "4u");
    browser.choose("[name=lies]", "mat");
    browser.choose("[name=ball]", "range-b");
    browser.type_into("[name=visit_shots]", "20");
    browser.click("button[type=submit]");
    browser.until("the trial opens", "return document.querySelector('#next')");
    let listed = ask(&service, "/v1/players/rowan/trials");
    let id = listed["items"][0]["id"].as_str().unwrap().to_owned();
    let path = format!("/v1/players/rowan/trials/{id}");
    browser.run("window.marked = true");
    for number in 0..12 {
        let before = ask(&service, &path);
        hit(&service, &before, number);
        let now = ask(&service, &path);
        let turn = next(&now);
        let name = if turn["club"] == "4u" { "4-utility" } else { "5-hybrid" };
        browser.shows("#next", name);
        let balls = turn["balls"].as_u64().unwrap();
        browser.shows(".balls", &format!("{balls} {}", if balls == 1 { "ball" } else { "balls" }));
        browser.shows("#sentence", now["standings"][0]["words"].as_str().unwrap());
    }
    assert_eq!(browser.run("return window.marked"), true, "the page was loaded anew");
    browser.look("trial");
    browser.click("button[data-key=paused]");
    browser.shows(".big", "Paused");
    assert_eq!(ask(&service, &path)["state"], "paused");
    browser.click("button[data-key=open]");
    browser.until("it goes on", "return document.querySelector('#next')");
    browser.click("button[data-key=closed]");
    browser.shows(".big", "Closed");
    assert_eq!(ask(&service, &path)["state"], "closed");
    browser.close();
}

#[test]
fn what_another_device_does_to_it_shows_without_a_shot() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    let trial = json!({"incumbent": "5h", "candidates": ["4u"]});
    send(&service, "POST", "/v1/players/rowan/trials", &trial);
    let listed = ask(&service, "/v1/players/rowan/trials");
    let id = listed["items"][0]["id"].as_str().unwrap().to_owned();
    browser.go(&format!("/players/rowan/trials/{id}"));
    browser.until("it says what to hit", "return document.querySelector('#next')");
    browser.run("window.marked = true");
    let path = format!("/v1/players/rowan/trials/{id}");
    for (state, big) in [("paused", "Paused"), ("open", ""), ("closed", "Closed")] {
        send(&service, "PATCH", &path, &json!({"state": state}));
        if big.is_empty() {
            browser.until("it goes on", "return document.querySelector('#next')");
        } else {
            browser.shows(".big", big);
        }
    }
    assert_eq!(browser.run("return window.marked"), true, "the page was loaded anew");
    browser.close();
}

#[test]
fn a_brief_that_cannot_be_is_refused_at_its_field() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    browser.go("/players/rowan/trials");
    browser.choose("[name=incumbent]", "5h");
    browser.choose("[name=candidate-0]", "4u");
    browser.click("summary");
    browser.type_into("[name=carry_margin_m]", "900");
    browser.click("button[type=submit]");
    let told = browser.until("the fault shows", "return document.querySelector('[name=carry_margin_m] ~ .fault:not([hidden])')?.textContent");
    assert!(told.as_str().unwrap().len() > 10, "{told}");
    assert_eq!(browser.run("return document.activeElement.name"), "carry_margin_m");
    assert_eq!(ask(&service, "/v1/players/rowan/trials")["items"], json!([]));
    let logged = browser.errors();
    assert!(logged.iter().all(|line| line.contains("422")), "{logged:?}");
    browser.close();
}
