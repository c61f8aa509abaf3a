//! How candidates stand, with and without what was left out, and how the evidence grew.

use serde_json::{Value, json};

use super::bay::{TRIALS, ball, open, patch, prepared, send, standing, visit};
use crate::support::Running;

/// A trial with a history: four visits of two clubs, one mishit among them.
fn ripe(service: &Running) -> String {
    let trial = open(service, &json!({"candidates": ["4u", "4i"]}));
    send(service, visit(1, 10).chain(visit(2, 10)));
    let mut topped = ball("4u", 3, 40);
    topped["launch"]["ball_speed_mps"] = json!(36.0);
    topped["flight"]["carry_m"] = json!(70.0);
    send(service, [topped]);
    send(service, (0..10).map(|n| ball("4i", 3, n)).chain(visit(3, 10)).chain(visit(4, 10)));
    trial
}

#[test]
fn beside_the_verdict_stands_what_it_would_be_with_everything() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, visit(1, 10).chain(visit(2, 10)));
    assert_eq!(standing(&service, &trial)["with_all"], Value::Null, "nothing was left out");
    let mut topped = ball("4u", 2, 40);
    topped["launch"]["ball_speed_mps"] = json!(36.0);
    topped["flight"]["carry_m"] = json!(70.0);
    send(&service, [topped]);
    let now = standing(&service, &trial);
    let (own, all) = (&now["criteria"][0], &now["with_all"]);
    assert_eq!((&now["shots"]["candidate"], &all["shots"]["candidate"]), (&json!(20), &json!(21)));
    let drop = own["estimate"].as_f64().unwrap() - all["carry_m"]["estimate"].as_f64().unwrap();
    assert!(drop > 2.0, "a ball of 70 m among 21 costs some metres: {drop}");
    let width = |one: &Value| one["high"].as_f64().unwrap() - one["low"].as_f64().unwrap();
    assert!(width(&all["carry_m"]) > width(own));
    // Set aside, it is left out for another reason, and counts with everything as before.
    let aside = json!({"set_aside": {"reason": "topped"}});
    patch(&service, "/v1/shots/bay-3/2-40-4u", &aside);
    let aside = standing(&service, &trial);
    assert_eq!(aside["with_all"]["carry_m"], all["carry_m"]);
    assert_eq!(aside["with_all"]["shots"], all["shots"]);
    let asked = "/v1/players/rowan/replacements?incumbent=5h&candidate=4u";
    let asked = service.get(asked).json()["candidates"][0]["with_all"].clone();
    assert_eq!(asked["shots"], all["shots"], "a question tells it too");
}

#[test]
fn with_everything_a_trial_stands_as_if_nothing_had_been_set_aside() {
    let [with, without] = [prepared(), prepared()];
    let trials = [&with, &without].map(|service| {
        let trial = open(service, &json!({}));
        send(service, visit(1, 12).chain(visit(2, 12)).chain(visit(3, 12)));
        trial
    });
    for shot in ["1-3-5h", "2-7-4u", "2-8-4u", "3-11-4u"] {
        let aside = json!({"set_aside": {"reason": "somebody talked"}});
        assert_eq!(patch(&with, &format!("/v1/shots/bay-3/{shot}"), &aside).status, 200);
    }
    let (aside, whole) = (standing(&with, &trials[0]), standing(&without, &trials[1]));
    assert_ne!(aside["criteria"], whole["criteria"]);
    let all = &aside["with_all"];
    assert_eq!(all["verdict"], whole["verdict"]);
    assert_eq!(all["shots"], whole["shots"]);
    for figure in ["estimate", "low", "high"] {
        let (all, whole) = (all["carry_m"][figure].as_f64(), whole["criteria"][0][figure].as_f64());
        assert!((all.unwrap() - whole.unwrap()).abs() < 1e-9, "{figure}: {all:?} {whole:?}");
    }
    assert_eq!(whole["with_all"], Value::Null);
}

#[test]
fn the_history_ends_where_the_trial_stands_and_evidence_only_grows() {
    let service = prepared();
    let trial = ripe(&service);
    let history = service.get(&format!("{trial}/history?limit=1000")).json();
    let items = history["items"].as_array().unwrap();
    assert_eq!(items.len(), 90, "every counted shot, and not the mishit");
    assert!(history["next"].is_null());
    let now = service.get(&trial).json();
    for standing in now["standings"].as_array().unwrap() {
        let of_club = |item: &Value| {
            let all = item["candidates"].as_array().unwrap().clone();
            all.into_iter().find(|one| one["club"] == standing["club"]).unwrap()
        };
        let last = of_club(items.last().unwrap());
        assert_eq!(last["verdict"], standing["verdict"]);
        let criteria = standing["criteria"].as_array().unwrap();
        for (at, criterion) in criteria.iter().enumerate() {
            assert_eq!(last["evidence"][at], criterion["evidence"], "{criterion}");
            let header = &history["criteria"][at];
            assert_eq!(
                (&header["name"], &header["metric"]),
                (&criterion["name"], &criterion["metric"])
            );
        }
        let growth: Vec<f64> =
            items.iter().filter_map(|item| of_club(item)["evidence"][1].as_f64()).collect();
        assert!(growth.windows(2).all(|two| two[0] <= two[1]), "{growth:?}");
    }
    let verdicts = |item: &Value| item["candidates"][0]["verdict"].clone();
    assert_eq!(verdicts(&items[0]), "insufficient");
    assert_eq!(verdicts(items.last().unwrap()), "replaces");
}

