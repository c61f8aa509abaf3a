//! Shots in envelopes of CloudEvents 1.0.

use serde_json::{Value, json};

use crate::support::{Running, shot};

const ONE: &str = "application/cloudevents+json";
const LIST: &str = "application/cloudevents-batch+json";

/// A shot in an envelope.
fn envelope(id: &str) -> Value {
    let mut data: Value = serde_json::from_str(&shot(id)).unwrap();
    let mut envelope = json!({"specversion": "1.0", "type": "evencarry.shot.v1"});
    for name in ["id", "source", "time"] {
        envelope[name] = data.as_object_mut().unwrap().remove(name).unwrap();
    }
    envelope["data"] = data;
    envelope
}

fn post(service: &Running, media: &str, path: &str, body: &Value) -> crate::support::Answer {
    service.send_as(media, "POST", path, body.to_string().as_bytes())
}

/// An event in the form of the examples of the standard's JSON event format (CloudEvents 1.0.2,
/// section 3.2), with our type and data.
#[test]
fn an_envelope_is_stored_as_the_event_that_says_the_same() {
    let service = Running::start();
    let sent = r#"{
        "specversion" : "1.0", "type" : "evencarry.shot.v1", "source" : "bay-3",
        "subject" : null, "id" : "C234-1234-1234", "time" : "2026-04-11T10:15:04Z",
        "comexampleextension1" : "value", "comexampleothervalue" : 5,
        "datacontenttype" : "application/json",
        "data" : { "flight" : { "carry_m" : 158.30 }, "ext": {"a": 1} }
    }"#;
    let answer = service.send_as(ONE, "POST", "/v1/shots", sent.as_bytes());
    assert_eq!(answer.status, 201, "{answer:?}");
    assert_eq!(answer.header("location"), Some("/v1/shots/bay-3/C234-1234-1234"));
    let item = service.get("/v1/shots/bay-3/C234-1234-1234");
    assert!(item.text().contains("158.30"), "number literals are given back as sent");
    assert_eq!(
        item.json()["event"],
        json!({
            "id": "C234-1234-1234", "source": "bay-3", "time": "2026-04-11T10:15:04Z",
            "flight": {"carry_m": 158.3},
            "ext": {"a": 1, "cloudevent": {"comexampleextension1": "value", "comexampleothervalue": 5}},
        })
    );
}

#[test]
fn an_envelope_and_a_plain_event_are_the_same_shot() {
    let service = Running::start();
    assert_eq!(service.send("POST", "/v1/shots", &shot("1")).status, 201);
    let again = post(&service, ONE, "/v1/shots", &envelope("1"));
    assert_eq!((again.status, &again.json()["status"]), (200, &json!("duplicate")));
    assert_eq!(post(&service, ONE, "/v1/shots", &envelope("2")).status, 201);
    assert_eq!(service.send("POST", "/v1/shots", &shot("2")).status, 200);
    let mut other = envelope("1");
    other["hops"] = json!(1);
    assert_eq!(post(&service, ONE, "/v1/shots", &other).status, 409);
}

#[test]
fn faults_are_told_where_they_are_in_the_envelope() {
    let service = Running::start();
    let mut faulty = envelope("1");
    faulty["type"] = json!("other.v1");
    faulty["data"]["flight"] = json!({"carry": 150});
    faulty.as_object_mut().unwrap().remove("time");
    let answer = post(&service, ONE, "/v1/shots?nonsense=1", &faulty);
    assert_eq!(answer.status, 422);
    let problem = answer.problem();
    let pointers: Vec<&str> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["pointer"].as_str().unwrap())
        .collect();
    assert_eq!(pointers, ["", "/type", "/data/flight/carry", "/time"]);
    assert_eq!(post(&service, ONE, "/v1/shots", &json!([envelope("1")])).status, 422);
}

#[test]
fn a_list_of_envelopes_is_judged_item_by_item_or_as_one() {
    let service = Running::start();
    let mut bad = envelope("2");
    bad["data"]["lie"] = json!("ice");
    let list = json!([envelope("1"), bad, 7, envelope("3")]);
    let answer = post(&service, LIST, "/v1/shots?all_or_nothing=true", &list);
    assert_eq!(answer.status, 422);
    assert_eq!(service.get("/v1/shots").json()["items"], json!([]));
    let told = post(&service, LIST, "/v1/shots", &list).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(2), &json!(2)));
    let refusal = &told["refusals"][0];
    assert_eq!((&refusal["line"], &refusal["id"]), (&json!(2), &json!("2")));
    assert_eq!(refusal["errors"][0]["pointer"], "/data/lie");
    assert_eq!(post(&service, LIST, "/v1/shots", &json!([])).json()["accepted"], 0);
    assert_eq!(post(&service, LIST, "/v1/shots", &envelope("4")).status, 422);
    assert_eq!(service.send_as(LIST, "POST", "/v1/shots", b"[{").status, 400);
}

#[test]
fn a_line_of_a_stream_and_an_item_of_an_array_are_plain_events() {
    let service = Running::start();
    let told = service.stream(&envelope("1").to_string()).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(0), &json!(1)));
    assert_eq!(service.send("POST", "/v1/shots", &envelope("1").to_string()).status, 422);
}

#[test]
fn binary_mode_is_refused_with_the_mend() {
    let service = Running::start();
    let body = shot("1");
    let head = |media: &str| {
        format!(
            "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\n\
             CE-SpecVersion: 1.0\r\nce-type: evencarry.shot.v1\r\nce-id: 1\r\nce-source: bay-3\r\n"
        )
    };
    let binary =
        format!("{}Content-Length: {}\r\n\r\n{body}", head("application/json"), body.len());
    let answer = service.ask(binary.as_bytes());
    assert_eq!(answer.status, 415);
    assert!(answer.problem()["detail"].as_str().unwrap().contains("structured mode"));
    let body = envelope("1").to_string();
    let structured = format!("{}Content-Length: {}\r\n\r\n{body}", head(ONE), body.len());
    assert_eq!(service.ask(structured.as_bytes()).status, 201);
}
