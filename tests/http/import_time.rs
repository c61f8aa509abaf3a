//! An import that drips holds the place of others for so long and no longer.

use std::time::Duration;

use crate::support::{Answer, Running, raw::with_body, shot};

fn import(service: &Running, archive: &[u8]) -> Answer {
    service.send_as("application/x-ndjson", "POST", "/v1/import", archive)
}

/// Sends an import byte by byte, faster than any silence, until it is answered; and whether another
/// was refused meanwhile.
fn drip(service: &Running, archive: &[u8]) -> (Answer, bool) {
    let long = [archive, &vec![b' '; 20_000]].concat();
    let request = with_body("application/x-ndjson", "POST", "/v1/import", &long);
    let mut connection = service.connect();
    connection.send(&request[..request.len() - long.len()]);
    let (mut blocked, mut bytes) = (false, long.chunks(1));
    while !connection.has_answer_within(Duration::from_millis(5)) {
        connection.send(bytes.next().expect("an answer before the last byte"));
        if !blocked {
            let other = import(service, b"");
            blocked = other.status == 409;
            // Before the first has begun, what holds nothing is told to be cut short.
            assert!(blocked || other.status == 422, "{}", other.text());
        }
    }
    (connection.answer(), blocked)
}

#[test]
fn an_import_that_drips_makes_room_for_another() {
    let full = Running::start();
    full.send("POST", "/v1/shots", &shot("1"));
    let archive = full.get("/v1/export").body;
    let service = Running::adjusted(|service| {
        service.limits.import_time = Duration::from_secs(2);
        service.limits.linger_time = Duration::from_millis(300);
    });
    // It may be that the other came first, and this one is refused.
    let mut told = drip(&service, &archive);
    while told.0.status == 409 {
        told = drip(&service, &archive);
    }
    let (answer, blocked) = told;
    assert!(blocked, "only one is received at a time");
    assert_eq!(answer.status, 408);
    let problem = answer.problem();
    assert!(problem["detail"].as_str().unwrap().contains("not whole after 2 s"), "{problem}");
    let taken = import(&service, &archive);
    assert_eq!(taken.status, 200, "{}", taken.text());
    assert_eq!(service.get("/v1/shots").json()["items"].as_array().unwrap().len(), 1);
}
