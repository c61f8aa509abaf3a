//! From where a reader comes back: the id of the last event that it had, else where it first began.

use std::{thread, time::Duration};

use crate::{
    listener::{Event, Listener, ids},
    shot_from,
    support::{Running, raw},
};

/// Shots of two bays in turn: those with even ids of bay-4.
fn from_two_bays(ids: std::ops::Range<u64>) -> String {
    let bay = |id: u64| if id.is_multiple_of(2) { "bay-4" } else { "bay-3" };
    let shots = ids.map(|id| shot_from(bay(id), (&id.to_string(), "rowan", "5h"), ""));
    shots.collect::<Vec<_>>().join("\n")
}

#[test]
fn who_loses_a_stream_before_its_first_event_asks_behind_the_same_answer_again() {
    let service = Running::start();
    service.stream(&from_two_bays(0..3));
    let as_of = service.get("/v1/shots").json()["as_of"].as_u64().unwrap();
    let path = format!("/v1/live?after={as_of}");
    let mut lost = Listener::follow(service.address, &path);
    lost.is_silent_for(1);
    assert_eq!(lost.last_id, None);
    drop(lost);
    service.stream(&from_two_bays(3..5));
    // A browser asks for the same address, and has no last event's id to send.
    assert_eq!(ids(&Listener::follow(service.address, &path).take(2)), [4, 5]);
}

#[test]
fn a_place_that_there_is_not_is_put_right() {
    let service = Running::start();
    service.stream(&from_two_bays(0..3));
    let mut lost = Listener::resume(service.address, "/v1/live", 99);
    let reset = lost.next();
    assert_eq!((reset.kind.as_str(), reset.data["after"].as_u64()), ("reset", Some(3)));
    service.stream(&from_two_bays(3..4));
    let next = lost.next();
    assert_eq!((next.kind.as_str(), next.id), ("shot", Some(4)));
}

#[test]
fn a_reader_that_follows_little_is_cut_with_a_place_close_by() {
    let mut service = Running::adjusted(|service| {
        service.limits.heartbeat_time = Duration::from_millis(20);
    });
    service.stream(&from_two_bays(0..2));
    let mut reader = Listener::follow(service.address, "/v1/live?source=bay-4");
    reader.is_silent_for(1);
    for n in 0..20 {
        let shot = shot_from("bay-3", (&format!("x{n}"), "rowan", "5h"), "");
        service.send("POST", "/v1/shots", &shot);
    }
    // The feed may be a moment behind what was answered.
    reader.is_silent_for(20);
    service.tell_to_stop();
    let cut = reader.next();
    assert_eq!((cut.kind.as_str(), cut.data["after"].as_u64()), ("cut", Some(22)));
}

#[test]
fn who_catches_up_on_others_shots_for_long_hears_that_the_service_is_alive() {
    let service = Running::adjusted(|service| {
        // Nothing but catching up says anything.
        service.limits.heartbeat_time = Duration::from_hours(1);
    });
    service.stream(&from_two_bays(0..2));
    let shots = (0..9_000).map(|n| shot_from("bay-3", (&format!("x{n}"), "rowan", "5h"), ""));
    service.stream(&shots.collect::<Vec<_>>().join("\n"));
    Listener::resume(service.address, "/v1/live?source=bay-4", 2).is_silent_for(3);
}

#[test]
fn who_comes_back_from_anywhere_has_every_event_once() {
    const SHOTS: u64 = 400;
    let service = Running::adjusted(|service| {
        service.limits.heartbeat_time = Duration::from_millis(1);
    });
    service.stream(&from_two_bays(0..2));
    let address = service.address;
    let sender = thread::spawn(move || {
        let mut connection = raw::Connection::open(address);
        for n in 2..SHOTS {
            let shot = from_two_bays(n..n + 1);
            let request = raw::with_body("application/json", "POST", "/v1/shots", shot.as_bytes());
            connection.send(&request);
            assert_eq!(connection.answer().status, 201);
        }
    });
    let (mut told, mut last): (Vec<Event>, u64) = (Vec::new(), 2);
    // The last shot is not of the bay.
    while last < SHOTS - 1 {
        let mut reader = Listener::resume(address, "/v1/live?source=bay-4", last);
        // However little it has had by then.
        for _ in 0..3 {
            told.extend(reader.within(Duration::from_millis(3)));
        }
        last = reader.last_id.unwrap_or(last);
    }
    sender.join().unwrap();
    let wanted: Vec<u64> = (1..=SHOTS).filter(|at| at % 2 == 1 && *at > 2).collect();
    assert_eq!(ids(&told), wanted);
}
