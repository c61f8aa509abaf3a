//! What was not known when a place was opened: clubs that a shot brings, and what other devices say.

use serde_json::json;

use crate::{
    browser::Browser,
    season::{bag, send, visits},
    support::{Running, wait_until},
};

/// The clock's own questions are not waited for: what shows was told.
const NO_CLOCK: &str = "const every = window.setInterval; \
    window.setInterval = (run, wait) => (wait < 10000 ? every(run, wait) : 0);";
/// The clock's own questions come soon.
const FAST_CLOCK: &str = "const every = window.setInterval; \
    window.setInterval = (run, wait) => every(run, wait < 10000 ? wait : 500);";
/// A mark that a reload would wipe off.
const MARK: &str = "window.marked = true";

fn is_the_same_page(browser: &Browser<'_>) {
    assert_eq!(browser.run("return window.marked"), true, "the page was loaded anew");
}

fn one_club(service: &Running) {
    send(service, "PUT", "/v1/players/rowan", &json!({"name": "Rowan"}));
    let club = json!({"name": "5-hybrid", "kind": "hybrid"});
    send(service, "PUT", "/v1/players/rowan/clubs/5h", &club);
}

fn shot(service: &Running, id: &str, [club, ball]: [&str; 2]) {
    let shot = json!({
        "id": id, "source": "bay-3", "time": "2026-04-11T10:15:00Z", "player": "rowan", "club": club, "ball": ball,
        "flight": {"carry_m": 158.3},
    });
    send(service, "POST", "/v1/shots", &shot);
}

/// Waits until a choice offers a value.
fn offers(browser: &Browser<'_>, name: &str, value: &str) {
    let script = format!(
        "return [...document.querySelectorAll('[name={name}] option')].some((one) => one.value === '{value}')"
    );
    browser.until(&format!("{name} offers {value}"), &script);
}

#[test]
fn a_club_and_a_ball_that_a_shot_brings_can_be_chosen_at_once() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    one_club(&service);
    browser.go("/players/rowan/head-to-head");
    browser.run(MARK);
    browser.shows("main p", "It takes two clubs. Add them in the bag, or send shots of them.");
    shot(&service, "1", ["4u", "range-a"]);
    offers(&browser, "incumbent", "4u");
    offers(&browser, "ball", "range-a");
    is_the_same_page(&browser);
    browser.go("/players/rowan/trials");
    browser.run(MARK);
    offers(&browser, "incumbent", "4u");
    shot(&service, "2", ["7i", "range-b"]);
    offers(&browser, "incumbent", "7i");
    offers(&browser, "ball", "range-b");
    is_the_same_page(&browser);
    browser.close();
}

#[test]
fn what_another_device_says_of_clubs_and_players_shows_before_long() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(FAST_CLOCK);
    one_club(&service);
    browser.go("/players/rowan/head-to-head");
    browser.run(MARK);
    browser.shows("main p", "It takes two clubs. Add them in the bag, or send shots of them.");
    let club = json!({"name": "4-utility", "kind": "utility"});
    send(&service, "PUT", "/v1/players/rowan/clubs/4u", &club);
    offers(&browser, "candidate", "4u");
    is_the_same_page(&browser);
    browser.go("/players/rowan/clubs/4u");
    browser.shows("h1", "4-utility");
    let renamed = json!({"name": "Old utility", "kind": "utility"});
    send(&service, "PUT", "/v1/players/rowan/clubs/4u", &renamed);
    browser.shows("h1", "Old utility");
    browser.go("/");
    browser.shows(".doors a", "Rowan");
    send(&service, "PUT", "/v1/players/sasha", &json!({"name": "Sasha"}));
    browser.shows(".doors a", "Sasha");
    browser.close();
}

#[test]
fn a_source_says_who_is_set_there_when_its_shot_comes() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    one_club(&service);
    shot(&service, "1", ["5h", "range"]);
    browser.go("/sources");
    browser.shows(".source p", "Nobody is set here: what names no player waits.");
    let context = json!({"player": "rowan", "club": "5h"});
    send(&service, "PUT", "/v1/sources/bay-3/context", &context);
    shot(&service, "2", ["5h", "range"]);
    browser.shows(".source p", "What comes now is rowan, 5h.");
    browser.close();
}

fn opened(service: &Running) -> String {
    let trial = json!({"incumbent": "5h", "candidates": ["4u"]});
    let told = send(service, "POST", "/v1/players/rowan/trials", &trial);
    format!("/v1/players/rowan/trials/{}", told["id"].as_str().unwrap())
}

