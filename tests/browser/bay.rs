//! The bay of a trial: the last ball, and a source that books to another club than the one to hit.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, send, visits},
    support::Running,
};

const CONTEXT: &str = "/v1/sources/bay-7/context";

/// Rowan with all clubs, a trial of two of them, and a bay where nobody has hit yet.
pub(crate) fn trial(service: &Running) -> String {
    bag(service);
    visits(service, 0..1);
    send(service, "PUT", "/v1/sources/bay-7", &json!({"name": "Bay 7"}));
    let trial = json!({"incumbent": "5h", "candidates": ["4u"]});
    let opened = send(service, "POST", "/v1/players/rowan/trials", &trial);
    format!("/players/rowan/trials/{}", opened["id"].as_str().unwrap())
}

/// Sets what bay-7 books to; what it inherits beside the club is the same each time.
pub(crate) fn set(service: &Running, club: &str) {
    let context = json!({
        "player": "rowan", "club": club, "lie": "mat", "ball": "range-b", "place": "indoor",
        "altitude_m": 1_480, "target_bearing_deg": 210,
    });
    send(service, "PUT", CONTEXT, &context);
}

fn next(service: &Running, trial: &str) -> Value {
    ask(service, &format!("/v1{trial}"))["hitting_order"]["next"]["club"].clone()
}

/// One ball in bay-7; what it lacks comes from the context.
pub(crate) fn hit(service: &Running, number: u32, named: &Value) {
    let mut shot = json!({
        "id": format!("b{number}"), "source": "bay-7", "time": format!("2026-04-11T11:{number:02}:00Z"),
        "launch": {"ball_speed_mps": 51.8, "launch_angle_deg": 15.0, "spin_rate_rpm": 4_700},
        "flight": {"carry_m": 160.02, "origin": "tracked"},
    });
    for (member, value) in named.as_object().unwrap() {
        shot[member] = value.clone();
    }
    send(service, "POST", "/v1/shots", &shot);
}

/// Waits until the last ball is told of with these words.
fn last(browser: &Browser<'_>, words: &str) {
    let script = "return document.querySelector('#last-ball')?.textContent.startsWith";
    browser.until(words, &format!("{script}('Last ball: {words}, ')"));
}

fn is_unwarned(browser: &Browser<'_>) {
    browser.until("nothing is warned of", "return !document.querySelector('#booking')");
}

#[test]
fn a_bay_that_books_to_another_club_is_told_of_and_set_right_at_once() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let place = trial(&service);
    set(&service, "5h");
    browser.go(&place);
    browser.until("it says what to hit", "return document.querySelector('#next')");
    browser.run("window.marked = true");
    let mut number = 0;
    while next(&service, &place) == "5h" {
        is_unwarned(&browser);
        number += 1;
        assert!(number < 40, "the other club's turn never comes");
        hit(&service, number, &json!({}));
        last(&browser, "5-hybrid, 160\u{a0}m, from Bay 7");
    }
    browser.shows("#next", "4-utility");
    browser.shows("#booking p", "Bay 7 books what comes to the 5-hybrid.");
    // It is told to who listens, too.
    let aloud = browser.text("#told");
    assert!(aloud.ends_with("Bay 7 books what comes to the 5-hybrid."), "{aloud}");
    // The player hits the club to hit; the bay books it to the other, and that is what is told.
    hit(&service, number + 1, &json!({}));
    let booked = ask(&service, "/v1/shots?order=newest&limit=1");
    assert_eq!(booked["items"][0]["club"], "5h");
    last(&browser, "5-hybrid, 160\u{a0}m, from Bay 7");
    browser.shows("#booking p", "Bay 7 books what comes to the 5-hybrid.");
    assert_eq!(browser.run("return document.querySelectorAll('#booking button').length"), 1);
    browser.look("misbooked");
    let before = ask(&service, CONTEXT);
    browser.click("#booking button");
    is_unwarned(&browser);
    let mut after = ask(&service, CONTEXT);
    assert_eq!(after["club"], "4u");
    for changed in ["club", "as_of"] {
        after[changed] = before[changed].clone();
    }
    assert_eq!(after, before, "what else was set stays");
    hit(&service, number + 2, &json!({}));
    last(&browser, "4-utility, 160\u{a0}m, from Bay 7");
    assert_eq!(browser.run("return window.marked"), true, "the page was loaded anew");
    // 160.02 m are 175 yd, by definition.
    browser.choose("#units", "imperial");
    last(&browser, "4-utility, 175\u{a0}yd, from Bay 7");
    browser.close();
}

#[test]
fn before_the_first_ball_the_bay_where_the_player_is_set_is_looked_at() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let place = trial(&service);
    // Other bays stand otherwise, and book to nobody here.
    send(&service, "PUT", "/v1/sources/bay-8", &json!({"name": "Bay 8"}));
    send(&service, "PUT", "/v1/players/sasha", &json!({"name": "Sasha"}));
    let other = json!({"player": "sasha", "club": "5w"});
    send(&service, "PUT", "/v1/sources/bay-8/context", &other);
    set(&service, "7i");
    browser.go(&place);
    browser.shows("#booking p", "Bay 7 books what comes to the 7-iron.");
    let newest = ask(&service, "/v1/shots?order=newest&limit=1");
    let carry = newest["items"][0]["event"]["flight"]["carry_m"].as_f64().unwrap();
    last(&browser, &format!("5-wood, {carry:.0}\u{a0}m, from bay-3"));
    browser.close();
}

#[test]
fn where_shots_name_their_club_nothing_is_warned_of() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let place = trial(&service);
    set(&service, "7i");
    browser.go(&place);
    browser.shows("#booking p", "Bay 7 books what comes to the 7-iron.");
    let turn = next(&service, &place);
    hit(&service, 1, &json!({"player": "rowan", "club": turn}));
    is_unwarned(&browser);
    let name = if turn == "4u" { "4-utility" } else { "5-hybrid" };
    last(&browser, &format!("{name}, 160\u{a0}m, from Bay 7"));
    is_unwarned(&browser);
    browser.close();
}

#[test]
fn somebody_who_is_set_meanwhile_is_left_there() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    // Nothing tells the page of it.
    browser.prepare("window.setInterval = () => 0");
    let place = trial(&service);
    set(&service, "7i");
    browser.go(&place);
    browser.shows("#booking p", "Bay 7 books what comes to the 7-iron.");
    send(&service, "PUT", "/v1/players/sasha", &json!({"name": "Sasha"}));
    send(&service, "PUT", CONTEXT, &json!({"player": "sasha", "club": "5w"}));
    browser.click("#booking button");
    browser.shows("#booking .fault", "Somebody else is set at Bay 7 now.");
    assert_eq!(ask(&service, CONTEXT)["club"], "5w");
    browser.close();
}
