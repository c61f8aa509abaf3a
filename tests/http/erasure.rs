//! Erasure over HTTP: what is gone from every answer, and what a re-send meets.

use serde_json::json;

use crate::support::{Answer, Running, shot, shot_with};

fn delete(service: &Running, path: &str) -> Answer {
    service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

#[test]
fn an_erased_shot_is_gone_from_every_answer_and_its_place_stays_empty() {
    let service = Running::start();
    service
        .stream(&[shot_with("1", 150.0), shot_with("2", 170.0), shot_with("3", 152.0)].join("\n"));
    assert_eq!(delete(&service, "/v1/shots/bay-3/2").status, 204);
    for answer in [
        service.get("/v1/shots/bay-3/2"),
        service.send("PATCH", "/v1/shots/bay-3/2", r#"{"lie":"tee"}"#),
        delete(&service, "/v1/shots/bay-3/2"),
    ] {
        assert_eq!(answer.status, 410, "{}", answer.text());
        assert_eq!(answer.problem()["type"], "/docs/errors/gone");
    }
    let listed = service.get("/v1/shots").json();
    let sequences: Vec<_> =
        listed["items"].as_array().unwrap().iter().map(|i| &i["sequence"]).collect();
    assert_eq!(sequences, [&json!(1), &json!(3)]);
    assert_eq!(service.get("/v1/shots?source=bay-3&id=2").json()["items"], json!([]));
    let profile = service.get("/v1/players/rowan/clubs/5h/profile").json();
    assert_eq!(
        (&profile["shots"], &profile["metrics"]["carry_m"]["mean"]),
        (&json!(2), &json!(151.0))
    );
    service.send("POST", "/v1/shots", &shot("4"));
    assert_eq!(
        service.get("/v1/shots/bay-3/4").json()["sequence"],
        5,
        "3 shots and the erasure before it"
    );
}

#[test]
fn an_erased_shot_that_is_sent_again_is_a_duplicate_whatever_it_says() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    delete(&service, "/v1/shots/bay-3/1");
    for again in [shot("1"), shot_with("1", 99.0)] {
        let answer = service.send("POST", "/v1/shots", &again);
        assert_eq!(answer.status, 200);
        assert_eq!(answer.json(), json!({"sequence": 1, "status": "duplicate", "flags": []}));
    }
    let many = service.stream(&[shot("1"), shot("2")].join("\n")).json();
    assert_eq!(
        (&many["accepted"], &many["duplicates"], &many["refused"]),
        (&json!(1), &json!(1), &json!(0))
    );
    assert_eq!(service.get("/v1/shots").json()["items"].as_array().unwrap().len(), 1);
}

#[test]
fn what_was_never_there_is_404_and_not_410() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    delete(&service, "/v1/shots/bay-3/1");
    assert_eq!(delete(&service, "/v1/shots/bay-3/2").status, 404);
    assert_eq!(service.get("/v1/shots/bay-4/1").status, 404);
    assert_eq!(
        service.get("/v1/shots/bay-3/1?x=1").status,
        410,
        "the path is judged before the query"
    );
}

