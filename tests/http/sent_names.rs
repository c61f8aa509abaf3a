//! What was sent under the name of somebody who was erased, and was not theirs when it came.

use serde_json::json;

use crate::support::{Running, shot};

fn erase(service: &Running) {
    let request = b"DELETE /v1/players/rowan?shots=erase HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_eq!(service.ask(request).status, 204);
}

fn put(service: &Running) {
    assert_eq!(service.send("PUT", "/v1/players/rowan", r#"{"name":"R"}"#).status, 201);
}

/// Rowan was erased; of the shots that still came under the name one is Marit's now, one is Robin's by
/// way of Marit, and one waits.
fn named_after_an_erasure() -> Running {
    let service = Running::start();
    put(&service);
    erase(&service);
    assert_eq!(service.stream(&["1", "2", "3"].map(shot).join("\n")).json()["accepted"], 3);
    for (id, player) in [("1", "marit"), ("2", "marit"), ("2", "robin")] {
        let patch = json!({"player": player, "club": "5h"}).to_string();
        let path = format!("/v1/shots/bay-3/{id}");
        assert_eq!(service.send("PATCH", &path, &patch).json()["player"], player);
    }
    service
}

#[test]
fn an_export_of_who_has_the_shot_now_does_not_name_who_was_erased() {
    let service = named_after_an_erasure();
    for player in ["marit", "robin"] {
        let export = service.get(&format!("/v1/export?player={player}"));
        assert!(!export.text().contains("rowan"), "{player}: {}", export.text());
        assert!(export.text().contains("158.3"), "{player}: what conclusions rest on is told");
    }
    put(&service);
    let assign = r#"{"filter":{"source":"bay-3","id":"3"},"set":{"player":"rowan"}}"#;
    assert_eq!(service.send("POST", "/v1/assignments", assign).json()["changed"], 1);
    let export = service.get("/v1/export?player=rowan");
    let own = r#""id":"3","source":"bay-3","time":"2026-04-11T10:15:04Z","player":"rowan""#;
    assert!(export.text().contains(own), "it is Rowan's own: {}", export.text());
}

#[test]
fn a_second_erasure_finds_what_was_sent_under_the_name_after_the_first() {
    let service = named_after_an_erasure();
    let profile = service.get("/v1/players/marit/clubs/5h/profile").text().to_owned();
    put(&service);
    erase(&service);
    for id in ["1", "2", "3"] {
        assert_eq!(service.get(&format!("/v1/shots/bay-3/{id}")).status, 410, "{id}");
        assert_eq!(service.send("POST", "/v1/shots", &shot(id)).json()["status"], "duplicate");
    }
    for path in ["/v1/shots", "/v1/export"] {
        assert!(!service.get(path).text().contains("rowan"), "{path}");
    }
    assert_eq!(
        service.get("/v1/players/marit/clubs/5h/profile").text(),
        profile,
        "what is Marit's still counts for Marit"
    );
    assert_eq!(service.get("/v1/sources/bay-3").status, 200);
}
