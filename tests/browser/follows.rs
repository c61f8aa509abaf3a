//! What is shown follows the shots as they come, without a reload, in the words of the API.

use serde_json::json;

use crate::{
    browser::Browser,
    season::{ask, bag, send, visits},
    support::Running,
};

const PAIR: &str = "/v1/players/rowan/replacements?incumbent=5h&candidate=4u";
/// A mark that a reload would wipe off.
const MARK: &str = "window.marked = true";

/// Waits for the sentence, and holds that nothing was loaded anew.
fn says(browser: &Browser<'_>, words: &serde_json::Value) {
    browser.shows("#sentence", words.as_str().unwrap());
    assert_eq!(browser.run("return window.marked"), true, "the page was loaded anew");
}

#[test]
fn the_ladder_follows() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    browser.go("/players/rowan");
    browser.run(MARK);
    for visit in 0..3 {
        visits(&service, visit..visit + 1);
        let ladder = ask(&service, "/v1/players/rowan/ladder");
        says(&browser, &ladder["words"]);
        let carries = "return [...document.querySelectorAll('tbody th')].map((cell) => cell.textContent).join()";
        assert_eq!(browser.run(carries), "5-wood,5-hybrid,6-iron,7-iron");
    }
    browser.close();
}

#[test]
fn the_ladder_shows_the_centres_that_its_sentence_speaks_of() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..3);
    // Two strays, struck as well as any: they move a mean and hardly a centre.
    for id in ["1", "2"] {
        let stray = json!({
            "id": id, "source": "bay-3", "time": format!("2026-04-03T11:0{id}:00Z"), "player": "rowan", "club": "5h",
            "lie": "mat", "ball": "range-b",
            "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 24.0, "spin_rate_rpm": 9_000},
            "flight": {"carry_m": 140.0, "descent_angle_deg": 58.0, "origin": "tracked"},
        });
        send(&service, "POST", "/v1/shots", &stray);
    }
    browser.go("/players/rowan");
    let ladder = ask(&service, "/v1/players/rowan/ladder");
    browser.shows("#sentence", ladder["words"].as_str().unwrap());
    let rung =
        ladder["rungs"].as_array().unwrap().iter().find(|rung| rung["club"] == "5h").unwrap();
    let cells = |kind: &str| {
        let of = |name: &str| rung["metrics"][name][kind].as_f64().unwrap();
        json!([
            format!("{:.0}\u{a0}m", of("carry_m")),
            format!("{:.1}°", of("launch_angle_deg")),
            format!("{:.0}\u{a0}rpm", (of("spin_rate_rpm") / 10.0).round() * 10.0),
            format!("{:.1}°", of("descent_angle_deg")),
        ])
    };
    let shown = browser.run(
        "const row = [...document.querySelectorAll('main tbody tr')].find((one) => one.textContent.startsWith('5-hybrid')); \
         return [1, 3, 4, 5].map((at) => row.children[at].textContent)",
    );
    assert_eq!(shown, cells("centre"));
    for (centre, mean) in
        std::iter::zip(cells("centre").as_array().unwrap(), cells("mean").as_array().unwrap())
    {
        assert_ne!(centre, mean, "the strays move nothing");
    }
    browser.close();
}

#[test]
fn a_browser_that_denies_workers_follows_by_a_stream_of_its_own() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    browser.prepare(
        "window.SharedWorker = class { constructor() { throw new DOMException('', 'SecurityError'); } }",
    );
    bag(&service);
    visits(&service, 0..1);
    browser.go("/players/rowan");
    browser.run(MARK);
    visits(&service, 1..2);
    let ladder = ask(&service, "/v1/players/rowan/ladder");
    browser.shows("td:last-child", &ladder["rungs"][0]["metrics"]["carry_m"]["n"].to_string());
    says(&browser, &ladder["words"]);
    browser.close();
}

#[test]
fn a_head_to_head_follows_to_its_verdict() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..1);
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u");
    browser.run(MARK);
    let mut verdicts = Vec::new();
    for visit in 1..9 {
        visits(&service, visit..visit + 1);
        let candidate = &ask(&service, PAIR)["candidates"][0];
        says(&browser, &candidate["words"]);
        verdicts.push(candidate["verdict"].as_str().unwrap().to_owned());
    }
    assert_eq!(verdicts.last().unwrap(), "replaces", "{verdicts:?}");
    assert!(verdicts.iter().any(|verdict| verdict == "undecided"), "{verdicts:?}");
    // What changed the verdict was said aloud, and nothing else was.
    let proven = &ask(&service, PAIR)["candidates"][0];
    let told = browser.text("#told");
    assert!(told.starts_with("4-utility can take the place of 5-hybrid"), "{told}");
    for lost in proven["given_up"].as_array().unwrap() {
        assert!(browser.text("main").contains(lost["words"].as_str().unwrap()), "{lost}");
    }
    browser.close();
}

