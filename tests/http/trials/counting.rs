//! What counts for a trial.

use std::sync::Arc;

use evencarry::store::{Home, MemoryDisk, MemoryTables};
use serde_json::{Value, json};

use super::bay::{ball, open, patch, prepare, prepared, send, standing, visit};
use crate::support::{Running, clock};

fn left_out(standing: &Value, reason: &str) -> u64 {
    let all = standing["left_out"].as_array().unwrap();
    let of_reason = all.iter().find(|left| left["reason"] == reason);
    of_reason.map_or(0, |left| left["shots"].as_u64().unwrap())
}

fn shots(standing: &Value) -> [u64; 2] {
    ["incumbent", "candidate"].map(|club| standing["shots"][club].as_u64().unwrap())
}

#[test]
fn only_what_arrives_after_the_opening_and_not_in_a_pause_counts() {
    let service = prepared();
    send(&service, visit(1, 10));
    let trial = open(&service, &json!({}));
    send(&service, visit(2, 9));
    patch(&service, &trial, &json!({"state": "paused"}));
    send(&service, visit(2, 12).skip(18));
    let paused = standing(&service, &trial);
    assert_eq!(shots(&paused), [9, 9]);
    patch(&service, &trial, &json!({"state": "open"}));
    send(&service, visit(3, 8));
    let now = standing(&service, &trial);
    assert_eq!(shots(&now), [17, 17]);
    assert_eq!((left_out(&now, "before_opening"), left_out(&now, "paused")), (20, 6));
    assert_eq!(now["sessions"], 2);
    let replaced = service.get("/v1/players/rowan/replacements?incumbent=5h&candidate=4u").json();
    assert_eq!(shots(&replaced["candidates"][0]), [30, 30], "a question counts all of them");
}

#[test]
fn a_closed_trial_stands_still_and_goes_on_when_it_is_opened_again() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, visit(1, 10));
    let before = standing(&service, &trial);
    patch(&service, &trial, &json!({"state": "closed", "reason": "bought it"}));
    send(&service, visit(2, 20));
    let closed = standing(&service, &trial);
    for same in ["verdict", "criteria", "shots", "outlook", "more_shots", "run_effect"] {
        assert_eq!(closed[same], before[same], "{same}");
    }
    patch(&service, &trial, &json!({"state": "open"}));
    send(&service, visit(3, 1));
    assert_eq!(shots(&standing(&service, &trial)), [11, 11]);
}

/// A service that comes back with what it had.
struct Restarted {
    disk: Arc<MemoryDisk>,
    tables: Arc<MemoryTables>,
}

impl Restarted {
    fn start(&self) -> Running {
        let (disk, tables) = (self.disk.clone(), self.tables.clone());
        Running::at_home(Home { disk, tables, ..Home::in_memory(clock()) }, |_| {})
    }
}

#[test]
fn shot_by_shot_through_pauses_and_restarts_the_verdict_is_that_of_all_at_once() {
    let home = Restarted { disk: Arc::default(), tables: Arc::default() };
    let balls: Vec<Value> = (1..=4)
        .flat_map(|number| visit(number, 12).chain([ball("7i", number, 0), ball("4i", number, 0)]))
        .collect();
    let at_once = prepared();
    let expected = open(&at_once, &json!({"candidates": ["4u", "4i"]}));
    send(&at_once, balls.iter().cloned());

    let mut service = home.start();
    prepare(&service);
    let trial = open(&service, &json!({"candidates": ["4u", "4i"]}));
    for (number, ball) in balls.into_iter().enumerate() {
        send(&service, [ball]);
        // Somebody watches now and then.
        if number % 7 == 0 {
            standing(&service, &trial);
        }
        match number {
            20 => {
                patch(&service, &trial, &json!({"state": "paused", "reason": "rain"}));
                patch(&service, &trial, &json!({"state": "open"}));
            }
            45 => {
                service.tell_to_stop();
                service.wait();
                service = home.start();
            }
            _ => {}
        }
    }
    let (expected, got) = (at_once.get(&expected).json(), service.get(&trial).json());
    assert_eq!(got["standings"], expected["standings"]);
    assert_eq!(got["standings"][0]["verdict"], "replaces", "{}", got["standings"][0]);
    let counts = got["departures"]["counts"].as_array().unwrap();
    assert!(counts.iter().any(|count| count["kind"] == "not_in_trial" && count["shots"] == 4));
}