/// Waits until the list of trials says this of the only one.
fn listed(browser: &Browser<'_>, state: &str) {
    let script = format!(
        "return document.querySelector('.doors li')?.textContent.includes(' {state}, opened')"
    );
    browser.until(&format!("the list says {state}"), &script);
}

#[test]
fn the_list_of_trials_follows_what_another_device_does() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    bag(&service);
    visits(&service, 0..1);
    browser.go("/players/rowan/trials");
    browser.run(MARK);
    browser.until("the form shows", "return document.querySelector('[name=incumbent]')");
    browser.type_into("[name=name]", "Winter");
    let path = opened(&service);
    listed(&browser, "open");
    for state in ["paused", "open", "closed"] {
        send(&service, "PATCH", &path, &json!({ "state": state }));
        listed(&browser, state);
    }
    assert_eq!(browser.run("return document.querySelector('[name=name]').value"), "Winter");
    is_the_same_page(&browser);
    browser.close();
}

#[test]
fn a_trial_follows_where_its_stream_is_refused() {
    // The stream of shots takes the only place.
    let service = Running::adjusted(|service| service.limits.streams = 1);
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    bag(&service);
    visits(&service, 0..1);
    let path = opened(&service);
    browser.go(path.strip_prefix("/v1").unwrap());
    browser.run(MARK);
    browser.until("it says what to hit", "return document.querySelector('#next')");
    send(&service, "PATCH", &path, &json!({"state": "paused"}));
    browser.shows(".big", "Paused");
    send(&service, "PATCH", &path, &json!({"state": "closed"}));
    browser.shows(".big", "Closed");
    is_the_same_page(&browser);
    assert!(browser.errors().iter().all(|line| line.contains("429")));
    browser.close();
}

/// How many follow the live stream.
fn readers(service: &Running) -> u32 {
    let page = service.get("/metrics");
    let told = page.text().lines().find_map(|line| line.strip_prefix("evencarry_live_readers "));
    told.unwrap().parse().unwrap()
}

#[test]
fn a_refused_stream_of_trials_is_taken_up_when_there_is_a_place() {
    let service = Running::adjusted(|service| {
        service.limits.streams = 2;
        // By its second comment the service knows that a client is gone.
        service.limits.heartbeat_time = std::time::Duration::from_millis(50);
    });
    let Some(browser) = Browser::open(&service) else { return };
    // A page of its own, which looks never and tries again soon.
    browser.prepare(
        "window.SharedWorker = undefined; window.setInterval = () => 0; const later = window.setTimeout; \
         window.setTimeout = (run, wait) => later(run, wait < 60000 ? wait : 3000);",
    );
    bag(&service);
    visits(&service, 0..1);
    let path = opened(&service);
    let mut other = service.connect();
    other.send(b"GET /v1/live HTTP/1.1\r\nHost: localhost\r\n\r\n");
    wait_until("another follows", || readers(&service) == 1);
    browser.go(path.strip_prefix("/v1").unwrap());
    browser.until("it says what to hit", "return document.querySelector('#next')");
    wait_until("no place is left", || readers(&service) == 2);
    drop(other);
    wait_until("the other is gone", || readers(&service) == 1);
    wait_until("its place is taken", || readers(&service) == 2);
    send(&service, "PATCH", &path, &json!({"state": "paused"}));
    browser.shows(".big", "Paused");
    assert!(browser.errors().iter().all(|line| line.contains("429")));
    browser.close();
}

#[test]
fn tabs_share_the_stream_of_a_player_s_trials() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    let path = opened(&service);
    browser.go(path.strip_prefix("/v1").unwrap());
    browser.until("it says what to hit", "return document.querySelector('#next')");
    wait_until("both streams are there", || readers(&service) == 2);
    // What two more tabs would be told: one shows the same player's trials, one shows none.
    browser.run(
        "window.told = ['rowan', null].map((player) => { \
           const heard = []; \
           const { port } = new SharedWorker('/page/worker.js', { name: 'evencarry', type: 'module' }); \
           port.addEventListener('message', ({ data }) => heard.push(data.player ?? null)); \
           port.start(); \
           port.postMessage({ trialsOf: player }); \
           return heard; })",
    );
    browser.until("they are heard", "return window.told.every((heard) => heard.length === 1)");
    send(&service, "PATCH", &path, &json!({"state": "paused"}));
    browser.shows(".big", "Paused");
    browser.until("the second is told", "return window.told[0].includes('rowan')");
    assert_eq!(browser.run("return window.told[1].includes('rowan')"), false);
    assert_eq!(readers(&service), 2, "one stream of shots, one of trials");
    browser.close();
}
