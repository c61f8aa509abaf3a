//! What is wrong with the service shows on the page, and no more than is wrong.

use std::sync::atomic::Ordering::SeqCst;

use serde_json::json;

use crate::{
    browser::Browser,
    season::{bag, send, visits},
    support::{
        failing_disk::{self, UNREADABLE},
        wait_until,
    },
};

#[test]
fn shots_that_are_kept_though_nobody_is_told_are_not_called_lost() {
    let (service, failures) = failing_disk::service();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    browser.go("/players/rowan");
    assert_eq!(browser.text(".trouble"), "", "all is well at first");
    failures.reads.store(true, SeqCst);
    let shot = json!({
        "id": "1", "source": "bay-3", "time": "2026-04-11T10:15:00Z", "player": "rowan", "club": "5h",
        "flight": {"carry_m": 158.3}, "ext": {"note": UNREADABLE},
    });
    send(&service, "POST", "/v1/shots", &shot);
    wait_until("nobody is told", || service.get("/readyz").status == 503);
    browser.go("/players/rowan");
    let told = browser
        .until("the trouble shows", "return document.querySelector('.trouble')?.textContent");
    let told = told.as_str().unwrap();
    assert!(told.starts_with("Shots are kept, but this page may not follow them"), "{told}");
    assert!(!told.contains("not taken"), "{told}");
    assert!(browser.errors().iter().all(|line| line.contains("503")));
    browser.close();
}

#[test]
fn shots_that_are_not_taken_are_said_to_be_not_taken() {
    let (service, failures) = failing_disk::service();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    failures.syncs.store(true, SeqCst);
    assert_eq!(service.send("PUT", "/v1/players/sasha", r#"{"name":"Sasha"}"#).status, 503);
    browser.go("/players/rowan");
    let told = browser
        .until("the trouble shows", "return document.querySelector('.trouble')?.textContent");
    let told = told.as_str().unwrap();
    assert!(told.starts_with("Shots are not taken now: nothing is stored"), "{told}");
    assert!(browser.errors().iter().all(|line| line.contains("503")));
    browser.close();
}
