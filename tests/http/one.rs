//! One shot in, and back out.

use serde_json::json;

use crate::support::{Running, shot, shot_with};

#[test]
fn a_shot_is_stored_once_and_given_back_as_it_was_sent() {
    let service = Running::start();
    let sent = r#"{ "source":"bay-3", "id":"a/b", "time":"2026-04-11T10:15:04.120+02:00",
        "flight": {"carry_yd": 1.730e2}, "ext": {"n": 1.0} }"#;
    let first = service.send("POST", "/v1/shots", sent);
    assert_eq!(first.status, 201);
    assert_eq!(first.json()["sequence"], 1);
    assert_eq!(first.json()["status"], "unassigned");
    assert_eq!(first.header("location"), Some("/v1/shots/bay-3/a%2Fb"));
    let again = service.send("POST", "/v1/shots", sent);
    assert_eq!((again.status, &again.json()["status"]), (200, &json!("duplicate")));
    let read = service.get("/v1/shots/bay-3/a%2Fb");
    assert_eq!(read.status, 200);
    assert!(read.text().contains(sent.trim()), "{}", read.text());
    assert_eq!(read.json()["player"], json!(null));
    assert_eq!(read.json()["changed"], json!({}));
}

#[test]
fn the_answer_says_what_is_odd_about_a_shot() {
    let service = Running::start();
    let stored = service.send("POST", "/v1/shots", &shot_with("1", 399.0)).json();
    assert_eq!(stored["status"], "stored");
    assert!(
        stored["flags"].as_array().unwrap().contains(&json!("unusual:/flight/carry_m")),
        "{stored}"
    );
}

#[test]
fn another_shot_of_the_same_name_is_a_conflict() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot_with("1", 150.0));
    let conflict = service.send("POST", "/v1/shots", &shot_with("1", 151.0));
    assert_eq!(conflict.status, 409);
    conflict.problem();
    let kept = service.get("/v1/shots/bay-3/1").json();
    assert_eq!(kept["event"]["flight"]["carry_m"], 150.0);
}

#[test]
fn every_fault_is_told_with_its_pointer_and_the_mend() {
    let service = Running::start();
    let answer = service.send(
        "POST",
        "/v1/shots",
        r#"{"id":"1","source":"bay-3","time":"yesterday","flight":{"carry":158,"carri_m":1,"apex_m":500}}"#,
    );
    assert_eq!(answer.status, 422);
    let problem = answer.problem();
    let told = |pointer: &str| {
        let errors = problem["errors"].as_array().unwrap();
        let found = errors.iter().find(|error| error["pointer"] == pointer);
        found.unwrap_or_else(|| panic!("{pointer} in {problem}"))["detail"].as_str().unwrap()
    };
    assert!(told("/flight/carry").contains("carry_m"));
    assert!(told("/flight/carri_m").contains("carry_m"));
    told("/time");
    told("/flight/apex_m");
}

#[test]
fn what_is_not_json_is_told_as_such() {
    let service = Running::start();
    for body in
        ["", "{", "{}{}", "nul", "{\"id\":1e999}", "{\"id\":\"1\",\"id\":\"1\"}", "\u{feff}{}"]
    {
        let answer = service.send("POST", "/v1/shots", body);
        assert_eq!(answer.status, 400, "{body}");
        answer.problem();
    }
    let not_utf8 = service.send_as("application/json", "POST", "/v1/shots", b"{\"id\":\"\xff\"}");
    assert_eq!(not_utf8.status, 400);
}

#[test]
fn an_empty_body_is_told_so() {
    let service = Running::start();
    for (method, path) in [
        ("POST", "/v1/shots"),
        ("POST", "/v1/assignments"),
        ("PUT", "/v1/players/rowan"),
        ("PUT", "/v1/sources/bay-3/context"),
    ] {
        for body in ["", " \r\n"] {
            let answer = service.send(method, path, body);
            assert_eq!(answer.status, 400, "{method} {path}");
            let detail = answer.problem()["detail"].as_str().unwrap().to_owned();
            assert!(detail.starts_with("the body is empty: send JSON"), "{path}: {detail}");
        }
    }
}

#[test]
fn a_single_fault_names_its_place() {
    let service = Running::start();
    let told = |answer: crate::support::Answer| {
        assert_eq!(answer.status, 422);
        answer.problem()["detail"].as_str().unwrap().to_owned()
    };
    let timeless = r#"{"id":"1","source":"bay-3","flight":{"carry_m":158.3}}"#;
    assert!(told(service.send("POST", "/v1/shots", timeless)).starts_with("/time: is missing"));
    let listed = told(service.send("PUT", "/v1/players/rowan", "[]"));
    assert!(listed.starts_with("the body is a list"), "{listed}");
    assert!(told(service.get("/v1/shots?limit=x")).starts_with("`limit` is `x`"));
    assert!(told(service.get("/v1/shots?player=nobody")).starts_with("`player`: "));
}

#[test]
fn a_body_says_truly_what_it_is() {
    let service = Running::start();
    let body = shot("1");
    for media in [
        "text/plain",
        "application/json; charset=latin1",
        "text/json",
        "application/cloudevents-batch",
    ] {
        let answer = service.send_as(media, "POST", "/v1/shots", body.as_bytes());
        assert_eq!(answer.status, 415, "{media}");
        assert!(answer.problem()["detail"].as_str().unwrap().contains("application/x-ndjson"));
    }
    assert_eq!(
        service
            .send_as("application/json; charset=UTF-8", "POST", "/v1/shots", body.as_bytes())
            .status,
        201
    );
}

#[test]
fn a_shot_that_is_not_there_is_nowhere() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    for path in
        ["/v1/shots/bay-3/2", "/v1/shots/none/1", "/v1/shots/bay-3/%00", "/v1/shots/bay-3/.."]
    {
        let answer = service.get(path);
        assert_eq!(answer.status, 404, "{path}");
        answer.problem();
    }
    assert_eq!(service.get("/v1/shots/bay-3/1?x=1").status, 422);
}
