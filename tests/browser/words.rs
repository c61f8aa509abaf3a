//! What the page says of its own accord beside the answers' sentences: that it adds up, and is said once.

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, bag, send, visits},
    support::Running,
};

/// Some shots of a club from another lie, off a tee.
fn teed(service: &Running, club: &str, shots: u32) {
    for shot in 0..shots {
        let event = json!({
            "id": format!("tee-{club}-{shot}"), "source": "bay-3", "time": format!("2026-04-20T10:0{shot}:00Z"),
            "player": "rowan", "club": club, "lie": "tee", "ball": "range-b",
            "launch": {"ball_speed_mps": 52.0 + f64::from(shot) / 10.0, "launch_angle_deg": 16.0, "spin_rate_rpm": 5_000},
            "flight": {"carry_m": 159.0 + f64::from(shot), "origin": "tracked"},
        });
        send(service, "POST", "/v1/shots", &event);
    }
}

#[test]
fn shots_that_figures_leave_out_are_counted_and_said() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    send(
        &service,
        "PUT",
        "/v1/players/rowan/clubs/d",
        &json!({"name": "Driver", "kind": "wood", "loft_deg": 10}),
    );
    visits(&service, 0..2);
    teed(&service, "5h", 3);
    teed(&service, "d", 4);
    let aside = json!({"set_aside": {"reason": "phone rang"}});
    send(&service, "PATCH", "/v1/shots/bay-3/5h-1-7", &aside);
    browser.go("/players/rowan/clubs/5h");
    let profile = ask(&service, "/v1/players/rowan/clubs/5h/profile");
    let count = |name: &str| profile[name].as_u64().unwrap();
    assert_eq!((count("shots"), count("counted"), count("set_aside")), (19, 15, 1));
    browser.shows(
        "p.quiet",
        "Of 19 shots these are left out: 1 set aside; 3 from another lie, with another ball, meant \
         otherwise, or hit before the club was changed.",
    );
    // A club that was not hit from where the others were has no carry on the ladder: that is said.
    browser.go("/players/rowan");
    let ladder = ask(&service, "/v1/players/rowan/ladder");
    let words = ladder["words"].as_str().unwrap();
    let said =
        "Driver has no shot off the mat with ball range-b that counts, and so no place here.";
    assert!(words.contains(said), "{words}");
    browser.shows("#sentence", words);
    browser.shows("caption", "Carries off the mat with ball range-b, the longest first");
    browser.close();
}

#[test]
fn a_verdict_has_one_plan_and_says_what_its_figures_are() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    let pair = "/v1/players/rowan/replacements?incumbent=5h&candidate=4u";
    let judged = ask(&service, pair);
    assert!(
        judged["advice"].is_object() && judged["candidates"][0]["next"].is_object(),
        "two plans"
    );
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u");
    browser.shows(".advice", judged["advice"]["words"].as_str().unwrap());
    let other = judged["candidates"][0]["next"]["words"].as_str().unwrap();
    assert!(!browser.text("main").contains(other), "{other}");
    visits(&service, 0..6);
    let judged = ask(&service, pair);
    browser.shows("#sentence", judged["candidates"][0]["words"].as_str().unwrap());
    let criteria = judged["candidates"][0]["criteria"].as_array().unwrap();
    let spread = criteria.iter().find(|one| one["name"] == "spread_held").unwrap();
    let row = browser.run(
        "return [...[...document.querySelectorAll('main tbody tr')].at(-1).children].map((cell) => cell.textContent)",
    );
    assert_eq!(row[0], "Its carry is not proven to scatter more than that of 5-hybrid");
    assert_eq!(row[1], format!("{:.2} times as much", spread["estimate"].as_f64().unwrap()));
    browser.close();
}

#[test]
fn weather_is_told_kind_by_kind_and_a_sheet_says_up_to_when() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..4);
    let compared =
        ask(&service, "/v1/players/rowan/comparisons?incumbent=5h&candidate=4u&conditions=true");
    let lines: Vec<&str> = compared["conditions"]["words"].as_str().unwrap().split('\n').collect();
    assert!(lines.len() > 4, "{lines:?}");
    for place in ["head-to-head", "sheet"] {
        browser.go(&format!("/players/rowan/{place}?incumbent=5h&candidate=4u"));
        for line in &lines {
            browser.shows("main li", line);
        }
    }
    let told = browser.text("main p.quiet:last-child");
    assert!(told.contains("Rowan last hit a shot on 4 Apr 2026,"), "{told}");
    assert!(!told.contains("as of shot"), "{told}");
    browser.close();
}

#[test]
fn a_trial_is_opened_from_a_head_to_head_under_the_brief_that_was_typed() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    bag(&service);
    visits(&service, 0..2);
    browser.go("/players/rowan/head-to-head?incumbent=5h&candidate=4u");
    browser.click("summary[data-key=brief], details[data-key=brief] summary");
    browser.type_into("[name=launch_lower_by_deg]", "2,5");
    browser.click("form[aria-label='Choose two clubs'] button[type=submit]");
    browser.until(
        "the brief is asked",
        "return document.querySelector('main table')?.textContent.includes('lower by 2.5°')",
    );
    browser.click("button[data-key=trial]");
    browser.until("the trial opens", "return document.querySelector('#next')");
    let trials = ask(&service, "/v1/players/rowan/trials");
    let id = trials["items"][0]["id"].as_str().unwrap();
    let trial = ask(&service, &format!("/v1/players/rowan/trials/{id}"));
    let brief = &trial["brief"];
    assert_eq!(brief["launch_lower_by_deg"], Value::from(2.5), "{trial:#}");
    browser.close();
}
