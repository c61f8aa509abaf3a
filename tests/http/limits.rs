//! The limits: each is a problem that names it, and nothing else suffers.

use std::time::{Duration, Instant};

use crate::support::{Connection, Running, raw::with_body, shot};

#[test]
fn a_head_over_its_limit_is_told_so() {
    let service = Running::start();
    let head = |bytes: usize| {
        let padding = "x".repeat(bytes);
        service.ask(
            format!("GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-Padding: {padding}\r\n\r\n")
                .as_bytes(),
        )
    };
    assert_eq!(head(16_000).status, 200);
    let answer = head(17_000);
    assert_eq!(answer.status, 431);
    assert!(answer.problem()["detail"].as_str().unwrap().contains("16384"));
    // A head that is never whole is the server's to refuse, without a problem.
    assert_eq!(head(200_000).status, 431);
}

#[test]
fn a_plain_body_over_its_limit_is_refused_whether_it_says_so_or_not() {
    let service = Running::adjusted(|service| service.limits.body_bytes = 1_000);
    let body = format!("[{}]", " ".repeat(999));
    let declared = service.send("POST", "/v1/shots", &body);
    assert_eq!(declared.status, 413);
    assert!(declared.problem()["detail"].as_str().unwrap().contains("1000"));
    let chunked = format!(
        "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n\
         Transfer-Encoding: chunked\r\n\r\n{:x}\r\n{body}\r\n0\r\n\r\n",
        body.len()
    );
    assert_eq!(service.ask(chunked.as_bytes()).status, 413);
    assert_eq!(service.send("POST", "/v1/shots", &body[1..]).status, 400, "a byte less is read");
}

#[test]
fn a_declared_giant_is_refused_before_it_is_sent() {
    let service = Running::start();
    let mut connection = service.connect();
    connection.send(
        b"POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n\
          Content-Length: 99999999999\r\n\r\n[",
    );
    assert_eq!(connection.answer().status, 413);
}

#[test]
fn depth_and_size_of_one_event_are_bounded() {
    let service = Running::start();
    let deep = shot("1").replace(
        "\"lie\"",
        &format!("\"ext\":{}1{},\"lie\"", "{\"a\":".repeat(40), "}".repeat(40)),
    );
    let answer = service.send("POST", "/v1/shots", &deep);
    assert_eq!(answer.status, 400);
    assert!(answer.problem()["detail"].as_str().unwrap().contains("32"));
    let abyss = "[".repeat(1_000_000);
    assert_eq!(service.send("POST", "/v1/shots", &abyss).status, 400);
    let wide = shot("1")
        .replace("\"lie\"", &format!("\"ext\":{{\"a\":\"{}\"}},\"lie\"", "x".repeat(17_000)));
    let answer = service.send("POST", "/v1/shots", &wide);
    assert_eq!(answer.status, 422);
    assert_eq!(answer.problem()["errors"][0]["pointer"], "/ext");
}

#[test]
fn an_over_long_line_is_one_refusal_and_the_stream_goes_on() {
    let service = Running::start();
    let long = format!("{{\"ext\":\"{}\"}}", "x".repeat(70_000));
    let answer = service.stream(&format!("{}\n{long}\n\n{}\n", shot("1"), shot("2")));
    assert_eq!(answer.status, 200);
    let told = answer.json();
    assert_eq!((&told["accepted"], &told["refused"]), (&2.into(), &1.into()));
    assert_eq!(told["refusals"][0]["line"], 2);
    assert_eq!(told["refusals"][0]["status"], 413);
}

#[test]
fn a_silent_sender_is_told_how_far_it_came() {
    let service = Running::adjusted(|service| {
        service.limits.body_silence = Duration::from_millis(200);
    });
    let whole = with_body("application/x-ndjson", "POST", "/v1/shots", &vec![b'x'; 100_000]);
    let head = &whole[..whole.len() - 100_000];
    let mut connection = service.connect();
    connection.send(head);
    connection.send(format!("{}\n{}\nnonsense\n{{\"id\"", shot("1"), shot("2")).as_bytes());
    let answer = connection.answer();
    assert_eq!(answer.status, 408);
    let problem = answer.problem();
    assert_eq!(problem["accepted"], 2);
    assert_eq!(problem["duplicates"], 0);
    assert_eq!(problem["last_line"], 3);
    assert_eq!(problem["refusals"][0]["line"], 3);
    assert_eq!(service.get("/v1/shots").json()["items"].as_array().unwrap().len(), 2);
}

/// Bytes one by one, faster than any silence, until there is an answer.
fn drip(connection: &mut Connection, bytes: impl Iterator<Item = u8>) -> bool {
    for byte in bytes {
        connection.send(&[byte]);
        if connection.has_answer_within(Duration::from_millis(5)) {
            return true;
        }
    }
    false
}

#[test]
fn a_body_that_drips_is_cut_unless_it_is_a_stream() {
    let service = Running::adjusted(|service| {
        service.limits.body_time = Duration::from_secs(1);
        service.limits.linger_time = Duration::from_millis(300);
    });
    let long = vec![b' '; 15_000_000];
    for (media, path) in [
        ("application/json", "/v1/shots"),
        ("application/json", "/v1/assignments"),
        ("application/x-ndjson", "/v1/shots?all_or_nothing=true"),
    ] {
        let request = with_body(media, "POST", path, &long);
        let mut connection = service.connect();
        connection.send(&request[..request.len() - long.len()]);
        assert!(drip(&mut connection, long.iter().copied().take(20_000)), "{media} {path}");
        let answer = connection.answer();
        assert_eq!(answer.status, 408, "{media} {path}");
        let problem = answer.problem();
        assert!(problem["detail"].as_str().unwrap().contains("not whole after 1 s"), "{problem}");
    }
    let line = format!("{}{}\n", " ".repeat(100), shot("1"));
    let request = with_body("application/x-ndjson", "POST", "/v1/shots", line.as_bytes());
    let (head, last) = request.split_at(request.len() - line.len());
    let mut connection = service.connect();
    connection.send(head);
    let begun = Instant::now();
    drip(&mut connection, last.iter().copied());
    assert_eq!(connection.answer().status, 200);
    assert!(begun.elapsed() > Duration::from_secs(1), "it took longer than a whole body may");
}

#[test]
fn who_comes_beyond_the_connections_waits_until_another_goes() {
    let service = Running::adjusted(|service| service.limits.connections = 1);
    let ask = |connection: &mut Connection| {
        connection.send(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n");
    };
    // One connection a worker: these are far beyond.
    let mut first = service.connect();
    ask(&mut first);
    assert_eq!(first.answer().status, 200);
    let mut served = vec![first];
    let mut waiting = Vec::new();
    for _ in 0..63 {
        let mut connection = service.connect();
        ask(&mut connection);
        if connection.has_answer_within(Duration::from_millis(20)) {
            served.push(connection);
        } else {
            waiting.push(connection);
        }
    }
    assert!(!waiting.is_empty(), "all {} are served at one time", served.len());
    drop(served);
    for mut connection in waiting {
        assert_eq!(connection.answer().status, 200);
    }
}

#[test]
fn all_or_nothing_is_for_so_many_shots() {
    let service = Running::adjusted(|service| service.limits.atomic_shots = 2);
    let three = format!("[{},{},{}]", shot("1"), shot("2"), shot("3"));
    let answer = service.send("POST", "/v1/shots?all_or_nothing=true", &three);
    assert_eq!(answer.status, 413);
    answer.problem();
    assert_eq!(service.get("/v1/shots").json()["items"], serde_json::json!([]));
}