#[test]
fn a_ball_and_a_source_without_shots_left_may_go() {
    let service = Running::start();
    let with_ball = shot("1").replace(r#""lie":"mat""#, r#""ball":"b""#);
    service.send("POST", "/v1/shots", &with_ball);
    service.send("PATCH", "/v1/shots/bay-3/1", r#"{"ball":"c"}"#);
    for path in ["/v1/balls/b", "/v1/balls/c", "/v1/sources/bay-3"] {
        assert_eq!(delete(&service, path).status, 409, "{path}");
    }
    delete(&service, "/v1/shots/bay-3/1");
    for path in ["/v1/balls/b", "/v1/balls/c", "/v1/sources/bay-3", "/v1/players/rowan"] {
        assert_eq!(delete(&service, path).status, 204, "{path}");
    }
}

#[test]
fn an_erased_person_is_gone_from_every_answer_and_others_keep_theirs() {
    let service = Running::start();
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan M."}"#);
    service.send("PUT", "/v1/players/rowan/clubs/5h", r#"{"name":"Five"}"#);
    service.send("PUT", "/v1/players/rowan/bags/b", r#"{"name":"B","clubs":["5h"]}"#);
    service.send(
        "PUT",
        "/v1/sources/bay-3/context",
        r#"{"player":"rowan","club":"5h","lie":"mat"}"#,
    );
    let of_robin = |id: &str| shot(id).replace("rowan", "robin");
    service.stream(&[shot("1"), of_robin("2"), shot("3"), of_robin("4")].join("\n"));
    service.send("PATCH", "/v1/shots/bay-3/3", r#"{"player":"robin"}"#);
    service.send("PATCH", "/v1/shots/bay-3/4", r#"{"player":"rowan"}"#);
    let profile = service.get("/v1/players/robin/clubs/5h/profile").text().to_owned();

    assert_eq!(delete(&service, "/v1/players/rowan").status, 409);
    assert_eq!(delete(&service, "/v1/players/rowan?shots=keep").status, 422);
    assert_eq!(delete(&service, "/v1/players/rowan?shots=erase").status, 204);

    for path in ["", "/clubs", "/clubs/5h", "/bags/b", "/ladder", "/clubs/5h/profile"] {
        assert_eq!(service.get(&format!("/v1/players/rowan{path}")).status, 410, "{path}");
    }
    assert_eq!(delete(&service, "/v1/players/rowan?shots=erase").status, 410);
    let club = service.send("PUT", "/v1/players/rowan/clubs/4i", r#"{"name":"4i"}"#);
    assert_eq!(club.status, 410, "nothing is put into an erased person's bag unawares");
    assert_eq!(service.get("/v1/players/nobody").status, 404);
    for id in ["1", "3", "4"] {
        assert_eq!(service.get(&format!("/v1/shots/bay-3/{id}")).status, 410, "{id}");
        assert_eq!(service.send("POST", "/v1/shots", &shot(id)).json()["status"], "duplicate");
    }
    let context = service.get("/v1/sources/bay-3/context").json();
    assert_eq!(
        (&context["player"], &context["club"], &context["lie"]),
        (&json!(null), &json!(null), &json!("mat"))
    );
    assert_eq!(
        service.get("/v1/players/robin/clubs/5h/profile").text(),
        profile,
        "the shot that was sent as rowan's and is robin's still counts for robin"
    );
    for path in ["/v1/players", "/v1/shots", "/v1/sources"] {
        assert!(!service.get(path).text().to_lowercase().contains("rowan"), "{path}");
    }
}

#[test]
fn a_new_shot_that_names_an_erased_person_waits_until_they_are_put_anew() {
    let service = Running::start();
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan M."}"#);
    service.send("POST", "/v1/shots", &shot("1"));
    delete(&service, "/v1/players/rowan?shots=erase");
    let stored = service.send("POST", "/v1/shots", &shot("2"));
    assert_eq!((stored.status, &stored.json()["status"]), (201, &json!("unassigned")));
    assert_eq!(service.stream(&[shot("3"), shot("4")].join("\n")).json()["accepted"], 2);
    assert_eq!(service.get("/v1/players/rowan").status, 410);
    assert_eq!(service.get("/v1/players").json()["items"], json!([]));
    assert_eq!(service.get("/v1/shots/bay-3/2").json()["player"], json!(null));

    assert_eq!(service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#).status, 201);
    assert_eq!(service.send("POST", "/v1/shots", &shot("5")).json()["status"], "stored");
    assert_eq!(service.get("/v1/players/rowan/clubs/5h/profile").json()["shots"], 1);
    let assign = r#"{"filter":{"unassigned":true},"set":{"player":"rowan","club":"5h"}}"#;
    assert_eq!(service.send("POST", "/v1/assignments", assign).json()["changed"], 3);
    assert_eq!(service.get("/v1/players/rowan/clubs/5h/profile").json()["shots"], 4);
}