#[test]
fn corrected_set_aside_and_late_shots_replay() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, visit(1, 10).chain(visit(2, 10)));
    let before = service.get(&trial).json()["standings"].clone();
    let set = |patch: Value| {
        let at = "/v1/shots/bay-3/2-3-4u";
        assert_eq!(service.send("PATCH", at, &patch.to_string()).status, 200);
    };
    set(json!({"set_aside": {"reason": "phone rang"}}));
    let aside = standing(&service, &trial);
    assert_eq!((shots(&aside), left_out(&aside, "set_aside")), ([20, 19], 1));
    assert_ne!(aside["criteria"], before[0]["criteria"]);
    set(json!({"set_aside": null}));
    assert_eq!(service.get(&trial).json()["standings"], before, "lifted, it is as it was");
    set(json!({"club": "5h"}));
    assert_eq!(shots(&standing(&service, &trial)), [21, 19]);
    set(json!({"club": null}));
    // A late shot of the first visit counts where it arrives.
    send(&service, [ball("5h", 1, 55)]);
    assert_eq!(shots(&standing(&service, &trial)), [21, 20]);
}

#[test]
fn the_brief_chooses_what_counts_and_the_rest_is_told() {
    let service = prepared();
    let trial = open(&service, &json!({"brief": {"lie": "mat", "ball": "range-b"}}));
    let from_grass = |mut ball: Value| {
        ball["lie"] = json!("fairway");
        ball
    };
    send(&service, visit(1, 8).chain(visit(1, 10).skip(16).map(from_grass)));
    let now = standing(&service, &trial);
    assert_eq!((shots(&now), left_out(&now, "outside_filter")), ([8, 8], 4));
}

#[test]
fn a_trial_is_full_after_five_thousand_shots_and_says_so() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, (0..4_999).map(|n| ball(["5h", "4u"][n as usize % 2], 1, n)));
    let almost = service.get(&trial).json();
    assert_eq!(
        (&almost["full"], &almost["hitting_order"]["next"].is_null()),
        (&json!(false), &false)
    );
    send(&service, (4_999..5_003).map(|n| ball(["5h", "4u"][n as usize % 2], 1, n)));
    let full = service.get(&trial).json();
    assert_eq!((&full["full"], &full["hitting_order"]["next"]), (&json!(true), &Value::Null));
    let standing = &full["standings"][0];
    assert_eq!((shots(standing), left_out(standing, "trial_full")), ([2_500, 2_500], 3));
}

#[test]
fn the_run_effect_is_what_the_history_said_at_the_opening() {
    let service = prepared();
    let day = |n: u32, off: f64, club: &str, shot: u32| {
        let mut ball = ball(club, n, shot);
        let carry = ball["flight"]["carry_m"].as_f64().unwrap() + off;
        ball["flight"]["carry_m"] = json!(carry);
        ball
    };
    // Two other clubs, whose days differ by far more than is assumed.
    let history = (1..=6_u32).flat_map(|n| {
        let off = if n % 2 == 0 { 12.0 } else { -12.0 };
        (0..8).flat_map(move |shot| [day(n, off, "4i", shot), day(n, -off, "7i", shot)])
    });
    send(&service, history);
    let trial = open(&service, &json!({}));
    let effect = |standing: &Value| standing["run_effect"].clone();
    let at_opening = effect(&standing(&service, &trial));
    assert_eq!(at_opening["origin"], "history");
    assert!(at_opening["carry_m"].as_f64().unwrap() > 5.0, "{at_opening}");
    send(
        &service,
        visit(7, 8).chain((0..8).flat_map(|shot| ["4i", "7i"].map(|c| ball(c, 8, shot)))),
    );
    send(&service, visit(8, 8));
    assert_eq!(effect(&standing(&service, &trial)), at_opening, "frozen");
    let later = open(&service, &json!({}));
    assert_eq!(
        effect(&standing(&service, &later)),
        at_opening,
        "the pair's, which had met by then"
    );
}
