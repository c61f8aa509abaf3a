//! What is erased or retired while an answer goes out: none of it is in what goes out afterwards.

use serde_json::json;

use crate::support::{Connection, Running, shot};

/// Shots of so many bytes each that a client which does not read stops an answer half-way: all
/// together are more than the system holds for a connection.
const SHOTS: usize = 1_000;
const PAD_BYTES: usize = 16_000;

fn delete(service: &Running, path: &str) {
    let answer =
        service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
    assert_eq!(answer.status, 204, "{path}");
}

fn store(service: &Running) {
    let pad = "y".repeat(PAD_BYTES);
    let long = |id: usize| {
        let text = shot(&id.to_string());
        let ext = format!(r#","ext":{{"pad":"{pad}","said":"private-{id}-"}}}}"#);
        format!("{}{ext}", &text[..text.len() - 1])
    };
    for from in (0..SHOTS).step_by(100) {
        let lines: Vec<String> = (from..from + 100).map(long).collect();
        assert_eq!(service.stream(&lines.join("\n")).json()["accepted"], 100);
    }
}

/// Asks, and reads no more than the head of the answer.
fn begun(service: &Running, path: &str) -> Connection {
    let mut connection = service.connect();
    connection.send(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
    assert_eq!(connection.head_answer().status, 200, "{path}");
    connection
}

#[test]
fn a_list_that_is_on_its_way_gives_nothing_that_was_erased_or_retired_meanwhile() {
    let service = Running::start();
    store(&service);
    let mut list = begun(&service, "/v1/shots?limit=1000");
    let retire = json!({"filter": {"source": "bay-3", "id": "998"}});
    assert_eq!(service.send("POST", "/v1/retirements", &retire.to_string()).status, 200);
    delete(&service, "/v1/shots/bay-3/999");
    let (pieces, is_whole) = list.pieces();
    let text = String::from_utf8(pieces.concat()).unwrap();
    assert!(is_whole && text.contains("private-0-") && text.contains("private-997-"));
    assert!(!text.contains("private-998-") && !text.contains("private-999-"));
    let mut list = begun(&service, "/v1/shots?limit=1000");
    delete(&service, "/v1/players/rowan?shots=erase");
    let (pieces, is_whole) = list.pieces();
    let text = String::from_utf8(pieces.concat()).unwrap();
    assert!(is_whole && !text.contains("private-997-"));
}

#[test]
fn an_export_that_is_on_its_way_has_no_end_if_anything_is_taken_away_meanwhile() {
    let service = Running::start();
    store(&service);
    let mut export = begun(&service, "/v1/export");
    service.send("POST", "/v1/shots", &shot("later"));
    let (pieces, is_whole) = export.pieces();
    assert!(is_whole, "what comes in does not disturb it");
    assert!(String::from_utf8(pieces.concat()).unwrap().contains("\"end\""));
    let retire = json!({"filter": {"source": "bay-3", "id": "0"}});
    for take_away in [0, 1, 2] {
        let mut export = begun(&service, "/v1/export");
        match take_away {
            0 => drop(service.send("POST", "/v1/retirements", &retire.to_string())),
            1 => delete(&service, "/v1/shots/bay-3/1"),
            _ => delete(&service, "/v1/players/rowan?shots=erase"),
        }
        let (pieces, is_whole) = export.pieces();
        let text = String::from_utf8(pieces.concat()).unwrap();
        assert!(!is_whole && !text.contains("\"end\""), "{take_away}");
        assert!(!text.contains("private-999-"), "{take_away}");
        let other = Running::start();
        let refused = other.send_as("application/x-ndjson", "POST", "/v1/import", text.as_bytes());
        assert_eq!((refused.status, other.store.last().get()), (422, 0), "{}", refused.text());
    }
    assert!(service.get("/v1/export").text().contains("\"end\""));
}

#[test]
fn a_players_export_that_is_on_its_way_has_no_end_if_a_shot_changes_hands_meanwhile() {
    let service = Running::start();
    store(&service);
    for (path, player, ends) in [
        ("/v1/export?player=rowan", r#"{"player":"robin"}"#, false),
        ("/v1/export?player=rowan", r#"{"player":null}"#, false),
        ("/v1/export", r#"{"player":"robin"}"#, true),
    ] {
        let mut export = begun(&service, path);
        assert_eq!(service.send("PATCH", "/v1/shots/bay-3/999", player).status, 200);
        let (pieces, is_whole) = export.pieces();
        let text = String::from_utf8(pieces.concat()).unwrap();
        assert_eq!((is_whole, text.contains("\"end\"")), (ends, ends), "{path} {player}");
    }
}
