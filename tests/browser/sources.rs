//! Sources: who hits there, and shots that wait.

use serde_json::json;

use crate::{
    browser::Browser,
    season::{ask, bag, send, unassigned, visits},
    support::Running,
};

/// What a selector finds in the section of bay-7.
fn there(selector: &str) -> String {
    format!(".source:nth-of-type(2) {selector}")
}

const ASSIGN: &str = "button[data-key='assign bay-7']";

#[test]
fn what_was_typed_after_a_dry_run_is_tried_again() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    for id in ["1", "2"] {
        unassigned(&service, id);
    }
    browser.go("/sources");
    browser.shows("h3", "2 shots wait for a player and a club");
    let form = there("form[aria-label='Assign the shots that wait at bay-7']");
    browser.type_into(&format!("{form} [name=player]"), "rowan");
    browser.type_into(&format!("{form} [name=club]"), "5h");
    browser.click(&format!("{form} button[type=submit]"));
    let offered =
        format!("const sure = document.querySelector(\"{ASSIGN}\").parentElement; return");
    browser.until("it can be assigned", &format!("{offered} !sure.hidden"));
    browser.type_into(&format!("{form} [name=last]"), "1");
    browser.until("it cannot, untried", &format!("{offered} sure.hidden"));
    browser.click(&format!("{form} button[type=submit]"));
    browser.until("one is found", "return document.querySelector('main').textContent.includes('finds 1 shot and would change 1')");
    browser.click(ASSIGN);
    browser.shows("h3", "1 shot waits for a player and a club");
    assert_eq!(ask(&service, "/v1/shots?unassigned=true")["items"][0]["event"]["id"], "1");
    browser.close();
}

#[test]
fn shots_that_wait_are_given_to_somebody_after_a_dry_run() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    for id in ["1", "2", "3"] {
        unassigned(&service, id);
    }
    browser.go("/sources");
    browser.shows("h3", "3 shots wait for a player and a club");
    browser.look("sources");
    let form = there("form[aria-label='Assign the shots that wait at bay-7']");
    browser.type_into(&format!("{form} [name=player]"), "rowan");
    browser.type_into(&format!("{form} [name=club]"), "5h");
    browser.click(&format!("{form} button[type=submit]"));
    browser.until("the dry run tells", "return document.querySelector('main').textContent.includes('finds 3 shots and would change 3')");
    assert_eq!(ask(&service, "/v1/shots?unassigned=true")["items"].as_array().unwrap().len(), 3);
    // A shot that comes meanwhile leaves what was typed, what was tried, and where the keyboard is.
    browser.run_with("document.querySelector(arguments[0]).focus()", &json!([ASSIGN]));
    unassigned(&service, "4");
    browser.shows("h3", "4 shots wait for a player and a club");
    let typed = format!("{form} [name=club]");
    let typed =
        browser.run_with("return document.querySelector(arguments[0]).value", &json!([typed]));
    assert_eq!(typed, "5h");
    assert!(browser.text("main").contains("finds 3 shots and would change 3"));
    let focused = browser.run("return document.activeElement.dataset.key");
    assert_eq!(focused, "assign bay-7");
    browser.click(ASSIGN);
    browser.until("none waits", "return !document.querySelector('h3')");
    browser.until(
        "it is told",
        "return document.querySelector('main').textContent.includes('4 shots were assigned')",
    );
    let kept = ask(&service, "/v1/shots?source=bay-7");
    assert!(kept["items"].as_array().unwrap().iter().all(|item| item["club"] == "5h"), "{kept}");
    browser.close();
}

#[test]
fn what_depends_on_the_clock_follows_it() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    unassigned(&service, "1");
    browser.go("/sources");
    let clock = |time: &str| browser.run(&format!("Date.now = () => Date.parse('{time}')"));
    for (time, said) in [
        ("2026-04-11T10:15:05Z", "Alive. Last shot 5 seconds ago"),
        ("2026-04-11T10:24:00Z", "Alive. Last shot 9 minutes ago"),
        ("2026-04-11T10:26:00Z", "Quiet. Last shot 11 minutes ago"),
    ] {
        clock(time);
        let script =
            format!("return document.querySelector('main').textContent.includes('{said}')");
        browser.until(said, &script);
    }
    browser.close();
}

#[test]
fn only_a_table_is_taken_back_as_a_whole() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    unassigned(&service, "1");
    // One table was sent into a bay, where a device had sent a shot; the other is a source of its own.
    for (name, source) in [("spring", "bay-7"), ("range", "range")] {
        let columns = json!({"n": "/id", "hit": "/time", "carry": "/flight/carry_m"});
        let mapping = json!({"name": name, "columns": columns, "set": {"source": source}});
        send(&service, "PUT", &format!("/v1/csv-mappings/{name}"), &mapping);
    }
    send(&service, "PUT", "/v1/sources/range", &json!({"name": "range"}));
    browser.go("/sources");
    browser.shows("h3", "1 shot waits for a player and a club");
    let folds = "return [...document.querySelectorAll('details[data-key^=aside]')].map((fold) => fold.dataset.key)";
    assert_eq!(browser.run(folds), json!(["aside range"]));
    browser.close();
}

#[test]
fn what_a_source_hits_is_set_and_what_else_was_set_stays() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    unassigned(&service, "1");
    send(&service, "PUT", "/v1/sources/bay-7/context", &json!({"altitude_m": 1_480}));
    browser.go("/sources");
    browser.click(&there("details[data-key='context bay-7'] summary"));
    let form = there("form[aria-label='Who hits at bay-7']");
    browser.type_into(&format!("{form} [name=player]"), "rowan");
    browser.type_into(&format!("{form} [name=club]"), "4u");
    browser.choose(&format!("{form} [name=lie]"), "mat");
    // A shot that comes meanwhile does not wipe out what was typed.
    unassigned(&service, "2");
    browser.shows("h3", "2 shots wait for a player and a club");
    browser.click(&format!("{form} button[type=submit]"));
    browser.until("it is told", "return document.querySelector('main').textContent.includes('What comes now is rowan, 4u, mat.')");
    let context = ask(&service, "/v1/sources/bay-7/context");
    assert_eq!((&context["club"], &context["altitude_m"]), (&json!("4u"), &json!(1_480.0)));
    browser.close();
}
