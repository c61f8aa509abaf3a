//! What opens a trial, what changes one, and what becomes of it.

use serde_json::{Value, json};

use super::bay::{
    TRIALS, ball, delete, open, patch, pointers, prepare, prepared, send, standing, visit,
};
use crate::support::{NOW, Running, described};

#[test]
fn a_trial_fixes_its_brief_and_says_what_to_hit() {
    let service = prepared();
    let body = json!({
        "name": "Winter", "incumbent": "5h", "candidates": ["4u", "4i"], "ball": "range-b",
        "brief": {"carry_margin_yd": 4, "spin_lower_by_rpm": 300}, "lies": ["mat"], "notes": "indoors",
    });
    let answer = service.send("POST", TRIALS, &body.to_string());
    assert_eq!(answer.status, 201, "{}", answer.text());
    let trial = answer.json();
    let place = format!("{TRIALS}/{}", trial["id"].as_str().unwrap());
    assert_eq!(answer.header("location"), Some(place.as_str()));
    assert_eq!(trial["id"], format!("t{}", trial["opened"]));
    assert_eq!((&trial["state"], &trial["opened_at"]), (&json!("open"), &json!(NOW)));
    let brief = &trial["brief"];
    assert!((brief["carry_margin_m"].as_f64().unwrap() - 3.6576).abs() < 1e-9, "4 yd");
    assert_eq!(
        (&brief["launch_lower_by_deg"], &brief["spin_lower_by_rpm"]),
        (&json!(1.5), &json!(300.0))
    );
    let clubs: Vec<&Value> =
        trial["standings"].as_array().unwrap().iter().map(|one| &one["club"]).collect();
    assert_eq!(clubs, [&json!("4u"), &json!("4i")]);
    assert_eq!(trial["standings"][0]["verdict"], "insufficient");
    assert_eq!(trial["standings"][0]["family"]["candidates"], 2);
    let next = &trial["hitting_order"]["next"];
    assert!(["5h", "4u", "4i"].contains(&next["club"].as_str().unwrap()));
    assert_eq!(
        (&next["balls"], &next["lie"], &next["block"], &next["of"]),
        (&json!(5), &json!("mat"), &json!(1), &json!(6))
    );
    assert_eq!(service.get(&place).json(), trial, "it reads back as it was told");
    let list = service.get(TRIALS).json();
    assert_eq!(list["items"][0]["id"], trial["id"]);
    assert_eq!(list["items"][0]["candidates"], json!(["4u", "4i"]));
}

#[test]
fn a_trial_that_cannot_be_is_refused_with_every_fault_at_its_place() {
    let service = prepared();
    let post = |body: Value| service.send("POST", TRIALS, &body.to_string());
    assert_eq!(pointers(&post(json!({}))), ["/incumbent", "/candidates"]);
    let faulty = post(json!({
        "incumbent": "5h", "candidates": ["5h", "4u", "4u"], "visit_shots": 3,
        "brief": {"carry_margin": 5, "slot_low_yd": 160, "launch_lower_by_deg": 6, "lie": "carpet"},
        "lies": ["mat", "mat"], "balls": 30,
    }));
    assert_eq!(
        pointers(&faulty),
        [
            "/candidates/0",
            "/candidates/2",
            "/brief/lie",
            "/brief/slot_high_yd",
            "/brief/launch_lower_by_deg",
            "/brief/carry_margin",
            "/lies/1",
            "/visit_shots",
            "/balls",
        ]
    );
    let strangers = json!({
        "incumbent": "2h", "candidates": ["4u", "9w"], "ball": "soft", "brief": {"ball": "soft"},
    });
    assert_eq!(pointers(&post(strangers)), ["/incumbent", "/candidates/1", "/brief/ball"]);
    let seven = json!({"incumbent": "5h", "candidates": ["a", "b", "c", "d", "e", "f", "g"]});
    assert_eq!(pointers(&post(seven)), ["/candidates"]);
    let nobody = json!({"incumbent": "5h", "candidates": ["4u"]}).to_string();
    assert_eq!(service.send("POST", "/v1/players/marit/trials", &nobody).status, 404);
    assert_eq!(service.get(TRIALS).json()["items"], json!([]), "nothing was opened");
}

