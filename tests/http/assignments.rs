//! Corrections of many shots in one act.

use serde_json::{Value, json};

use crate::support::{Answer, Running, shot};

fn assign(service: &Running, body: &Value) -> Answer {
    service.send("POST", "/v1/assignments", &body.to_string())
}

/// The clubs of the shots 1, 2 and so on of the bay.
fn clubs(service: &Running, shots: u32) -> Vec<Value> {
    let club = |id| service.get(&format!("/v1/shots/bay-3/{id}")).json()["club"].clone();
    (1..=shots).map(club).collect()
}

fn filled(shots: u32) -> Running {
    let service = Running::start();
    let lines: String = (1..=shots).map(|n| shot(&n.to_string()) + "\n").collect();
    assert_eq!(service.stream(&lines).json()["accepted"], shots);
    service
}

#[test]
fn an_assignment_is_rehearsed_and_then_done() {
    let service = Running::start();
    let waiting = shot("1").replace(r#""player":"rowan","club":"5h","#, "");
    service.send("POST", "/v1/shots", &waiting);
    service.send("POST", "/v1/shots", &shot("2"));
    let body = |dry_run: bool| {
        json!({"filter": {"source": "bay-3", "unassigned": true},
               "set": {"player": "robin", "club": "7i"}, "dry_run": dry_run})
    };
    let rehearsed = assign(&service, &body(true));
    assert_eq!(rehearsed.status, 200);
    assert_eq!(rehearsed.json(), json!({"matched": 1, "changed": 1, "as_of": 2, "dry_run": true}));
    assert_eq!(service.store.last().get(), 2, "a rehearsal writes nothing");
    assert_eq!(
        assign(&service, &body(false)).json(),
        json!({"matched": 1, "changed": 1, "as_of": 3, "dry_run": false})
    );
    assert_eq!(service.get("/v1/shots/bay-3/1").json()["player"], "robin");
    assert_eq!(service.get("/v1/players/robin/clubs/7i").status, 200);
}

#[test]
fn a_club_that_nobody_changed_is_put_right_for_the_last_shots_of_a_bay() {
    let service = filled(9);
    let done =
        assign(&service, &json!({"filter": {"source": "bay-3", "last": 6}, "set": {"club": "4i"}}));
    assert_eq!(done.json()["changed"], 6);
    let expected: Vec<Value> =
        (1..=9).map(|n| if n <= 3 { json!("5h") } else { json!("4i") }).collect();
    assert_eq!(clubs(&service, 9), expected);
}

#[test]
fn one_shot_is_found_by_its_name_and_must_pass_the_rest_as_well() {
    let service = filled(3);
    let by_name = |more: Value| {
        let mut filter = json!({"source": "bay-3", "id": "2"});
        filter.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        assign(&service, &json!({"filter": filter, "set": {"club": "4i"}})).json()
    };
    assert_eq!(by_name(json!({"lie": "sand"}))["matched"], 0);
    assert_eq!(by_name(json!({"id": "none"}))["matched"], 0);
    assert_eq!(service.store.last().get(), 3, "what finds nothing writes nothing");
    assert_eq!(by_name(json!({"lie": "mat"}))["matched"], 1);
    assert_eq!(clubs(&service, 3), ["5h", "4i", "5h"]);
    let nameless = json!({"filter": {"id": "2"}, "set": {"club": "4i"}});
    let refused = assign(&service, &nameless);
    assert_eq!(refused.status, 422);
    assert_eq!(refused.problem()["errors"][0]["pointer"], "/filter/id");
}

#[test]
fn a_surface_that_was_set_wrongly_is_put_right_for_all_players() {
    let service = filled(2);
    service.send("POST", "/v1/shots", &shot("3").replace("rowan", "robin"));
    let body = json!({"filter": {"lie": "mat"}, "set": {"lie": "tee"}});
    assert_eq!(assign(&service, &body).json()["changed"], 3);
    assert_eq!(assign(&service, &body).json()["matched"], 0);
    let from_tee = service.get("/v1/shots?lie=tee").json();
    assert_eq!(from_tee["items"].as_array().unwrap().len(), 3);
}

/// A correction that says what stands anyway changes nothing, whoever counts.
#[test]
fn a_rehearsal_and_the_act_count_the_same() {
    let service = filled(4);
    let done =
        assign(&service, &json!({"filter": {"source": "bay-3", "id": "1"}, "set": {"club": "4i"}}));
    assert_eq!(done.json()["changed"], 1);
    for (set, changed) in [
        (json!({"club": "5h"}), 1),
        (json!({"club": "5h"}), 0),
        (json!({"club": null, "lie": "mat"}), 0),
        (json!({"set_aside": {"reason": "slipped"}}), 4),
        (json!({"player": "robin", "club": "5h"}), 4),
        (json!({"player": "robin"}), 0),
    ] {
        let counts = |dry_run: bool| {
            let body = json!({"filter": {"source": "bay-3"}, "set": set, "dry_run": dry_run});
            let answer = assign(&service, &body).json();
            (answer["matched"].clone(), answer["changed"].clone())
        };
        assert_eq!(counts(true), (json!(4), json!(changed)), "{set}");
        assert_eq!(counts(false), (json!(4), json!(changed)), "{set}");
    }
}

#[test]
fn an_assignment_that_sets_nothing_is_refused() {
    let service = filled(1);
    let answer = assign(&service, &json!({"filter": {"source": "bay-3"}, "set": {}}));
    assert_eq!(answer.status, 422);
    assert_eq!(answer.problem()["errors"][0]["pointer"], "/set");
    assert_eq!(service.store.last().get(), 1);
}

#[test]
fn an_assignment_of_everything_is_refused() {
    let service = filled(1);
    for body in [json!({"filter": {}, "set": {"club": "x"}}), json!({"set": {"club": "x"}})] {
        let answer = assign(&service, &body);
        assert_eq!(answer.status, 422, "{body}");
        assert_eq!(answer.problem()["errors"][0]["pointer"], "/filter");
    }
}

#[test]
fn a_filter_with_names_that_nothing_has_is_told_all_of_them() {
    let service = filled(1);
    let pointers = |filter: Value| -> Vec<String> {
        let answer = assign(&service, &json!({"filter": filter, "set": {"club": "4i"}}));
        assert_eq!(answer.status, 422);
        let problem = answer.problem();
        let errors = problem["errors"].as_array().unwrap();
        errors.iter().map(|error| error["pointer"].as_str().unwrap().to_owned()).collect()
    };
    let all = json!({"player": "nobody", "ball": "none", "source": "none"});
    assert_eq!(pointers(all), ["/filter/player", "/filter/ball", "/filter/source"]);
    assert_eq!(pointers(json!({"player": "rowan", "club": "none"})), ["/filter/club"]);
    assert_eq!(pointers(json!({"flag": "odd"})), ["/filter/flag"]);
}
