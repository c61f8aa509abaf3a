//! Many shots: arrays, streams, and all of them or none.

use std::fmt::Write;

use serde_json::{Value, json};

use crate::support::{Running, raw::with_body, shot, shot_with, wait_until};

fn stored(service: &Running) -> usize {
    service.get("/v1/shots?limit=1000").json()["items"].as_array().unwrap().len()
}

#[test]
fn items_of_an_array_are_taken_or_refused_one_by_one() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot_with("old", 150.0));
    let body = format!(
        "[{},{},{},7,{}]",
        shot("1"),
        shot_with("old", 150.0),
        shot_with("old", 151.0),
        r#"{"source":"bay-3","id":"x"}"#
    );
    let answer = service.send("POST", "/v1/shots", &body);
    assert_eq!(answer.status, 200);
    let told = answer.json();
    assert_eq!(told["accepted"], 1);
    assert_eq!(told["duplicates"], 1);
    assert_eq!(told["refused"], 3);
    assert_eq!(told["last_sequence"], 2);
    let lines: Vec<_> =
        told["refusals"].as_array().unwrap().iter().map(|r| (&r["line"], &r["status"])).collect();
    assert_eq!(
        lines,
        [(&json!(3), &json!(409)), (&json!(4), &json!(422)), (&json!(5), &json!(422))]
    );
    let last = &told["refusals"][2];
    assert_eq!((&last["source"], &last["id"]), (&json!("bay-3"), &json!("x")));
    assert_eq!(last["errors"][0]["pointer"].as_str().unwrap().chars().next(), Some('/'));
    assert_eq!(told.get("refusals_left_out"), None);
}

#[test]
fn many_is_many_though_it_be_one_or_none() {
    let service = Running::start();
    for (media, body, accepted) in [
        ("application/json", String::from("[]"), 0),
        ("application/json", format!("[{}]", shot("1")), 1),
        ("application/x-ndjson", String::new(), 0),
        ("application/x-ndjson", String::from("\n\n"), 0),
        ("application/x-ndjson", shot("2"), 1),
    ] {
        let answer = service.send_as(media, "POST", "/v1/shots", body.as_bytes());
        assert_eq!(answer.status, 200, "{body}");
        assert_eq!(answer.json()["accepted"], accepted, "{body}");
    }
    let none = service.send("POST", "/v1/shots", "[]").json();
    assert_eq!(none["last_sequence"], Value::Null);
}

#[test]
fn a_stream_of_any_length_is_stored_in_order() {
    let service = Running::start();
    let lines: String = (0..5_000).map(|n| shot(&format!("{n:06}")) + "\n").collect();
    let told = service.stream(&lines).json();
    assert_eq!(told["accepted"], 5_000);
    assert_eq!(told["refused"], 0);
    assert_eq!(told["last_sequence"], 5_000);
    let last = service.get("/v1/shots?order=newest&limit=1").json();
    assert_eq!(last["items"][0]["event"]["id"], "004999");
    assert_eq!(last["items"][0]["sequence"], 5_000);
    assert_eq!(service.stream(&lines).json()["duplicates"], 5_000);
}

#[test]
fn a_stream_may_come_in_chunks_that_cut_its_lines() {
    let service = Running::start();
    let body = format!("{}\r\n\n{}", shot("1"), shot("2"));
    let mut request = String::from(
        "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n",
    );
    for chunk in body.as_bytes().chunks(7) {
        let text = std::str::from_utf8(chunk).unwrap();
        write!(request, "{:x}\r\n{text}\r\n", chunk.len()).unwrap();
    }
    request += "0\r\n\r\n";
    assert_eq!(service.ask(request.as_bytes()).json()["accepted"], 2);
}

#[test]
fn refusals_beyond_a_thousand_are_counted_only() {
    let service = Running::start();
    let told = service.stream(&"{}\n".repeat(2_500)).json();
    assert_eq!(told["refused"], 2_500);
    assert_eq!(told["refusals"].as_array().unwrap().len(), 1_000);
    assert_eq!(told["refusals"][999]["line"], 1_000);
    assert_eq!(told["refusals_left_out"], 1_500);
}

