//! What a shot has the page ask: what it changed and can be seen, and no more.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, send, unassigned, visits},
    support::Running,
};

const BAYS: [&str; 6] = ["bay-1", "bay-2", "bay-3", "bay-4", "bay-5", "bay-6"];

/// The clock's own questions are no shot's.
const NO_CLOCK: &str = "const every = window.setInterval; \
    window.setInterval = (run, wait) => (wait < 10000 ? every(run, wait) : 0);";

/// A shot of one of several players in one of several bays.
fn hit(service: &Running, bay: usize, id: &str) {
    let player = ["rowan", "sasha", "toni"][bay % 3];
    let shot = json!({
        "id": id, "source": BAYS[bay], "time": format!("2026-04-11T10:1{bay}:00Z"), "player": player, "club": "5h", "flight": {"carry_m": 158.3},
    });
    send(service, "POST", "/v1/shots", &shot);
}

/// Questions about shots and the catalogue; whether the service is well is asked by the clock.
fn questions(browser: &Browser<'_>) -> Vec<String> {
    browser.asked().into_iter().filter(|path| path.starts_with("/v1/")).collect()
}

/// Waits until the page has been told of all, and has asked what it asks.
fn told(browser: &Browser<'_>, what: &str, script: &str) -> Vec<String> {
    browser.until(what, script);
    // What was begun beside it comes to its end: longer than the slowest part waits between two rounds.
    let settled = "window.asked ??= [performance.getEntriesByType('resource').length, Date.now()]; \
        const now = performance.getEntriesByType('resource').length; \
        if (now !== window.asked[0]) window.asked = [now, Date.now()]; \
        if (Date.now() - window.asked[1] < 2500) return null; delete window.asked; return true";
    browser.until("no more is asked", settled);
    questions(browser)
}

#[test]
fn a_shot_in_one_bay_asks_of_that_bay_alone() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    for bay in 0..BAYS.len() {
        hit(&service, bay, "1");
    }
    browser.go("/sources");
    let all = "return document.querySelectorAll('main .source .quiet').length === 6";
    let first = told(&browser, "all bays show", all);
    assert!(first.len() > BAYS.len(), "{first:?}");
    let shot = json!({
        "id": "2", "source": "bay-2", "time": "2026-04-11T10:20:00Z", "player": "sasha", "club": "4u",
        "flight": {"carry_m": 161.2},
    });
    send(&service, "POST", "/v1/shots", &shot);
    let shown = "return document.querySelector('main').textContent.includes('with 4u of sasha: it carried 161')";
    let asked = told(&browser, "the shot shows", shown);
    assert!(asked.iter().all(|path| path.contains("bay-2")), "{asked:?}");
    assert!((1..=2).contains(&asked.len()), "{asked:?}");
    browser.close();
}

#[test]
fn figures_of_a_bay_are_in_the_reader_s_units() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let shot = json!({
        "id": "1", "source": "bay-2", "time": "2026-04-11T10:20:00Z", "launch": {"ball_speed_mph": 116, "launch_angle_deg": 14},
        "flight": {"carry_yd": 180},
    });
    send(&service, "POST", "/v1/shots", &shot);
    browser.go("/sources");
    let said = |text: &str| {
        let script =
            format!("return document.querySelector('main').textContent.includes('{text}')");
        browser.until(text, &script);
    };
    // 180 yd are 164.592 m, 116 mph are 51.857 m/s, by definition.
    said("it carried 165\u{a0}m.");
    said("52\u{a0}m/s");
    browser.choose("#units", "imperial");
    said("it carried 180\u{a0}yd.");
    said("116\u{a0}mph");
    browser.close();
}

#[test]
fn who_types_where_a_source_is_set_is_left_alone() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    unassigned(&service, "1");
    browser.go("/sources");
    browser.click("details[data-key='context bay-7'] summary");
    let player = "form[aria-label='Who hits at bay-7'] [name=player]";
    browser.type_into(player, "row");
    // Shots, a correction, and a player whom nobody knew.
    unassigned(&service, "2");
    visits(&service, 1..2);
    send(&service, "PUT", "/v1/players/sasha", &json!({"name": "Sasha"}));
    let aside = json!({"set_aside": {"reason": "phone rang"}});
    send(&service, "PATCH", "/v1/shots/bay-7/2", &aside);
    let waits =
        "return document.querySelector('main').textContent.includes('set aside: phone rang')";
    told(&browser, "the correction shows", waits);
    let now = "return [document.activeElement.name, document.activeElement.value, \
        document.activeElement === document.querySelector(arguments[0])]";
    assert_eq!(browser.run_with(now, &json!([player])), json!(["player", "row", true]));
    browser.type_into(player, "an");
    let typed =
        browser.run_with("return document.querySelector(arguments[0]).value", &json!([player]));
    assert_eq!(typed, "rowan");
    browser.close();
}

#[test]
fn a_head_to_head_asks_for_what_is_seen_and_once_for_many_shots() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(NO_CLOCK);
    bag(&service);
    visits(&service, 0..5);
    browser.widen(1_600);
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u");
    let drawn = "const all = [...document.querySelectorAll('figure')]; \
        return all.length === 4 && all.every((one) => !one.hidden && one.ariaBusy !== 'true')";
    let first = told(&browser, "all pictures are drawn", drawn);
    assert_eq!(first.iter().filter(|path| path.contains(".svg")).count(), 4, "{first:?}");
    let far = browser.run("return document.querySelector('figure').getBoundingClientRect().top");
    assert!(far.as_f64().unwrap() > 1_100.0, "the pictures are in view from the start: {far}");
    let picture = "document.querySelector('figure img').src";
    let before = browser.run(&format!("return {picture}"));
    // Forty shots at once.
    visits(&service, 5..6);
    let words = ask(&service, "/v1/players/rowan/replacements?incumbent=5h&candidate=4u");
    let words = &words["candidates"][0]["words"];
    let says = format!("return document.querySelector('#sentence').textContent === {words}");
    let asked = told(&browser, "the verdict follows", &says);
    let verdicts = asked.iter().filter(|path| path.contains("/replacements?")).count();
    assert!((1..=3).contains(&verdicts), "{asked:?}");
    assert!(!asked.iter().any(|path| path.contains(".svg")), "out of sight: {asked:?}");
    assert!(!asked.iter().any(|path| path.contains("conditions=")), "nor weather: {asked:?}");
    assert!(!asked.iter().any(|path| path.contains("/clubs")), "no shot changes them: {asked:?}");
    // What comes into view catches up, once.
    browser.run("document.querySelector('figure').scrollIntoView()");
    let caught_up = told(&browser, "it is drawn anew", &format!("return {picture} !== {before}"));
    let flights = caught_up.iter().filter(|path| path.contains("/flights.svg")).count();
    assert_eq!(flights, 1, "{caught_up:?}");
    let seen: Value = browser.run("return document.querySelector('figure img').alt");
    let told = service.get("/v1/players/rowan/comparisons/flights.svg?incumbent=5h&candidate=4u");
    let finding = told
        .text()
        .split("<desc>")
        .nth(1)
        .unwrap()
        .split("</desc>")
        .next()
        .unwrap()
        .trim()
        .to_owned();
    assert!(seen.as_str().unwrap().contains(&finding), "{seen} lacks: {finding}");
    browser.close();
}
