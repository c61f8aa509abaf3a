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
    browser.click(&format!("{form} button[type=button]"));
    browser.until("none waits", "return !document.querySelector('h3')");
    let kept = ask(&service, "/v1/shots?source=bay-7");
    assert!(kept["items"].as_array().unwrap().iter().all(|item| item["club"] == "5h"), "{kept}");
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
