//! Profile, ladder, comparison and replacements over HTTP.

use serde_json::{Value, json};

use crate::support::{Running, shot_with};

fn filled() -> Running {
    let service = Running::start();
    let mut lines = String::new();
    for n in 0..40 {
        let carry = 158.0 + f64::from(n % 5);
        let line = shot_with(&format!("{n:02}"), carry);
        let club = if n % 2 == 0 { "4i" } else { "5h" };
        lines += &(line.replace("\"5h\"", &format!("\"{club}\"")) + "\n");
    }
    assert_eq!(service.stream(&lines).json()["accepted"], 40);
    service
}

#[test]
fn every_question_is_answered_with_its_place_in_the_order() {
    let service = filled();
    let profile = service.get("/v1/players/rowan/clubs/5h/profile?lie=mat").json();
    assert_eq!(profile["shots"], 20);
    assert_eq!(profile["metrics"]["carry_m"]["n"], 20);
    let ladder = service.get("/v1/players/rowan/ladder").json();
    assert_eq!(ladder["rungs"].as_array().unwrap().len(), 2);
    let comparison = service.get("/v1/players/rowan/comparisons?incumbent=4i&candidate=5h").json();
    assert_eq!(comparison["shots"]["candidate"], 20);
    let place = service
        .get("/v1/players/rowan/replacements?incumbent=4i&candidate=5h&carry_margin_yd=10")
        .json();
    assert_eq!(place["candidates"][0]["club"], "5h");
    assert_eq!(place["brief"]["carry_margin_m"], 9.144);
    for answer in [profile, ladder, comparison, place] {
        assert_eq!(answer["as_of"], 40);
    }
}

#[test]
fn the_same_question_has_the_same_bytes() {
    let service = filled();
    let path = "/v1/players/rowan/replacements?incumbent=4i";
    assert_eq!(service.get(path).body, service.get(path).body);
}

#[test]
fn a_known_club_without_shots_is_all_nulls() {
    let service = filled();
    service.send("PUT", "/v1/players/rowan/clubs/new", r#"{"name":"new"}"#);
    let profile = service.get("/v1/players/rowan/clubs/new/profile");
    assert_eq!(profile.status, 200);
    assert_eq!(profile.json()["metrics"]["carry_m"]["n"], 0);
    assert_eq!(profile.json()["metrics"]["carry_m"]["mean"], Value::Null);
}

#[test]
fn unknown_names_are_404_in_the_path_and_422_in_the_query() {
    let service = filled();
    for path in ["/v1/players/nobody/ladder", "/v1/players/rowan/clubs/none/profile"] {
        assert_eq!(service.get(path).status, 404, "{path}");
    }
    for (path, parameter) in [
        ("clubs/5h/profile?ball=none", "ball"),
        ("ladder?bag=none", "bag"),
        ("ladder?ball=none", "ball"),
        ("comparisons?incumbent=none&candidate=5h", "incumbent"),
        ("comparisons?incumbent=4i&candidate=none", "candidate"),
        ("comparisons?incumbent=4i&candidate=4i", "candidate"),
        ("comparisons?incumbent=4i", "candidate"),
        ("replacements", "incumbent"),
        ("replacements?incumbent=none", "incumbent"),
        ("replacements?incumbent=4i&candidate=5h&candidate=none", "candidate"),
        ("replacements?incumbent=4i&candidate=4i", "candidate"),
        ("replacements?incumbent=4i&carry_margin=5", "carry_margin"),
        ("replacements?incumbent=4i&carry_margin_m=5&carry_margin_yd=5", "carry_margin_yd"),
        ("clubs/5h/profile?last=0", "last"),
        ("clubs?x=1", "x"),
        ("clubs/5h/profile?from=2026-04-12&to=2026-04-11", "to"),
    ] {
        let answer = service.get(&format!("/v1/players/rowan/{path}"));
        assert_eq!(answer.status, 422, "{path}");
        let problem = answer.problem();
        let error = &problem["errors"][0];
        assert_eq!(
            (&error["parameter"], &error["pointer"]),
            (&json!(parameter), &json!("")),
            "{path}"
        );
    }
}

#[test]
fn every_unknown_name_of_a_query_is_told_at_its_own_parameter() {
    let service = filled();
    let told = |path: &str| -> Vec<(String, String)> {
        let answer = service.get(&format!("/v1/players/rowan/{path}"));
        assert_eq!(answer.status, 422, "{path}");
        let errors = answer.problem()["errors"].clone();
        let text = |error: &Value, member: &str| error[member].as_str().unwrap().to_owned();
        let errors = errors.as_array().unwrap().iter();
        errors.map(|error| (text(error, "parameter"), text(error, "detail"))).collect()
    };
    let parameters = |path: &str| -> Vec<String> {
        told(path).into_iter().map(|(parameter, _)| parameter).collect()
    };
    assert_eq!(
        parameters("replacements?incumbent=a&candidate=b&candidate=5h&candidate=c&ball=d"),
        ["ball", "incumbent", "candidate", "candidate"]
    );
    assert_eq!(parameters("ladder?bag=a&ball=b"), ["ball", "bag"]);
    // The same text is a club's name and a ball's: the one is there, the other is not.
    service.send("PUT", "/v1/balls/7x", r#"{"name":"seven"}"#);
    let same = told("comparisons?incumbent=4i&candidate=7x&ball=7x");
    assert_eq!(same.len(), 1);
    assert_eq!(same[0].0, "candidate");
    assert!(same[0].1.contains("club \"7x\""), "{}", same[0].1);
}