#[test]
fn a_half_sent_stream_keeps_its_whole_lines_and_says_so() {
    let service = Running::start();
    let lines = format!("{}\n{}\n{}", shot("1"), shot("2"), &shot("3")[..40]);
    let whole = with_body("application/x-ndjson", "POST", "/v1/shots", lines.as_bytes());
    let longer = String::from_utf8(whole).unwrap().replace(
        &format!("Content-Length: {}", lines.len()),
        &format!("Content-Length: {}", lines.len() + 100),
    );
    let mut connection = service.connect();
    connection.send(longer.as_bytes());
    connection.end();
    if let Some(answer) = connection.try_answer() {
        let problem = answer.problem();
        assert_eq!(answer.status, 400);
        assert_eq!((&problem["accepted"], &problem["last_line"]), (&json!(2), &json!(2)));
    }
    wait_until("both whole lines are stored", || stored(&service) == 2);
}

#[test]
fn what_is_sent_slowly_is_stored_as_it_comes() {
    let service = Running::start();
    let mut connection = service.connect();
    connection.send(&with_body("application/x-ndjson", "POST", "/v1/shots", b"")[..]);
    assert_eq!(connection.answer().status, 200);
    connection.send(
        b"POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n",
    );
    for n in 1..=3 {
        let line = shot(&n.to_string()) + "\n";
        connection.send(format!("{:x}\r\n{line}\r\n", line.len()).as_bytes());
        wait_until("the line is stored while the stream is open", || stored(&service) == n);
    }
    connection.send(b"0\r\n\r\n");
    assert_eq!(connection.answer().json()["accepted"], 3);
}

#[test]
fn broken_framing_in_the_middle_keeps_what_was_whole() {
    let service = Running::start();
    let line = shot("1") + "\n";
    let request = format!(
        "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n{:x}\r\n{line}\r\nnonsense\r\n",
        line.len()
    );
    let mut connection = service.connect();
    connection.send(request.as_bytes());
    if let Some(answer) = connection.try_answer() {
        assert_eq!(answer.status, 400);
    }
    wait_until("the whole line is stored", || stored(&service) == 1);
}

#[test]
fn all_or_nothing_stores_all() {
    let service = Running::start();
    let lines = format!("{}\n\n{}\n{}\n", shot("1"), shot("2"), shot("1"));
    let answer = service.send_as(
        "application/x-ndjson",
        "POST",
        "/v1/shots?all_or_nothing=true",
        lines.as_bytes(),
    );
    assert_eq!(answer.status, 200);
    assert_eq!((&answer.json()["accepted"], &answer.json()["duplicates"]), (&json!(2), &json!(1)));
    assert_eq!(stored(&service), 2);
}

#[test]
fn all_or_nothing_stores_nothing_when_one_is_refused() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot_with("old", 150.0));
    let conflict = format!("[{},{}]", shot("1"), shot_with("old", 151.0));
    let answer = service.send("POST", "/v1/shots?all_or_nothing=true", &conflict);
    assert_eq!(answer.status, 409);
    let problem = answer.problem();
    assert_eq!((&problem["accepted"], &problem["refused"]), (&json!(0), &json!(1)));
    assert_eq!(problem["refusals"][0]["line"], 2);
    let invalid = format!("{}\n{{}}\n{}\n", shot("1"), shot_with("old", 151.0));
    let answer = service.send_as(
        "application/x-ndjson",
        "POST",
        "/v1/shots?all_or_nothing=true",
        invalid.as_bytes(),
    );
    assert_eq!(answer.status, 422);
    assert_eq!(answer.problem()["refusals"][0]["line"], 2);
    assert_eq!(stored(&service), 1);
}

#[test]
fn one_line_conflicts_with_an_earlier_one_of_its_stream() {
    let service = Running::start();
    let told =
        service.stream(&format!("{}\n{}\n", shot_with("1", 150.0), shot_with("1", 151.0))).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(1), &json!(1)));
    assert_eq!(told["refusals"][0]["status"], 409);
}
