//! The air that a slot is judged in rests on the shots that the slot rests on.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::Running;

/// One visit: six tracked shots of both clubs at such a temperature, with the candidate's mean carry.
fn visit(service: &Running, day: u32, degrees: f64, carry: f64) {
    let mut lines = String::new();
    for (club, middle) in [("5h", 158.0), ("4u", carry)] {
        for (at, off) in [-4.0, -2.0, -1.0, 1.0, 2.0, 4.0].into_iter().enumerate() {
            let event = json!({
                "id": format!("{day}-{club}-{at}"), "source": "bay-3", "player": "rowan", "club": club,
                "session": format!("visit {day}"), "lie": "mat",
                "time": format!("2026-04-{day:02}T10:{at:02}:00Z"),
                "launch": {"ball_speed_mps": 53.0, "launch_angle_deg": 14.0, "spin_rate_rpm": 4_300},
                "flight": {"carry_m": middle + off, "origin": "tracked"},
                "air": {"temperature_c": degrees},
            });
            writeln!(lines, "{event}").unwrap();
        }
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
}

fn judged(service: &Running) -> Value {
    let slot = "incumbent=5h&candidate=4u&slot_low_m=130&slot_high_m=150";
    let answer = service.get(&format!("/v1/players/rowan/replacements?{slot}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

/// A club was hit in the cold until it moved, and only in the warm since. What the slot rests on is from one
/// air, so that carries stay as they were hit.
#[test]
fn shots_from_before_a_club_moved_have_no_say() {
    let service = Running::start();
    for day in 1..=6 {
        visit(&service, day, 5.0, 158.0);
    }
    for day in 7..=8 {
        visit(&service, day, 5.0, 140.0);
    }
    let drifts = service.get("/v1/players/rowan/drifts?club=4u").json();
    let alarm = &drifts["clubs"][0]["drift"]["alarm"]["session"];
    assert_eq!(alarm, "visit 7", "{drifts:#}");
    for day in 9..=11 {
        visit(&service, day, 30.0, 140.0);
    }
    // The eighth visit is the first after the alarm, and cold: the air of the six shots in it and of eighteen
    // warm ones differs.
    let told = judged(&service);
    assert_eq!((&told["air"], &told["reference_air"]["shots"]), (&json!("reference"), &json!(24)));
    // Without that one all are warm.
    for at in 0..6 {
        let path = format!("/v1/shots/bay-3/8-4u-{at}");
        assert_eq!(
            service.send("PATCH", &path, r#"{"set_aside": {"reason": "another ball"}}"#).status,
            200
        );
    }
    let told = judged(&service);
    assert_eq!((&told["air"], &told["reference_air"]), (&json!("as_hit"), &Value::Null));
}

/// In a trial the air stays that of the day, whatever air its shots come to be from, and the standing says so.
#[test]
fn a_slot_of_a_trial_is_judged_as_hit_and_says_so() {
    let service = Running::start();
    visit(&service, 1, 20.0, 140.0);
    let open = |brief: Value| {
        let trial = json!({"incumbent": "5h", "candidates": ["4u"], "brief": brief});
        let opened = service.send("POST", "/v1/players/rowan/trials", &trial.to_string());
        assert_eq!(opened.status, 201, "{}", opened.text());
        opened.header("location").unwrap().to_owned()
    };
    let slot = open(json!({"slot_low_m": 130, "slot_high_m": 150}));
    visit(&service, 2, 5.0, 140.0);
    visit(&service, 3, 30.0, 140.0);
    assert_eq!(judged(&service)["air"], "reference");
    let standing = service.get(&slot).json();
    assert_eq!(standing["air"], "as_hit");
    let mean = |told: &Value| {
        let criteria = told["criteria"].as_array().unwrap();
        let held = criteria.iter().find(|one| one["name"] == "carry_held").unwrap();
        held["estimate"].as_f64().unwrap()
    };
    let in_trial = mean(&standing["standings"][0]);
    assert!((in_trial - 140.0).abs() < 0.01, "as hit: {in_trial}");
    let said = |standing: &Value| standing["note"].as_str().unwrap().contains("carries as hit");
    assert!(said(&standing), "{}", standing["note"]);
    assert!(!said(&service.get(&open(json!({}))).json()), "without a slot there is nothing to say");
}
