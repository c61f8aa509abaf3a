//! Clubs are chosen by who asks: no form begins with one that nobody named.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, visits},
    support::Running,
};

/// What is chosen now.
fn chosen(browser: &Browser<'_>, name: &str) -> Value {
    let script = format!("return document.querySelector('[name={name}]')");
    browser.until(&format!("{name} can be chosen"), &script);
    browser.run(&format!("{script}.selectedOptions[0].textContent"))
}

/// Waits until a club is asked for at a field.
fn wanted(browser: &Browser<'_>, name: &str) {
    browser.shows(&format!("[name={name}] ~ .fault:not([hidden])"), "Choose a club.");
}

#[test]
fn two_clubs_are_put_head_to_head_only_when_both_are_chosen() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..3);
    browser.go("/players/rowan");
    browser.until("the way there", "return document.querySelector('[data-key=pair]')");
    browser.click("[data-key=pair]");
    for name in ["incumbent", "candidate"] {
        assert_eq!(chosen(&browser, name), "choose");
    }
    browser.click("button[type=submit]");
    wanted(&browser, "incumbent");
    wanted(&browser, "candidate");
    assert_eq!(browser.run("return document.activeElement.name"), "incumbent");
    browser.choose("[name=incumbent]", "5h");
    browser.choose("[name=candidate]", ".");
    browser.click("button[type=submit]");
    browser.shows("h1", "Who takes the place of 5-hybrid?");
    // Who goes on from here begins with what was asked.
    assert_eq!(chosen(&browser, "incumbent"), "5-hybrid (5h)");
    assert_eq!(chosen(&browser, "candidate"), "all neighbours");
    browser.choose("[name=candidate]", "4u");
    browser.click("button[type=submit]");
    browser.shows("h1", "4-utility for 5-hybrid?");
    browser.close();
}

#[test]
fn a_trial_is_opened_only_when_its_club_is_chosen() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    browser.go("/players/rowan/trials");
    assert_eq!(chosen(&browser, "incumbent"), "choose one");
    browser.choose("[name=candidate-0]", "4u");
    browser.click("button[type=submit]");
    wanted(&browser, "incumbent");
    assert_eq!(ask(&service, "/v1/players/rowan/trials")["items"], json!([]));
    browser.close();
}
