//! The catalogue over HTTP.

use serde_json::json;

use crate::support::{Running, shot};

#[test]
fn a_document_is_made_replaced_listed_and_removed() {
    let service = Running::start();
    let cases = [
        (
            "/v1/players/rowan",
            "/v1/players",
            json!({"name": "Rowan", "hand": "left"}),
            json!({"name": "R."}),
        ),
        (
            "/v1/players/rowan/clubs/5h",
            "/v1/players/rowan/clubs",
            json!({"name": "5-hybrid", "loft_deg": 25.0}),
            json!({"name": "5h"}),
        ),
        (
            "/v1/players/rowan/bags/spring",
            "/v1/players/rowan/bags",
            json!({"name": "Spring", "clubs": ["5h"]}),
            json!({"name": "S"}),
        ),
        (
            "/v1/balls/range-b",
            "/v1/balls",
            json!({"name": "Range ball", "kind": "range"}),
            json!({"name": "B"}),
        ),
        (
            "/v1/sources/bay%2F3",
            "/v1/sources",
            json!({"name": "Bay 3", "zone": "Europe/Madrid"}),
            json!({"name": "Bay"}),
        ),
    ];
    for (path, list, first, second) in &cases {
        let made = service.send("PUT", path, &first.to_string());
        assert_eq!(made.status, 201, "{path}: {}", made.text());
        assert_eq!(made.header("location"), Some(*path), "where it stands");
        let read = service.get(path).json();
        for (member, value) in first.as_object().unwrap() {
            assert_eq!(&read[member], value, "{path}");
        }
        assert!(read["as_of"].as_u64().unwrap() > 0);
        assert_eq!(service.send("PUT", path, &second.to_string()).status, 200, "{path}");
        let listed = service.get(list).json();
        assert_eq!(listed["items"].as_array().unwrap().len(), 1, "{list}");
        assert_eq!(listed["items"][0], service.get(path).json());
        assert_eq!(listed["as_of"], listed["items"][0]["as_of"]);
    }
    assert_eq!(service.get("/v1/sources").json()["items"][0]["id"], "bay/3");
    for (path, ..) in cases.iter().rev() {
        let delete = format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n");
        assert_eq!(service.ask(delete.as_bytes()).status, 204, "{path}");
        assert_eq!(service.get(path).status, 404, "{path}");
        assert_eq!(service.ask(delete.as_bytes()).status, 404, "{path}");
    }
}

#[test]
fn what_has_shots_stays() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    for path in ["/v1/players/rowan", "/v1/players/rowan/clubs/5h"] {
        let answer =
            service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
        assert_eq!(answer.status, 409, "{path}");
        assert!(answer.problem()["detail"].as_str().unwrap().contains("1 shot "));
    }
}

#[test]
fn a_shot_makes_bare_entries_of_whom_it_names() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    assert_eq!(service.get("/v1/players/rowan").json()["name"], "rowan");
    assert_eq!(service.get("/v1/players/rowan/clubs/5h").json()["name"], "5h");
    assert_eq!(service.get("/v1/sources/bay-3").json()["name"], "bay-3");
}

#[test]
fn faults_of_a_document_are_told_all_at_once() {
    let service = Running::start();
    let answer = service.send("PUT", "/v1/players/rowan", r#"{"nam":"Rowan","hand":"both"}"#);
    assert_eq!(answer.status, 422);
    assert!(answer.problem()["errors"].as_array().unwrap().len() >= 3);
    assert_eq!(service.send("PUT", "/v1/players/rowan", "").status, 400);
    let long = "x".repeat(129);
    let nameless = service.send("PUT", &format!("/v1/players/{long}"), r#"{"name":"x"}"#);
    assert_eq!(nameless.status, 422);
    assert_eq!(nameless.problem()["errors"][0]["parameter"], "player");
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    let bag = service.send("PUT", "/v1/players/rowan/bags/b", r#"{"name":"B","clubs":["none"]}"#);
    assert_eq!((bag.status, &bag.problem()["errors"][0]["pointer"]), (422, &json!("/clubs/0")));
}

#[test]
fn shots_inherit_from_the_context_until_it_is_cleared() {
    let service = Running::start();
    let bare = |id: &str| shot(id).replace(r#""player":"rowan","club":"5h","#, "");
    let set = service.send("PUT", "/v1/sources/bay-3/context", r#"{"player":"rowan","club":"5h"}"#);
    assert_eq!(set.status, 200);
    assert_eq!(set.json()["player"], "rowan");
    assert_eq!(service.send("POST", "/v1/shots", &bare("1")).json()["status"], "stored");
    assert_eq!(service.send("PUT", "/v1/sources/bay-3/context", "{}").status, 200);
    assert_eq!(service.send("POST", "/v1/shots", &bare("2")).json()["status"], "unassigned");
    let read = service.get("/v1/sources/bay-3/context").json();
    assert_eq!(read, json!({"as_of": 3}));
    assert_eq!(service.get("/v1/sources/none/context").status, 404);
}
