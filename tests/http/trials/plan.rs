//! The hitting order, and what leaves it.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::bay::{ball, open, prepared, send};
use crate::support::Running;

fn order(service: &Running, trial: &str) -> Value {
    service.get(trial).json()["hitting_order"].clone()
}

fn kinds(service: &Running, trial: &str) -> Value {
    let counts = service.get(trial).json()["departures"]["counts"].clone();
    let counts = counts.as_array().unwrap().iter();
    counts
        .map(|count| (count["kind"].as_str().unwrap().to_owned(), count["shots"].clone()))
        .collect()
}

/// Hits the next block of a trial as it is planned.
fn hit_next(service: &Running, trial: &str, n: &mut u32) -> (String, Value) {
    let next = order(service, trial)["next"].clone();
    let club = next["club"].as_str().unwrap().to_owned();
    let visit = u32::try_from(next["visit"].as_u64().unwrap()).unwrap();
    let balls = u32::try_from(next["balls"].as_u64().unwrap()).unwrap();
    let events = (0..balls).map(|_| {
        *n += 1;
        let mut ball = ball(&club, visit, *n);
        if !next["lie"].is_null() {
            ball["lie"] = next["lie"].clone();
        }
        ball
    });
    send(service, events);
    (club, next)
}

#[test]
fn whoever_follows_the_order_leaves_it_nowhere_and_hits_all_clubs_alike() {
    let service = prepared();
    let trial = open(
        &service,
        &json!({"candidates": ["4u", "4i"], "lies": ["mat", "fairway"], "ball": "range-b",
               "visit_shots": 30, "block_shots": 5}),
    );
    let plan = order(&service, &trial);
    assert_eq!(
        (&plan["block_shots"], &plan["blocks_a_visit"], &plan["shots_a_visit"]),
        (&json!(5), &json!(6), &json!(30))
    );
    let mut balls: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut n = 0;
    for block in 0..12 {
        let upcoming = order(&service, &trial)["upcoming"][0].clone();
        let (club, next) = hit_next(&service, &trial, &mut n);
        assert_eq!(next["block"], block % 6 + 1);
        assert_eq!(next["visit"], block / 6 + 1);
        let lie = next["lie"].as_str().unwrap().to_owned();
        *balls.entry((club, lie)).or_default() += next["balls"].as_u64().unwrap();
        assert_eq!(order(&service, &trial)["next"], upcoming, "what was said to come came");
    }
    assert_eq!(balls.len(), 6, "{balls:?}");
    assert!(balls.values().all(|hit| *hit == 10), "{balls:?}");
    assert_eq!(kinds(&service, &trial), json!({}));
}

#[test]
fn the_order_follows_what_was_really_hit() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    let first = order(&service, &trial)["next"]["club"].as_str().unwrap().to_owned();
    let other = if first == "5h" { "4u" } else { "5h" };
    // Three of the five, then seven with the other club: the first is behind.
    send(&service, (0..3).map(|n| ball(&first, 1, n)));
    assert_eq!(order(&service, &trial)["next"]["balls"], 2);
    send(&service, (0..7).map(|n| ball(other, 1, n)));
    let next = order(&service, &trial)["next"].clone();
    assert_eq!((&next["club"], &next["balls"]), (&json!(first), &json!(2)));
    send(&service, (3..5).map(|n| ball(&first, 1, n)));
    // The other club's first block was hit before its turn, and two balls of its second.
    let next = order(&service, &trial)["next"].clone();
    assert_eq!((&next["club"], &next["balls"]), (&json!(other), &json!(3)));
    assert_eq!(kinds(&service, &trial), json!({"out_of_turn": 7}));
}

#[test]
fn departures_are_noted_and_refused_never() {
    let service = prepared();
    let trial = open(&service, &json!({"lies": ["mat"], "ball": "range-b"}));
    let club = order(&service, &trial)["next"]["club"].as_str().unwrap().to_owned();
    let mut from_tee = ball(&club, 1, 1);
    from_tee["lie"] = json!("tee");
    let mut no_ball = ball(&club, 1, 2);
    no_ball.as_object_mut().unwrap().remove("ball");
    let first = send(&service, [from_tee]);
    send(&service, [no_ball, ball("7i", 1, 3)]);
    assert_eq!(
        kinds(&service, &trial),
        json!({"not_in_trial": 1, "other_ball": 1, "other_lie": 1})
    );
    let told = service.get(&trial).json()["departures"]["newest"].clone();
    assert_eq!(
        told,
        json!([
            {"sequence": first, "kind": "other_lie", "planned": "mat", "hit": "tee"},
            {"sequence": first + 1, "kind": "other_ball", "planned": "range-b", "hit": null},
            {"sequence": first + 2, "kind": "not_in_trial", "planned": club, "hit": "7i"},
        ])
    );
    let mut low = ball(&club, 1, 4);
    low["intent"] = json!({"height": "low"});
    let before = order(&service, &trial)["next"].clone();
    send(&service, [low]);
    assert_eq!(order(&service, &trial)["next"], before, "a low one is no shot of the plan");
    send(&service, (10..200).map(|n| ball("7i", 2, n)));
    let departures = service.get(&trial).json()["departures"].clone();
    assert_eq!(departures["newest"].as_array().unwrap().len(), 100);
    assert_eq!(kinds(&service, &trial)["not_in_trial"], 191);
}