#[test]
fn a_history_comes_page_by_page() {
    let service = prepared();
    let trial = ripe(&service);
    let whole = service.get(&format!("{trial}/history?limit=1000")).json()["items"].clone();
    let mut items = Vec::new();
    let mut at = format!("{trial}/history?limit=40");
    loop {
        let page = service.get(&at).json();
        items.extend(page["items"].as_array().unwrap().iter().cloned());
        let Some(next) = page["next"].as_str() else { break };
        at = format!("{trial}/history?limit=40&cursor={next}");
    }
    assert_eq!(Value::Array(items), whole);
    let foreign = format!("{TRIALS}/t999/history");
    assert_eq!(service.get(&foreign).status, 404);
    assert_eq!(service.get(&format!("{trial}/history?cursor=7")).status, 422);
    assert_eq!(service.get(&format!("{trial}/history?limit=1001")).status, 422);
}

#[test]
fn several_candidates_are_a_family() {
    let service = prepared();
    let trial = ripe(&service);
    let of = |club: &str| {
        let now = service.get(&trial).json();
        let all = now["standings"].as_array().unwrap();
        assert_eq!(all[0]["club"], "4u", "the best stands first");
        all.iter().find(|one| one["club"] == club).unwrap().clone()
    };
    let least = |one: &Value| {
        let criteria = one["criteria"].as_array().unwrap()[..5].iter();
        criteria.map(|criterion| criterion["evidence"].as_f64().unwrap()).fold(1e9, f64::min)
    };
    // Holm (1979): the best of two needs twice the evidence.
    let alone = of("4u");
    assert_eq!(
        (&alone["verdict"], &alone["family"]["candidates"]),
        (&json!("replaces"), &json!(2))
    );
    assert!(least(&alone) < 40.0 && alone["family"]["holds"] == false, "{}", least(&alone));
    send(&service, visit(5, 10).chain(visit(6, 10)));
    let beside = of("4u");
    assert!(least(&beside) >= 40.0 && beside["family"]["holds"] == true, "{}", least(&beside));
    assert_eq!(of("4i")["family"]["holds"], false);
}

#[test]
fn a_tag_holds_until_something_of_the_trial_changes() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, visit(1, 8));
    let tag = |at: &str| service.get(at).header("etag").unwrap().to_owned();
    for at in [trial.clone(), format!("{trial}/history")] {
        let known = tag(&at);
        let unchanged = service.get_with(&at, &format!("If-None-Match: {known}\r\n"));
        assert_eq!(unchanged.status, 304, "{at}");
        send(&service, [ball("5h", 2, u32::try_from(at.len()).unwrap())]);
        let after_a_shot = tag(&at);
        assert_ne!(after_a_shot, known, "{at}");
        patch(&service, &trial, &json!({"notes": at}));
        assert_ne!(tag(&at), after_a_shot, "{at}");
    }
}

#[test]
fn a_trial_is_told_in_imperial_units_too() {
    let service = prepared();
    let trial = open(&service, &json!({"brief": {"carry_margin_yd": 5}}));
    send(&service, visit(1, 10));
    let told = service.get(&format!("{trial}?units=imperial")).json();
    let margin = told["brief"]["carry_margin_yd"].as_f64().unwrap();
    assert!((margin - 5.0).abs() < 1e-9, "{margin}");
    assert_eq!(
        (&told["units"], &told["standings"][0]["criteria"][0]["metric"]),
        (&json!("imperial"), &json!("carry_yd"))
    );
    let si = standing(&service, &trial)["criteria"][0]["estimate"].as_f64().unwrap();
    let yards = told["standings"][0]["criteria"][0]["estimate"].as_f64().unwrap();
    assert!((yards * 0.9144 - si).abs() < 1e-9);
    let history = service.get(&format!("{trial}/history?units=imperial")).json();
    assert_eq!(history["criteria"][0]["metric"], "carry_yd");
    let changed = service.send("PATCH", &format!("{trial}?units=imperial"), r#"{"name":"x"}"#);
    assert_eq!(changed.json()["units"], "imperial");
}
