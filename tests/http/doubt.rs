//! Early strikes that pass the mishit screen while it has seen too few, and what they may not prove.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::Running;

/// Visits before the screen looks back, of four shots a club.
const VISITS: u32 = 6;
const SHOTS: u32 = 4;

/// A visit: the candidate launches 1.45° lower, where 1.5° is asked, but for its mishits among the first
/// twenty, every second one, which start 4° lower still. Its smash says so; nobody told the player.
fn visit(service: &Running, day: u32) {
    let mut lines = String::new();
    for shot in 0..SHOTS {
        let struck = (day - 1) * SHOTS + shot;
        for club in ["5h", "4u"] {
            let tried = club == "4u";
            let mishit = tried && struck < 20 && struck.is_multiple_of(2);
            let off = |prime: u32| f64::from((struck * prime + day) % 7) / 3.0 - 1.0;
            let smash = 1.40 + 0.01 * off(3) - if mishit { 0.14 } else { 0.0 };
            let launch = 16.8 + 0.8 * off(2)
                - if tried { 1.45 } else { 0.0 }
                - if mishit { 4.0 } else { 0.0 };
            let spin = 5_200.0 + 250.0 * off(4) - if tried { 1_000.0 } else { 0.0 };
            let event = json!({
                "id": format!("{day}-{shot}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
                "time": format!("2026-04-{day:02}T10:{shot:02}:00+02:00"), "session": format!("day-{day}"),
                "lie": "mat", "ball": "range-b",
                "launch": {"ball_speed_mps": 37.0 * smash, "launch_angle_deg": launch, "spin_rate_rpm": spin},
                "clubhead": {"speed_mps": 37.0, "speed_origin": "measured"},
                "flight": {"carry_m": 158.0 + 6.0 * off(5), "origin": "tracked"},
            });
            writeln!(lines, "{event}").unwrap();
        }
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
}

fn candidate(service: &Running) -> Value {
    let path = "/v1/players/rowan/replacements?incumbent=5h&candidate=4u";
    service.get(path).json()["candidates"][0].clone()
}

#[test]
fn nothing_replaces_by_strikes_that_the_screen_would_not_let_pass_again() {
    let service = Running::start();
    for day in 1..VISITS {
        visit(&service, day);
    }
    assert!(candidate(&service)["doubtful"].is_null(), "the screen has not looked back yet");
    visit(&service, VISITS);
    let judged = candidate(&service);
    assert_eq!(judged["doubtful"], json!({"incumbent": 0, "candidate": 10}), "{judged}");
    let states = judged["criteria"].as_array().unwrap().iter();
    let states: Vec<&str> = states.map(|one| one["state"].as_str().unwrap()).collect();
    assert!(states[..5].iter().all(|state| *state == "met"), "with them all is proven: {judged}");
    assert_eq!(
        (&judged["verdict"], &judged["why"]),
        (&json!("undecided"), &json!("not proven without the doubtful strikes"),)
    );
    let words = judged["until_proof"]["words"].as_str().unwrap();
    let begins = "What is proven is not so without 10 early strikes that look like mishits by now.";
    assert!(words.starts_with(begins), "{words}");
    assert_eq!(judged["family"]["holds"], false);
    // Set aside by hand they are in nobody's way, and the rest says what it says.
    for struck in (0..20).step_by(2) {
        let path = format!("/v1/shots/bay-3/{}-{}-4u", struck / SHOTS + 1, struck % SHOTS);
        let set_aside = service.send("PATCH", &path, r#"{"set_aside": {"reason": "off the toe"}}"#);
        assert_eq!(set_aside.status, 200, "{}", set_aside.text());
    }
    let rest = candidate(&service);
    assert!(rest["doubtful"].is_null(), "{rest}");
    assert_ne!(rest["verdict"], "replaces");
}
