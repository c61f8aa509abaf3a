//! Corrections of one shot and of many.

use serde_json::json;

use crate::support::{Running, shot};

#[test]
fn a_correction_changes_what_is_effective_and_never_the_event() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let patched = service.send(
        "PATCH",
        "/v1/shots/bay-3/1",
        r#"{"club":"4i","set_aside":{"reason":"phone rang"}}"#,
    );
    assert_eq!(patched.status, 200);
    let item = patched.json();
    assert_eq!((&item["club"], &item["event"]["club"]), (&json!("4i"), &json!("5h")));
    assert_eq!(item["set_aside"], json!({"reason": "phone rang"}));
    assert_eq!(item["changed"], json!({"club": "4i", "set_aside": {"reason": "phone rang"}}));
    assert_eq!(service.get("/v1/shots/bay-3/1").json(), item);
    let lifted = service.send_as(
        "application/merge-patch+json",
        "PATCH",
        "/v1/shots/bay-3/1",
        br#"{"club":null,"set_aside":null}"#,
    );
    assert_eq!((&lifted.json()["club"], &lifted.json()["changed"]), (&json!("5h"), &json!({})));
}

#[test]
fn what_was_measured_is_never_patched() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let answer =
        service.send("PATCH", "/v1/shots/bay-3/1", r#"{"flight":{"carry_m":1},"clubb":"x"}"#);
    assert_eq!(answer.status, 422);
    let errors = answer.problem()["errors"].clone();
    assert!(errors.to_string().contains("send it anew"), "{errors}");
    assert_eq!(errors.as_array().unwrap().len(), 2, "{errors}");
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1", "[").status, 400);
    assert_eq!(service.send_as("text/plain", "PATCH", "/v1/shots/bay-3/1", b"{}").status, 415);
}

#[test]
fn an_empty_patch_writes_nothing() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1", "{}").status, 200);
    assert_eq!(service.store.last().get(), 1);
}

#[test]
fn an_assignment_is_rehearsed_and_then_done() {
    let service = Running::start();
    let waiting = shot("1").replace(r#""player":"rowan","club":"5h","#, "");
    service.send("POST", "/v1/shots", &waiting);
    service.send("POST", "/v1/shots", &shot("2"));
    let assign = |dry_run: bool| {
        let body = json!({
            "filter": {"source": "bay-3", "unassigned": true},
            "set": {"player": "robin", "club": "7i"}, "dry_run": dry_run,
        });
        service.send("POST", "/v1/assignments", &body.to_string())
    };
    let rehearsed = assign(true);
    assert_eq!(rehearsed.status, 200);
    assert_eq!(rehearsed.json(), json!({"matched": 1, "changed": 1, "as_of": 2, "dry_run": true}));
    assert_eq!(service.store.last().get(), 2, "a rehearsal writes nothing");
    assert_eq!(
        assign(false).json(),
        json!({"matched": 1, "changed": 1, "as_of": 3, "dry_run": false})
    );
    assert_eq!(service.get("/v1/shots/bay-3/1").json()["player"], "robin");
    assert_eq!(service.get("/v1/players/robin/clubs/7i").status, 200);
}

#[test]
fn an_assignment_of_everything_is_refused() {
    let service = Running::start();
    for body in [
        r#"{"filter":{},"set":{"club":"x"}}"#,
        r#"{"set":{"club":"x"}}"#,
        r#"{"filter":{"lie":"mat"},"set":{}}"#,
    ] {
        let answer = service.send("POST", "/v1/assignments", body);
        assert_eq!(answer.status, 422, "{body}");
        assert!(answer.problem()["errors"][0]["pointer"].as_str().unwrap().starts_with("/filter"));
    }
}
