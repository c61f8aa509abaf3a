//! The built program, killed under a reader.

use crate::{
    listener::{Event, Listener, ids},
    shot,
    support::{daemon::Daemon, raw},
};

fn send(service: &Daemon, from: u32, many: u32) {
    let mut connection = service.connect();
    for n in from..from + many {
        let shot = shot(&n.to_string(), "rowan", "5h");
        connection.send(&raw::with_body("application/json", "POST", "/v1/shots", shot.as_bytes()));
        assert_eq!(connection.answer().status, 201);
    }
}

#[test]
fn after_a_kill_a_reader_goes_on_and_has_every_event_once() {
    let mut service = Daemon::start(&[]);
    let mut told: Vec<Event> = Vec::new();
    for round in 0..3 {
        let last = told.last().and_then(|event| event.id).unwrap_or(0);
        let mut reader = Listener::resume(service.address(), "/v1/live", last);
        send(&service, round * 100, 60);
        // The reader falls behind; what it has not taken by then is told after the restart.
        told.extend(reader.take(30));
        send(&service, round * 100 + 60, 40);
        service = service.kill_and_restart(&[]);
    }
    let last = told.last().and_then(|event| event.id).unwrap();
    let mut reader = Listener::resume(service.address(), "/v1/live", last);
    told.extend(reader.take(usize::try_from(300 - last).unwrap()));
    assert_eq!(ids(&told), (1..=300).collect::<Vec<_>>());
    let sent = (0..300).map(|n| n.to_string());
    assert!(
        told.iter().map(|event| event.data["event"]["id"].as_str().unwrap().to_owned()).eq(sent)
    );
}
