//! The end of the service.

use std::time::Instant;

use crate::{listener::Listener, shot, support::Running};

#[test]
fn streams_end_at_once_and_say_where_to_go_on() {
    let mut service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    let mut following = Listener::follow(service.address, "/v1/live");
    let mut watching =
        Listener::follow(service.address, "/v1/live?player=rowan&club=5h&kind=profile");
    watching.next_of("profile");
    service.send("POST", "/v1/shots", &shot("2", "rowan", "5h"));
    assert_eq!(following.next().id, Some(2));
    let shutdown_time = api_limits().shutdown_time;
    let begun = Instant::now();
    service.tell_to_stop();
    for reader in [&mut following, &mut watching] {
        let told = reader.rest();
        let cut = told.last().unwrap();
        assert_eq!((cut.kind.as_str(), &cut.data["reason"]), ("cut", &"stopping".into()));
        assert!(cut.data["after"].as_u64().unwrap() <= 2);
    }
    service.wait();
    assert!(begun.elapsed() < shutdown_time, "the end waited for a stream");
}

#[test]
fn a_list_that_waits_answers_when_the_service_stops() {
    let mut service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    let mut waiting = service.connect();
    waiting.send(b"GET /v1/shots?after=1&wait=60 HTTP/1.1\r\nHost: localhost\r\n\r\n");
    crate::support::wait_until("it waits", || {
        service.get("/metrics").text().contains("\nevencarry_live_readers 1\n")
    });
    service.tell_to_stop();
    let answer = waiting.answer();
    assert_eq!((answer.status, &answer.json()["items"]), (200, &serde_json::json!([])));
    service.wait();
}

fn api_limits() -> evencarry::api::Limits {
    evencarry::api::Limits::default()
}
