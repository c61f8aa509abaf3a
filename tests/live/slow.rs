//! Readers that do not read.

use serde_json::json;

use crate::{
    listener::{Listener, ids},
    shot, shot_from,
    support::{Running, wait_until},
};

fn figure(service: &Running, name: &str) -> u64 {
    let page = service.get("/metrics");
    let line = page.text().lines().find(|line| line.split(' ').next() == Some(name));
    line.unwrap_or_else(|| panic!("{name}: {}", page.text()))
        .rsplit(' ')
        .next()
        .unwrap()
        .parse()
        .unwrap()
}

#[test]
fn a_reader_that_stalls_is_cut_and_told_where_to_go_on_while_others_miss_nothing() {
    let service = Running::adjusted(|service| service.limits.stream_events = 20);
    let mut stalled = Listener::follow(service.address, "/v1/live");
    let mut quick = Listener::follow(service.address, "/v1/live");
    assert_eq!(figure(&service, "evencarry_live_readers"), 2);
    // More than the system holds for the one that stalls.
    let much = format!(r#","ext":{{"note":"{}"}}"#, "x".repeat(15_000));
    let mut sent = 0;
    while figure(&service, "evencarry_live_readers_cut_total") == 0 {
        for _ in 0..10 {
            sent += 1;
            let shot = shot_from("bay-3", (&sent.to_string(), "rowan", "5h"), &much);
            assert_eq!(service.send("POST", "/v1/shots", &shot).status, 201);
            assert_eq!(quick.next().id, Some(sent));
        }
        assert!(sent < 5_000, "the reader that stalls is never cut");
    }
    let told = stalled.rest();
    let (cut, before) = told.split_last().unwrap();
    assert_eq!((cut.kind.as_str(), cut.id), ("cut", None));
    assert_eq!(cut.data["reason"], "slow");
    let after = cut.data["after"].as_u64().unwrap();
    assert_eq!(ids(before), (1..=after).collect::<Vec<_>>());
    assert!(after < sent);
    let mut again = Listener::resume(service.address, "/v1/live", after);
    let many = usize::try_from(sent - after).unwrap();
    assert_eq!(ids(&again.take(many)), (after + 1..=sent).collect::<Vec<_>>());
}

#[test]
fn a_reader_that_goes_makes_room_for_another() {
    let service = Running::adjusted(|service| {
        service.limits.streams = 2;
        // By its second comment the service knows that a client is gone.
        service.limits.heartbeat_time = std::time::Duration::from_millis(50);
    });
    let first = Listener::follow(service.address, "/v1/live");
    let _second = Listener::follow(service.address, "/v1/live");
    let refused = service.get("/v1/live");
    assert_eq!((refused.status, refused.header("retry-after")), (429, Some("30")));
    assert!(refused.problem()["detail"].as_str().unwrap().starts_with("2 readers"));
    let refused = service.get("/v1/shots?after=0&wait=1");
    assert_eq!(refused.status, 429);
    drop(first);
    wait_until("the first is gone", || figure(&service, "evencarry_live_readers") == 1);
    assert_eq!(Listener::follow(service.address, "/v1/live").status, 200);
}

#[test]
fn a_silent_stream_says_that_it_is_there() {
    let service = Running::adjusted(|service| {
        service.limits.heartbeat_time = std::time::Duration::from_millis(50);
    });
    let mut reader = Listener::follow(service.address, "/v1/live");
    wait_until("comments come", || {
        assert_eq!(reader.within(std::time::Duration::from_millis(50)), None);
        reader.comments > 3
    });
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    assert_eq!(reader.next().data["event"]["id"], json!("1"));
}
