//! Stopping: what was accepted is answered.

use crate::support::{Running, shot, wait_until};

#[test]
fn what_was_accepted_is_answered_before_the_end() {
    let mut service = Running::start();
    let mut stream = service.connect();
    stream.send(
        b"POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n",
    );
    let send = |stream: &mut crate::support::Connection, id: &str| {
        let line = shot(id) + "\n";
        stream.send(format!("{:x}\r\n{line}\r\n", line.len()).as_bytes());
    };
    send(&mut stream, "1");
    wait_until("the stream is under way", || service.store.last().get() == 1);

    service.tell_to_stop();
    let address = service.address;
    wait_until("nobody new is served", || {
        let connected = std::net::TcpStream::connect(address);
        connected.is_err()
    });
    send(&mut stream, "2");
    stream.send(b"0\r\n\r\n");
    let answer = stream.answer();
    assert_eq!(answer.status, 200);
    assert_eq!(answer.json()["accepted"], 2);
    service.wait();
    assert_eq!(service.store.last().get(), 2);
}

#[test]
fn an_idle_connection_does_not_hold_the_end_up() {
    let mut service = Running::start();
    let mut idle = service.connect();
    idle.send(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n");
    assert_eq!(idle.answer().status, 200);
    service.tell_to_stop();
    service.wait();
    assert!(idle.try_answer().is_none());
}

#[test]
fn a_stream_that_never_ends_is_told_at_a_stop_how_far_it_came() {
    let mut service = Running::adjusted(|service| {
        service.limits.shutdown_time = std::time::Duration::from_secs(2);
    });
    let mut stream = service.connect();
    stream.send(
        b"POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nContent-Length: 1000\r\n\r\n",
    );
    stream.send((shot("1") + "\n").as_bytes());
    wait_until("the stream is under way", || service.store.last().get() == 1);
    service.tell_to_stop();
    let answer = stream.answer();
    assert_eq!(answer.status, 503);
    let problem = answer.json();
    assert_eq!((&problem["accepted"], &problem["last_line"]), (&1.into(), &1.into()), "{problem}");
    service.wait();
}
