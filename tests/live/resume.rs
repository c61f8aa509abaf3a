//! Going on behind the last event.

use std::thread;

use serde_json::json;

use crate::{
    listener::{Event, Listener, ids},
    shot,
    support::{Running, raw},
};

#[test]
fn a_reader_that_comes_back_again_and_again_has_every_event_once() {
    const SHOTS: u64 = 400;
    let service = Running::start();
    let address = service.address;
    let sender = thread::spawn(move || {
        let mut connection = raw::Connection::open(address);
        for n in 0..SHOTS {
            let shot = shot(&n.to_string(), "rowan", "5h");
            connection.send(&raw::with_body(
                "application/json",
                "POST",
                "/v1/shots",
                shot.as_bytes(),
            ));
            assert_eq!(connection.answer().status, 201);
        }
    });
    let (mut told, mut last, mut visit): (Vec<Event>, u64, usize) = (Vec::new(), 0, 0);
    while last < SHOTS {
        let mut reader = Listener::resume(address, "/v1/live", last);
        // A prime each: reconnects fall before, within and after what is caught up.
        let many = [1, 7, 3, 29, 13][visit % 5].min(usize::try_from(SHOTS - last).unwrap());
        told.extend(reader.take(many));
        last = told.last().unwrap().id.unwrap();
        visit += 1;
    }
    sender.join().unwrap();
    assert_eq!(ids(&told), (1..=SHOTS).collect::<Vec<_>>());
}

#[test]
fn after_is_a_place_too_and_the_header_goes_before_it() {
    let service = Running::start();
    let lines: Vec<String> = (0..5).map(|n| shot(&n.to_string(), "rowan", "5h")).collect();
    service.stream(&lines.join("\n"));
    let after = |fields: &str| {
        let mut reader = Listener::ask(service.address, "/v1/live?after=1&kind=shot", fields);
        reader.next().id.unwrap()
    };
    assert_eq!(after(""), 2);
    assert_eq!(after("Last-Event-ID: 3\r\n"), 4);
}

#[test]
fn a_place_that_there_is_not_gives_one_reset_and_goes_on_from_now() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    for fields in ["Last-Event-ID: 2\r\n", "Last-Event-ID: none\r\n"] {
        let mut reader = Listener::ask(service.address, "/v1/live", fields);
        let reset = reader.next();
        assert_eq!((reset.kind.as_str(), reset.id), ("reset", None), "{fields}");
        let last = reset.data["after"].as_u64().unwrap();
        let sent = service.send("POST", "/v1/shots", &shot(&format!("x{last}"), "rowan", "5h"));
        assert_eq!(reader.next().id, sent.json()["sequence"].as_u64(), "{fields}");
    }
}

#[test]
fn a_replay_ends_where_it_was_told_to() {
    let service = Running::start();
    let lines: Vec<String> = (0..500).map(|n| shot(&n.to_string(), "rowan", "5h")).collect();
    service.stream(&lines.join("\n"));
    service.send("PATCH", "/v1/shots/bay-3/7", r#"{"lie":"mat"}"#);
    let told = Listener::follow(service.address, "/v1/live?after=100&until=501").rest();
    assert_eq!(ids(&told), (101..=501).collect::<Vec<_>>());
    assert_eq!(told.last().unwrap().data["act"], json!("correct"));
    let none = Listener::follow(service.address, "/v1/live?after=501&until=501").rest();
    assert_eq!(none, []);
}
