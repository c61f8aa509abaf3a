//! What cannot go, or cannot come back by a mere name, and what the refusal says to do.

use serde_json::json;

use crate::support::{Answer, Running, shot};

fn delete(service: &Running, path: &str) -> Answer {
    service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

fn detail(refused: &Answer, status: u16) -> String {
    assert_eq!(refused.status, status, "{}", refused.text());
    refused.problem()["detail"].as_str().unwrap().to_owned()
}

#[test]
fn what_shots_rest_on_stays_and_the_refusal_names_what_frees_it() {
    let service = Running::start();
    let with_ball = |id: &str| shot(id).replace(r#""lie":"mat""#, r#""ball":"b""#);
    service.stream(&[with_ball("1"), with_ball("2")].join("\n"));
    let player = detail(&delete(&service, "/v1/players/rowan"), 409);
    assert!(player.contains("2 shots") && player.contains("re-assign"), "{player}");
    let retire = json!({"filter": {"source": "bay-3", "id": "1"}}).to_string();
    assert_eq!(service.send("POST", "/v1/retirements", &retire).status, 200);
    let player = detail(&delete(&service, "/v1/players/rowan"), 409);
    assert!(player.contains("1 of them retired") && player.contains("erasing"), "{player}");
    let club = detail(&delete(&service, "/v1/players/rowan/clubs/5h"), 409);
    assert!(club.contains("2 shots, 1 of them retired, rest on it"), "{club}");
    for path in ["/v1/players/rowan/clubs/5h", "/v1/balls/b", "/v1/sources/bay-3"] {
        let said = detail(&delete(&service, path), 409);
        assert!(said.contains("until they are erased"), "{path}: {said}");
        assert!(!said.contains("set aside"), "setting aside frees nothing: {said}");
    }
    for shot in ["1", "2"] {
        assert_eq!(delete(&service, &format!("/v1/shots/bay-3/{shot}")).status, 204);
    }
    for path in ["/v1/players/rowan/clubs/5h", "/v1/balls/b", "/v1/sources/bay-3"] {
        assert_eq!(delete(&service, path).status, 204, "{path}: what the refusal said holds");
    }
}

#[test]
fn nobody_who_was_erased_comes_back_because_an_act_names_them() {
    let service = Running::start();
    service.stream(&[shot("1"), shot("2").replace("rowan", "robin")].join("\n"));
    assert_eq!(delete(&service, "/v1/players/rowan?shots=erase").status, 204);
    let assign = r#"{"filter":{"player":"robin"},"set":{"player":"rowan"}}"#;
    let dry_run = assign.replace("}}", r#"},"dry_run":true}"#);
    let acts = [
        ("PUT", "/v1/sources/bay-3/context", r#"{"player":"rowan","club":"5h"}"#, "/player"),
        ("PATCH", "/v1/shots/bay-3/2", r#"{"player":"rowan"}"#, "/player"),
        ("POST", "/v1/assignments", assign, "/set/player"),
        ("POST", "/v1/assignments", &dry_run, "/set/player"),
    ];
    for (verb, path, body, pointer) in acts {
        let refused = service.send(verb, path, body);
        let said = detail(&refused, 422);
        let fault = &refused.problem()["errors"][0];
        assert_eq!(fault["pointer"], pointer, "{path}: {said}");
        assert!(fault["detail"].as_str().unwrap().contains("put the player anew"), "{fault}");
    }
    assert_eq!(service.get("/v1/players/rowan").status, 410);
    assert_eq!(service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#).status, 201);
    for (verb, path, body, _) in acts {
        assert_eq!(service.send(verb, path, body).status, 200, "{path}: who is put anew is here");
    }
}

#[test]
fn a_list_is_as_of_the_last_removal_too() {
    let service = Running::start();
    let put = |path: &str, body: &str| {
        let answer = service.send("PUT", path, body);
        assert_eq!(answer.status, 201, "{path}: {}", answer.text());
    };
    let mapping = r#"{"name":"A","columns":{"ID":"/id","At":"/time","Carry":"/flight/carry_m"},"set":{"source":"bay-3"}}"#;
    put("/v1/players/keeps", r#"{"name":"K"}"#);
    for (list, body) in [
        ("/v1/players", r#"{"name":"A"}"#),
        ("/v1/players/keeps/clubs", r#"{"name":"A"}"#),
        ("/v1/players/keeps/bags", r#"{"name":"A","clubs":[]}"#),
        ("/v1/balls", r#"{"name":"A"}"#),
        ("/v1/sources", r#"{"name":"A"}"#),
        ("/v1/csv-mappings", mapping),
    ] {
        put(&format!("{list}/a"), body);
        put(&format!("{list}/b"), body);
        for name in ["b", "a"] {
            assert_eq!(delete(&service, &format!("{list}/{name}")).status, 204, "{list}");
            let as_of = service.get(list).json()["as_of"].as_u64();
            assert_eq!(as_of, Some(service.store.last().get()), "{list} without {name}");
        }
    }
    service.stream(&shot("1"));
    assert_eq!(delete(&service, "/v1/players/rowan?shots=erase").status, 204);
    assert_eq!(service.get("/v1/players").json()["as_of"], service.store.last().get());
}
