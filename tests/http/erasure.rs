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
