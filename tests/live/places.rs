//! From where a reader comes back: the last event's id, which events and the stream's own blocks set (HTML
//! Standard, 9.2.6: a block without data sets it too, and is no event).

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
fn who_loses_a_stream_before_its_first_event_misses_nothing() {
    let service = Running::start();
    service.stream(&from_two_bays(0..3));
    for (path, begins) in [("/v1/live", 3), ("/v1/live?after=1", 1), ("/v1/live?after=0", 0)] {
        let mut reader = Listener::follow(service.address, path);
        while reader.last_id.is_none() {
            reader.within(Duration::from_millis(20));
        }
        assert!(reader.last_id >= Some(begins), "{path}");
    }
    let mut lost = Listener::follow(service.address, "/v1/live");
    lost.comes_to(3);
    let last = lost.last_id.unwrap();
    drop(lost);
    service.stream(&from_two_bays(3..5));
    assert_eq!(ids(&Listener::resume(service.address, "/v1/live", last).take(2)), [4, 5]);
}

#[test]
fn a_place_that_there_is_not_is_put_right_for_the_next_time() {
    let service = Running::start();
    service.stream(&from_two_bays(0..3));
    let mut lost = Listener::resume(service.address, "/v1/live", 99);
    assert_eq!(lost.next().kind, "reset");
    assert_eq!(lost.last_id, Some(3));
    let mut again = Listener::resume(service.address, "/v1/live", lost.last_id.unwrap());
    service.stream(&from_two_bays(3..4));
    let next = again.next();
    assert_eq!((next.kind.as_str(), next.id), ("shot", Some(4)));
}

#[test]
fn a_reader_whose_filter_leaves_everything_out_does_not_fall_behind() {
    let service = Running::adjusted(|service| {
        service.limits.heartbeat_time = Duration::from_millis(20);
    });
    service.stream(&from_two_bays(0..2));
    let mut reader = Listener::follow(service.address, "/v1/live?source=bay-4");
    reader.comes_to(2);
    for n in 0..20 {
        let shot = shot_from("bay-3", (&format!("x{n}"), "rowan", "5h"), "");
        service.send("POST", "/v1/shots", &shot);
    }
    reader.comes_to(22);
    service.stream(&shot_from("bay-4", ("y", "rowan", "5h"), ""));
    assert_eq!(reader.next().id, Some(23));
}

#[test]
fn who_catches_up_on_a_long_order_of_others_shots_is_told_how_far_it_is() {
    let service = Running::adjusted(|service| {
        // Nothing but catching up says anything.
        service.limits.heartbeat_time = Duration::from_hours(1);
    });
    service.stream(&from_two_bays(0..2));
    let shots = (0..9_000).map(|n| shot_from("bay-3", (&format!("x{n}"), "rowan", "5h"), ""));
    service.stream(&shots.collect::<Vec<_>>().join("\n"));
    Listener::resume(service.address, "/v1/live?source=bay-4", 2).comes_to(8_000);
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
    while last < SHOTS {
        let mut reader = Listener::resume(address, "/v1/live?source=bay-4", last);
        // However little it has had by then: an event, a place, or nothing.
        for _ in 0..3 {
            told.extend(reader.within(Duration::from_millis(3)));
        }
        last = reader.last_id.unwrap_or(last);
    }
    sender.join().unwrap();
    let wanted: Vec<u64> = (1..=SHOTS).filter(|at| at % 2 == 1 && *at > 2).collect();
    assert_eq!(ids(&told), wanted);
}