#[test]
fn two_clubs_are_chosen_and_a_brief_is_set() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..3);
    browser.go("/players/rowan/head-to-head");
    browser.choose("[name=incumbent]", "5h");
    browser.choose("[name=candidate]", "4u");
    browser.click("summary");
    browser.type_into("[name=launch_lower_by_deg]", "3");
    browser.type_into("[name=spin_lower_by_rpm]", "-5");
    browser.click("button[type=submit]");
    // A brief that cannot be is refused at its field, and nobody is sent away from it.
    browser.until(
        "the fault shows",
        "return document.querySelector('[name=spin_lower_by_rpm] ~ .fault:not([hidden])')",
    );
    assert!(browser.errors().iter().all(|line| line.contains("422")));
    browser.run("document.querySelector('[name=spin_lower_by_rpm]').value = ''");
    browser.click("button[type=submit]");
    browser.shows("h1", "4-utility for 5-hybrid?");
    let judged = ask(&service, &format!("{PAIR}&launch_lower_by_deg=3"));
    browser.shows("#sentence", judged["candidates"][0]["words"].as_str().unwrap());
    assert!(browser.text("main table").contains("Launches lower by 3.0° or more"));
    // The address leads there again.
    let address = browser.run("return location.hash");
    browser.go(address.as_str().unwrap().trim_start_matches('#'));
    browser.shows("#sentence", judged["candidates"][0]["words"].as_str().unwrap());
    browser.close();
}

#[test]
fn page_curl_and_terminal_answer_the_same() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..5);
    let terminal = |arguments: &[&str]| {
        let url = format!("http://{}", service.address);
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_evencarry"));
        let ran =
            program.args(arguments).args(["--url", &url, "--units", "imperial"]).output().unwrap();
        String::from_utf8(ran.stdout).unwrap()
    };
    for (place, question, arguments) in [
        (
            "head-to-head?incumbent=5h&candidate=4u",
            "replacements?incumbent=5h&candidate=4u&",
            &["compare", "rowan", "5h", "4u"][..],
        ),
        ("clubs/5h", "clubs/5h/profile?", &["profile", "rowan", "5h"]),
        ("", "ladder?", &["ladder", "rowan"]),
    ] {
        browser.go(&format!("/players/rowan/{place}"));
        browser.choose("#units", "imperial");
        let answer = ask(&service, &format!("/v1/players/rowan/{question}units=imperial"));
        let judged = if place.starts_with("head") { &answer["candidates"][0] } else { &answer };
        let words = judged["words"].as_str().unwrap();
        browser.shows("#sentence", words);
        let printed = terminal(arguments);
        assert!(printed.contains(words), "{printed}");
    }
    browser.close();
}

#[test]
fn the_same_is_said_in_yards_and_kept_for_the_next_time() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..6);
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u");
    browser.choose("#units", "imperial");
    let imperial = ask(&service, &format!("{PAIR}&units=imperial"));
    browser.shows("#sentence", imperial["candidates"][0]["words"].as_str().unwrap());
    browser.go("/players/rowan/clubs/5h");
    let profile = ask(&service, "/v1/players/rowan/clubs/5h/profile?units=imperial");
    browser.shows("#sentence", profile["words"].as_str().unwrap());
    browser.close();
}

#[test]
fn a_correction_in_another_tab_shows_here() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..2);
    browser.go("/players/rowan/clubs/5h");
    browser.run(MARK);
    send(
        &service,
        "PATCH",
        "/v1/shots/bay-3/5h-1-7",
        &json!({"set_aside": {"reason": "phone rang"}}),
    );
    browser.until(
        "the reason shows",
        "return document.querySelector('main').textContent.includes('set aside: phone rang')",
    );
    let profile = ask(&service, "/v1/players/rowan/clubs/5h/profile");
    says(&browser, &profile["words"]);
    browser.click("button[data-key='bay-3 5h-1-7']");
    browser.until(
        "it counts again",
        "return !document.querySelector('main').textContent.includes('phone rang')",
    );
    let shot = ask(&service, "/v1/shots/bay-3/5h-1-7");
    assert_eq!(shot["set_aside"], serde_json::Value::Null);
    browser.close();
}