#[test]
fn the_description_takes_what_the_service_takes() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    let valid = |name: &str, document: &Value| {
        let schema = json!({"$ref": format!("#/components/schemas/{name}")});
        described::validator(&schema).is_valid(document)
    };
    let clubs = |more: &Value| {
        let mut trial = json!({"incumbent": "5h", "candidates": ["4u"]});
        trial.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        trial
    };
    for more in [
        json!({}),
        json!({"name": "x", "notes": "y", "lies": ["mat", "tee"], "ball": "range-b"}),
        json!({"visit_shots": 4, "block_shots": 20}),
        json!({"visit_shots": 301}),
        json!({"visit_shots": 30.5}),
        json!({"block_shots": 0}),
        json!({"lies": ["tee", "tee"]}),
        json!({"candidates": []}),
        json!({"candidates": ["4u", "4u"]}),
        json!({"brief": {"carry_margin_yd": 437, "from": "2026-04-01", "zone": "UTC"}}),
        json!({"brief": {"carry_margin_yd": 438}}),
        json!({"brief": {"carry_margin_m": 3, "carry_margin_yd": 3}}),
        json!({"brief": {"swing": "part"}}),
        json!({"incumbent": null}),
    ] {
        let document = clubs(&more);
        let taken = service.send("POST", TRIALS, &document.to_string()).status == 201;
        assert_eq!(valid("Trial", &document), taken, "{document}");
    }
    for document in [
        json!({}),
        json!({"state": "paused", "reason": "rain"}),
        json!({"state": null}),
        json!({"reason": "rain"}),
        json!({"name": null, "notes": null}),
        json!({"name": ""}),
        json!({"brief": {}}),
    ] {
        let taken = patch(&service, &trial, &document).status == 200;
        assert_eq!(valid("TrialPatch", &document), taken, "{document}");
    }
}

#[test]
fn what_was_fixed_stays_and_what_changes_is_remembered() {
    let service = prepared();
    let trial = open(&service, &json!({"notes": "dry"}));
    let fixed = json!({"brief": {}, "candidates": ["4i"], "state": "over", "colour": 1});
    assert_eq!(
        pointers(&patch(&service, &trial, &fixed)),
        ["/state", "/candidates", "/brief", "/colour"]
    );
    assert_eq!(pointers(&patch(&service, &trial, &json!({"reason": "rain"}))), ["/reason"]);
    let closed =
        patch(&service, &trial, &json!({"state": "closed", "reason": "rain", "name": "Spring"}));
    assert_eq!(closed.status, 200);
    let closed = closed.json();
    assert_eq!(
        (&closed["state"], &closed["name"], &closed["notes"]),
        (&json!("closed"), &json!("Spring"), &json!("dry"))
    );
    assert_eq!(closed["changes"][0]["reason"], "rain");
    assert_eq!(closed["hitting_order"]["next"], Value::Null, "nothing is to be hit");
    let of_state =
        |state: &str| service.get(&format!("{TRIALS}?state={state}")).json()["items"].clone();
    assert_eq!((of_state("open"), of_state("closed").as_array().unwrap().len()), (json!([]), 1));
    assert_eq!(service.get(&format!("{TRIALS}?state=lost")).status, 422);
    let again = patch(&service, &trial, &json!({"state": "open", "notes": null})).json();
    assert_eq!((&again["state"], &again["notes"]), (&json!("open"), &Value::Null));
    let same = patch(&service, &trial, &json!({"state": "open"})).json();
    assert_eq!(same["changes"].as_array().unwrap().len(), 2, "to stand as before is no change");
}

