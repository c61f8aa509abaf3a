//! Drifts: whether clubs carry as they did, since when they may not, and by how much.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::Running;

/// Metres in a yard, from the definition.
const YARD: f64 = 0.9144;

fn close(got: &Value, expected: f64) {
    let got = got.as_f64().unwrap();
    assert!((got - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{got} is not {expected}");
}

fn drifts(service: &Running, query: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/drifts{query}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

fn club(service: &Running, club: &str) -> Value {
    let answer = drifts(service, &format!("?club={club}"));
    assert_eq!(answer["clubs"].as_array().unwrap().len(), 1);
    answer["clubs"][0].clone()
}

/// A visit in April: six shots of each of some clubs that carry so far, with a spread of 4 m to either side.
fn visit(service: &Running, day: usize, clubs: &[(&str, f64)]) {
    let mut lines = String::new();
    for (club, carry) in clubs {
        for shot in 0..6_u32 {
            let carry = carry + [-4.0, -2.0, -1.0, 1.0, 2.0, 4.0][shot as usize];
            let event = json!({
                "id": format!("{day}-{club}-{shot}"), "source": "bay-3", "player": "rowan", "club": club,
                "session": format!("visit {day}"), "lie": "mat", "ball": "range-b",
                "time": format!("2026-04-{day:02}T10:{shot:02}:00+02:00"),
                "launch": {"ball_speed_mps": 52.0, "launch_angle_deg": 16.0},
                "flight": {"carry_m": carry, "origin": "tracked"},
            });
            writeln!(lines, "{event}").unwrap();
        }
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
}

/// Visits on the first days of April, each with all of the clubs.
fn visits(service: &Running, days: std::ops::RangeInclusive<usize>, clubs: &[(&str, f64)]) {
    for day in days {
        visit(service, day, clubs);
    }
}

/// The sequence of an independent program in which club A loses 14 yd with its eighth visit.
fn independent() -> Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/statistics_sequences.json");
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let sequences = file["sequences"].as_array().unwrap();
    sequences.iter().find(|sequence| sequence["name"] == "9_drift").unwrap().clone()
}

fn play(service: &Running, events: &[Value]) {
    let mut lines = String::new();
    let mut seen: Vec<&Value> = Vec::new();
    for event in events {
        if !seen.contains(&&event["session"]) {
            seen.push(&event["session"]);
        }
        let shot = json!({
            "id": event["id"], "source": "bay-3", "player": "rowan", "club": event["club"],
            "session": event["session"], "lie": event["lie"],
            "time": format!("2026-04-{:02}T10:00:00+02:00", seen.len()),
            "launch": {"ball_speed_mps": event["ball_speed_mps"], "launch_angle_deg": event["launch_deg"],
                       "spin_rate_rpm": event["spin_rpm"]},
            "clubhead": {"speed_mps": event["head_speed_mps"]},
            "flight": {"carry_yd": event["carry_yd"]},
        });
        writeln!(lines, "{shot}").unwrap();
    }
    assert_eq!(service.stream(&lines).json()["refused"], 0);
}

#[test]
fn scores_alarms_and_what_began_are_those_of_independent_programs() {
    let (service, sequence) = (Running::start(), independent());
    play(&service, sequence["events"].as_array().unwrap());
    let expected = &sequence["after"].as_array().unwrap().last().unwrap()["drift"];
    for name in ["A", "B", "C"] {
        let told = club(&service, name);
        let scores = told["scores"].as_array().unwrap();
        assert_eq!(scores.len(), expected[name]["scores"].as_array().unwrap().len(), "{name}");
        for (got, expected) in scores.iter().zip(expected[name]["scores"].as_array().unwrap()) {
            close(&got["score"], expected.as_f64().unwrap());
        }
        let alarms = scores.iter().filter(|score| score["alarm"] == true).count();
        assert_eq!(alarms, expected[name]["alarms"].as_array().unwrap().len(), "{name}");
    }
    let told = club(&service, "A");
    assert!(told["scores"].as_array().unwrap().iter().all(|score| score["others"] == 2));
    let drift = &told["drift"];
    assert_eq!(
        (&told["state"], &drift["direction"]),
        (&json!("may_have_drifted"), &json!("shorter"))
    );
    // Page's sum by hand: −3.11 leaves 2.11 above a slack of 1, −2.34 brings it to 3.45, above 2.5.
    assert_eq!(
        (&drift["began"]["session"], &drift["alarm"]["session"]),
        (&json!("v8"), &json!("v9"))
    );
    assert_eq!((&drift["began"]["date"], &drift["sessions"]), (&json!("2026-04-08"), &json!(2)));
    close(&told["scores"][2]["shorter"], 3.112_609_045_850_022_4 - 1.0);
    close(&told["scores"][3]["shorter"], 3.112_609_045_850_022_4 + 2.335_812_577_186_332_7 - 2.0);
    // Source: tests/data/drift_amount.py, from the raw carries.
    close(&drift["carry_change_m"]["estimate"], -10.232_564_848_105_174);
    close(&drift["carry_change_m"]["low"], -15.859_242_711_076_1);
    close(&drift["carry_change_m"]["high"], -4.605_886_985_134_25);
    close(&drift["baseline"]["carry_m"], 148.855_176);
    assert_eq!(
        (&drift["baseline"]["sessions"], &drift["baseline"]["shots"]),
        (&json!(5), &json!(30))
    );
    close(&told["scores"][0]["carry_change_m"], 2.410_144_341_710_341_6);
    // The last visit is read when the next one begins; one was read since the alarm.
    assert_eq!((&told["sessions_needed"], &told["baseline"]), (&json!(4), &Value::Null));
}

#[test]
fn a_drift_is_asked_as_a_question_in_the_units_of_the_reader() {
    let (service, sequence) = (Running::start(), independent());
    play(&service, sequence["events"].as_array().unwrap());
    service.send("PUT", "/v1/players/rowan/clubs/A", r#"{"name":"5-hybrid"}"#);
    assert_eq!(
        club(&service, "A")["words"],
        "Has something changed about the 5-hybrid? Since 8 April 2026 it has carried about 10 m less than \
         before, more than the day explains."
    );
    let imperial = drifts(&service, "?club=A&units=imperial")["clubs"][0].clone();
    assert!(imperial["words"].as_str().unwrap().contains("about 11 yd less"), "{imperial}");
    close(&imperial["drift"]["carry_change_yd"]["estimate"], -10.232_564_848_105_174 / YARD);
    let ladder = service.get("/v1/players/rowan/ladder").json();
    for rung in ladder["rungs"].as_array().unwrap() {
        let expected = club(&service, rung["club"].as_str().unwrap())["drift"].clone();
        assert_eq!(rung["drift"], expected, "{}", rung["club"]);
        assert_eq!(rung["drift"].is_null(), rung["club"] != "A");
    }
}

#[test]
fn a_club_is_learnt_for_five_visits_and_then_watched() {
    let service = Running::start();
    let clubs = [("4i", 168.0), ("5h", 158.0)];
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    service.send("PUT", "/v1/players/rowan/clubs/5h", r#"{"name":"5-hybrid"}"#);
    let told = club(&service, "5h");
    assert_eq!((&told["state"], &told["sessions_needed"]), (&json!("learning"), &json!(5)));
    assert_eq!((&told["surface"], &told["scores"]), (&Value::Null, &json!([])));
    // A visit ends when the next one begins.
    for (day, needed) in [(1, 5), (2, 4), (3, 3), (4, 2), (5, 1), (6, 0)] {
        visit(&service, day, &clubs);
        assert_eq!(club(&service, "5h")["sessions_needed"], needed, "after visit {day}");
    }
    let told = club(&service, "5h");
    assert_eq!((&told["state"], &told["surface"]), (&json!("steady"), &json!("mat")));
    assert_eq!(told["ball"], "range-b");
    close(&told["baseline"]["carry_m"], 158.0);
    assert_eq!(
        (&told["baseline"]["shots"], &told["baseline"]["sessions"]),
        (&json!(30), &json!(5))
    );
    assert_eq!(told["baseline"]["from"]["session"], "visit 1");
    assert_eq!(told["baseline"]["to"]["session"], "visit 5");
    // Squares about a visit's mean: 2·(16 + 4 + 1), on 5 degrees of freedom.
    close(&told["baseline"]["carry_sd_m"], (42.0_f64 / 5.0).sqrt());
    visit(&service, 7, &clubs);
    let told = club(&service, "5h");
    close(&told["scores"][0]["carry_m"], 158.0);
    close(&told["scores"][0]["score"], 0.0);
    assert_eq!(
        told["words"],
        "The 5-hybrid carries 158 m as before, as far as 1 visit since its baseline can tell."
    );
}

#[test]
fn what_all_clubs_do_on_a_cold_day_is_no_drift() {
    let service = Running::start();
    visits(&service, 1..=6, &[("4i", 168.0), ("5h", 158.0), ("7i", 138.0)]);
    visits(&service, 7..=12, &[("4i", 158.0), ("5h", 148.0), ("7i", 128.0)]);
    for told in drifts(&service, "")["clubs"].as_array().unwrap() {
        assert_eq!(told["state"], "steady", "{told}");
        close(&told["scores"].as_array().unwrap().last().unwrap()["carry_change_m"], 0.0);
    }
}

#[test]
fn a_steady_club_says_how_far_it_is_from_its_slot() {
    let service = Running::start();
    let with = |carry: f64| [("4i", 168.0), ("5h", carry), ("7i", 138.0)];
    visits(&service, 1..=5, &with(158.0));
    assert_eq!(club(&service, "5h")["from_slot_m"], Value::Null);
    visits(&service, 6..=8, &with(159.0));
    let told = club(&service, "5h");
    assert_eq!(told["state"], "steady");
    // By the formulas of tests/data/drift_amount.py, in yards: two visits of six shots, all clubs alike.
    let shot = 42.0 / 5.0 / (YARD * YARD);
    let (fresh, run) = (shot / 6.0 + 1.5 * 1.5, 1.5 * 1.5);
    let baseline = shot / (5.0 / (1.0 / 6.0 + run / shot));
    let reach = 1.959_963_984_540_054 * (1.5 * fresh / 2.0 + 1.5 * baseline).sqrt() * YARD;
    close(&told["from_slot_m"]["estimate"], 1.0);
    close(&told["from_slot_m"]["low"], 1.0 - reach);
    close(&told["from_slot_m"]["high"], 1.0 + reach);
    assert_eq!(told["from_slot_m"]["inferred"], false);
}

#[test]
fn a_club_that_was_hit_alone_is_said_to_be() {
    let service = Running::start();
    visits(&service, 1..=6, &[("5h", 158.0)]);
    visits(&service, 7..=9, &[("5h", 150.0)]);
    let told = club(&service, "5h");
    let drift = &told["drift"];
    assert_eq!((&drift["sessions"], &drift["alone"]), (&json!(2), &json!(2)));
    close(&drift["carry_change_m"]["estimate"], -8.0);
    let words = told["words"].as_str().unwrap();
    assert!(words.contains("No other club was hit beside it"), "{words}");
    let stated = &drifts(&service, "")["false_alarms"];
    assert!(stated["alone"].as_f64() > stated["beside_others"].as_f64(), "{stated}");
}

#[test]
fn once_learnt_anew_a_club_is_steady_where_it_is_and_the_drift_is_remembered() {
    let service = Running::start();
    let others = [("4i", 168.0), ("7i", 138.0)];
    let with = |carry: f64| [others[0], ("5h", carry), others[1]];
    visits(&service, 1..=6, &with(158.0));
    visits(&service, 7..=15, &with(170.0));
    let told = club(&service, "5h");
    assert_eq!((&told["state"], &told["drift"]), (&json!("steady"), &Value::Null));
    let before = &told["earlier"][0];
    assert_eq!(
        (&before["direction"], &before["began"]["session"]),
        (&json!("longer"), &json!("visit 7"))
    );
    close(&before["baseline"]["carry_m"], 158.0);
    close(&told["baseline"]["carry_m"], 170.0);
    let shown: Vec<bool> = told["scores"]
        .as_array()
        .unwrap()
        .iter()
        .map(|score| score["alarm"].as_bool().unwrap())
        .collect();
    assert_eq!(shown.iter().filter(|alarm| **alarm).count(), 1, "{shown:?}");
    // The other clubs were never in doubt.
    assert_eq!(club(&service, "4i")["earlier"], json!([]));
}

#[test]
fn a_new_build_is_watched_anew_and_a_putter_never() {
    let service = Running::start();
    visits(&service, 1..=8, &[("4i", 168.0), ("5h", 158.0), ("pt", 5.0)]);
    let build =
        json!({"name": "5-hybrid", "builds": [{"from": "2026-04-08", "what": "regripped"}]});
    service.send("PUT", "/v1/players/rowan/clubs/5h", &build.to_string());
    service.send("PUT", "/v1/players/rowan/clubs/pt", r#"{"name":"putter","kind":"putter"}"#);
    let answer = drifts(&service, "");
    let clubs = answer["clubs"].as_array().unwrap();
    let ids: Vec<&str> = clubs.iter().map(|club| club["club"].as_str().unwrap()).collect();
    assert_eq!(ids, ["4i", "5h"]);
    assert_eq!((&clubs[1]["state"], &clubs[1]["build"]), (&json!("learning"), &json!("regripped")));
    assert_eq!(clubs[0]["state"], "steady");
    assert_eq!(drifts(&service, "?club=pt")["clubs"], json!([]));
    let unknown = service.get("/v1/players/rowan/drifts?club=none");
    assert_eq!(
        (unknown.status, &unknown.problem()["errors"][0]["parameter"]),
        (422, &json!("club"))
    );
    assert_eq!(service.get("/v1/players/nobody/drifts").status, 404);
}

#[test]
fn first_visits_of_single_shots_are_followed_until_a_spread_is_seen() {
    let service = Running::start();
    let one = |day: usize, shot: usize, carry: f64| {
        let event = json!({
            "id": format!("{day}-{shot}"), "source": "bay-3", "player": "rowan", "club": "5h",
            "session": format!("visit {day}"), "time": format!("2026-04-{day:02}T10:00:00Z"),
            "flight": {"carry_m": carry},
        });
        assert_eq!(service.send("POST", "/v1/shots", &event.to_string()).status, 201);
    };
    for day in 1..=7 {
        one(day, 0, 158.0);
    }
    // Six visits have ended, and none tells how much the club scatters.
    assert_eq!(club(&service, "5h")["sessions_needed"], 1);
    one(7, 1, 160.0);
    one(8, 0, 158.0);
    let told = club(&service, "5h");
    assert_eq!((&told["state"], &told["baseline"]["sessions"]), (&json!("steady"), &json!(7)));
}

#[test]
fn the_tag_of_drifts_changes_with_what_they_rest_on() {
    let service = Running::start();
    visits(&service, 1..=7, &[("4i", 168.0), ("5h", 158.0)]);
    let path = "/v1/players/rowan/drifts";
    let first = service.get(path);
    let tag = first.header("etag").unwrap().to_owned();
    let again = || service.get_with(path, &format!("If-None-Match: {tag}\r\n")).status;
    assert_eq!(again(), 304);
    let aside = r#"{"set_aside":{"reason":"phone rang"}}"#;
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1-5h-0", aside).status, 200);
    assert_eq!(again(), 200);
    let told = club(&service, "5h");
    assert_eq!(told["baseline"]["shots"], 29);
    assert!(told["baseline"]["carry_m"].as_f64().unwrap() > 158.0);
}
