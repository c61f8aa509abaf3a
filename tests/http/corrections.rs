//! Corrections of one shot.

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