#[test]
fn a_trial_can_be_deleted_and_its_shots_stay() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    send(&service, visit(1, 4));
    let club = "/v1/players/rowan/clubs/7i";
    let with_7i = open(&service, &json!({"candidates": ["7i"]}));
    let refused = delete(&service, club);
    assert_eq!(refused.status, 409);
    assert!(refused.problem()["detail"].as_str().unwrap().contains("trial"), "{}", refused.text());
    for at in [&trial, &with_7i] {
        assert_eq!(delete(&service, at).status, 204);
        assert_eq!(service.get(at).status, 404);
        assert_eq!(patch(&service, at, &json!({"state": "open"})).status, 404);
    }
    assert_eq!(delete(&service, club).status, 204);
    let profile = service.get("/v1/players/rowan/clubs/5h/profile").json();
    assert_eq!(profile["shots"], 4);
    assert_eq!(service.get(&format!("{TRIALS}/none/history")).status, 404);
}

#[test]
fn an_erased_person_leaves_no_trial() {
    let service = prepared();
    let trial = open(&service, &json!({"notes": "a secret of rowan's"}));
    send(&service, visit(1, 3));
    assert_eq!(delete(&service, "/v1/players/rowan?shots=erase").status, 204);
    assert_eq!(service.get(&trial).status, 410);
    let told = service.get("/v1/export");
    assert!(!told.text().contains("a secret"), "an export tells of it");
    prepare(&service);
    assert_eq!(service.get(TRIALS).json()["items"], json!([]));
}

#[test]
fn an_import_has_the_trials_and_their_verdicts() {
    let service = prepared();
    let trial = open(&service, &json!({"candidates": ["4u", "4i"]}));
    send(&service, visit(1, 8));
    patch(&service, &trial, &json!({"state": "paused", "reason": "lunch"}));
    send(&service, [ball("4u", 1, 90)]);
    patch(&service, &trial, &json!({"state": "open"}));
    send(&service, visit(2, 9));
    for query in ["", "?player=rowan"] {
        let archive = service.get(&format!("/v1/export{query}"));
        let other = Running::start();
        let told = other.send_as("application/x-ndjson", "POST", "/v1/import", &archive.body);
        assert_eq!(told.status, 200, "{}", told.text());
        for at in [trial.clone(), format!("{trial}/history"), TRIALS.to_owned()] {
            assert_eq!(other.get(&at).text(), service.get(&at).text(), "{at} after {query}");
        }
    }
    assert_ne!(standing(&service, &trial)["verdict"], "insufficient");
}

#[test]
fn a_trial_is_changed_only_as_it_was_read_where_that_is_asked() {
    let service = prepared();
    let trial = open(&service, &json!({}));
    let write = |verb: &str, condition: &str, body: &str| {
        let length = body.len();
        let head = format!(
            "{verb} {trial} HTTP/1.1\r\nHost: localhost\r\n{condition}\r\n\
             Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        service.ask(head.as_bytes()).status
    };
    let read = || service.get(&trial).header("etag").unwrap().to_owned();
    let first = read();
    assert!(!first.starts_with("W/"), "it stands for every byte: {first}");
    let pause = r#"{"state":"paused"}"#;
    assert_eq!(write("PATCH", &format!("If-Match: {first}"), pause), 200);
    for (verb, body) in [("PATCH", pause), ("PATCH", "{}"), ("DELETE", "")] {
        assert_eq!(write(verb, &format!("If-Match: {first}"), body), 412, "{verb} {body}");
        assert_eq!(write(verb, "If-None-Match: *", body), 412, "{verb} {body}");
    }
    let second = read();
    send(&service, visit(1, 1));
    assert_eq!(write("PATCH", &format!("If-Match: {second}"), pause), 412, "a shot came");
    assert_eq!(write("PATCH", "If-Match: *", r#"{"state":"open"}"#), 200);
    assert_eq!(write("DELETE", &format!("If-Match: {}", read()), ""), 204);
}
