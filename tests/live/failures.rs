//! What is stored cannot be read, for a moment or for good.

use std::sync::{Arc, atomic::Ordering::SeqCst};

use serde_json::json;

use crate::{
    listener::Listener,
    shot, shot_from,
    support::{
        Running,
        failing_disk::{self, Failures, UNREADABLE},
        wait_until,
    },
};

/// A service with a first shot, on a disk that can be made to fail.
fn on_a_failing_disk() -> (Running, Arc<Failures>) {
    let (service, failures) = failing_disk::service();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    (service, failures)
}

fn send_unreadable(service: &Running, id: &str) {
    let more = format!(r#","ext":{{"note":"{UNREADABLE}"}}"#);
    let sent = service.send("POST", "/v1/shots", &shot_from("bay-3", (id, "rowan", "5h"), &more));
    assert_eq!(sent.status, 201);
}

fn failures_told(service: &Running) -> u64 {
    let page = service.get("/metrics");
    let name = "evencarry_live_failures_total ";
    let line = page.text().lines().find_map(|line| line.strip_prefix(name));
    line.unwrap().parse().unwrap()
}

#[test]
fn a_read_that_fails_for_a_moment_costs_readers_nothing() {
    let (service, failures) = on_a_failing_disk();
    let mut reader = Listener::follow(service.address, "/v1/live");
    failures.reads.store(true, SeqCst);
    send_unreadable(&service, "2");
    wait_until("a read fails", || failures_told(&service) > 0);
    failures.reads.store(false, SeqCst);
    service.send("POST", "/v1/shots", &shot("3", "rowan", "5h"));
    assert_eq!([reader.next().id, reader.next().id], [Some(2), Some(3)]);
    assert_eq!(service.get("/readyz").status, 200);
}

#[test]
fn what_fails_for_good_is_told_to_readers_to_lists_and_to_who_asks_whether_all_is_well() {
    let (service, failures) = on_a_failing_disk();
    let mut reader = Listener::follow(service.address, "/v1/live");
    reader.is_silent_for(1);
    let mut waiting = service.connect();
    waiting.send(b"GET /v1/shots?after=1&lie=sand&wait=60 HTTP/1.1\r\nHost: localhost\r\n\r\n");
    failures.reads.store(true, SeqCst);
    send_unreadable(&service, "2");
    let told = reader.rest();
    let cut = told.last().unwrap();
    assert_eq!((cut.kind.as_str(), &cut.data["reason"]), ("cut", &json!("failed")));
    assert_eq!(cut.data["after"], 1);

    let refused = waiting.answer();
    assert_eq!(refused.status, 503, "a list that waited");
    let begun = std::time::Instant::now();
    for path in ["/v1/shots?after=1&lie=sand&wait=60", "/v1/live"] {
        let refused = service.get(path);
        assert_eq!((refused.status, refused.header("retry-after")), (503, Some("30")), "{path}");
        refused.problem();
    }
    assert!(begun.elapsed().as_secs() < 30, "the refusal waited");
    let not_ready = service.get("/readyz");
    assert_eq!(not_ready.status, 503);
    assert_eq!(not_ready.problem()["takes_writes"], true);
    let detail = not_ready.problem()["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("nobody is told") && detail.contains("cannot read this"), "{detail}");
    // The rest goes on.
    assert_eq!(service.send("POST", "/v1/shots", &shot("3", "rowan", "5h")).status, 201);
    assert_eq!(service.get("/v1/players/rowan/clubs/5h/profile").json()["shots"], 3);
}
