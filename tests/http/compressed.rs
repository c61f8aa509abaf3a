//! Compressed bodies: the same answers as for plain ones, in bounded memory whatever they hide.

use std::io::Write;

use flate2::{Compression, write::GzEncoder};
use serde_json::json;

use crate::support::{Answer, Connection, Running, shot, shot_with, wait_until};

const NDJSON: &str = "application/x-ndjson";
const JSON: &str = "application/json";

fn gzip(text: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(text).unwrap();
    encoder.finish().unwrap()
}

fn zstd(text: &[u8]) -> Vec<u8> {
    zstd::encode_all(text, 3).unwrap()
}

/// Packs a text.
type Pack = fn(&[u8]) -> Vec<u8>;

/// Both codings, each with what packs a text in it.
const CODINGS: [(&str, Pack); 2] = [("gzip", gzip), ("zstd", zstd)];

fn head(coding: &str, media: &str, (method, path): (&str, &str), length: usize) -> String {
    format!(
        "{method} {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\n\
         Content-Encoding: {coding}\r\nContent-Length: {length}\r\n\r\n"
    )
}

fn post(service: &Running, coding: &str, media: &str, body: &[u8]) -> Answer {
    let head = head(coding, media, ("POST", "/v1/shots"), body.len());
    service.ask(&[head.as_bytes(), body].concat())
}

fn stored(service: &Running) -> usize {
    service.get("/v1/shots?limit=1000").json()["items"].as_array().unwrap().len()
}

/// Files made by GNU gzip and the zstd program; see `tests/data/compressed/README.md`.
#[test]
fn what_other_programs_packed_in_parts_is_one_body() {
    for (coding, body) in [
        ("gzip", include_bytes!("../data/compressed/shots.ndjson.gz").as_slice()),
        ("x-gzip", include_bytes!("../data/compressed/shots.ndjson.gz")),
        ("ZSTD", include_bytes!("../data/compressed/shots.ndjson.zst")),
    ] {
        let service = Running::start();
        let told = post(&service, coding, NDJSON, body).json();
        assert_eq!((&told["accepted"], &told["refused"]), (&json!(2), &json!(0)), "{coding}");
        assert_eq!(service.get("/v1/shots/bay-3/2").json()["event"]["flight"]["carry_m"], 158.3);
        assert_eq!(service.stream(&shot("1")).json()["duplicates"], 1, "{coding}");
    }
}

#[test]
fn every_body_may_come_compressed() {
    for (coding, pack) in CODINGS {
        let service = Running::start();
        let put = pack(br#"{"name":"Rowan"}"#);
        let head = head(coding, JSON, ("PUT", "/v1/players/rowan"), put.len());
        assert_eq!(service.ask(&[head.as_bytes(), &put].concat()).status, 201);
        assert_eq!(post(&service, coding, JSON, &pack(shot("1").as_bytes())).status, 201);
        let two = format!("[{},{}]", shot("1"), shot("2"));
        let told = post(&service, coding, JSON, &pack(two.as_bytes())).json();
        assert_eq!((&told["accepted"], &told["duplicates"]), (&json!(1), &json!(1)));
    }
}

#[test]
fn a_long_stream_comes_through_whole_and_in_order() {
    let carry = |n: u32| 100.0 + f64::from(n * 7_919 % 100_003) / 1_000.0;
    let line = |n: u32| shot_with(&format!("{n:06}"), carry(n)) + "\n";
    let lines: String = (0..5_000).map(line).collect();
    for (coding, pack) in CODINGS {
        let service = Running::start();
        let told = post(&service, coding, NDJSON, &pack(lines.as_bytes())).json();
        assert_eq!((&told["accepted"], &told["refused"]), (&json!(5_000), &json!(0)));
        let last = service.get("/v1/shots?order=newest&limit=1").json();
        assert_eq!(last["items"][0]["event"]["id"], "004999");
        assert_eq!(service.stream(&lines).json()["duplicates"], 5_000, "{coding}");
    }
}

#[test]
fn what_came_is_stored_before_the_rest_comes() {
    let service = Running::start();
    let mut connection: Connection = service.connect();
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all((shot("1") + "\n").as_bytes()).unwrap();
    encoder.flush().unwrap();
    connection.send(head("gzip", NDJSON, ("POST", "/v1/shots"), 100_000).as_bytes());
    connection.send(encoder.get_ref());
    wait_until("the first line is stored", || stored(&service) == 1);
}

#[test]
fn a_coding_that_is_not_taken_is_told_which_are() {
    let service = Running::start();
    let body = gzip(shot("1").as_bytes());
    for coding in ["br", "deflate", "gzip, zstd", "gzip\r\nContent-Encoding: gzip", "*"] {
        let answer = post(&service, coding, JSON, &body);
        assert_eq!(answer.status, 415, "{coding}");
        // RFC 9110, 12.5.3.
        assert_eq!(answer.header("accept-encoding"), Some("gzip, zstd"), "{coding}");
        answer.problem();
    }
    assert_eq!(post(&service, "br", "text/plain", &body).header("accept-encoding"), None);
    assert_eq!(post(&service, "Identity", JSON, shot("1").as_bytes()).status, 201);
}

#[test]
fn a_plain_body_that_cannot_be_inflated_is_400_and_stores_nothing() {
    for (coding, pack) in CODINGS {
        let service = Running::start();
        let body = pack(shot("1").as_bytes());
        let cut = post(&service, coding, JSON, &body[..body.len() - 1]);
        assert_eq!(cut.status, 400);
        assert!(cut.problem()["detail"].as_str().unwrap().contains("ends before"), "{coding}");
        let plain = post(&service, coding, JSON, shot("1").as_bytes());
        assert_eq!(plain.status, 400, "{coding}");
        assert!(plain.problem()["detail"].as_str().unwrap().contains("damaged"), "{coding}");
        let followed = [&body[..], b"x"].concat();
        assert_eq!(post(&service, coding, JSON, &followed).status, 400, "{coding}");
        assert_eq!(stored(&service), 0);
    }
}

#[test]
fn a_stream_that_breaks_keeps_its_whole_lines_and_says_so() {
    for (coding, pack) in CODINGS {
        let service = Running::start();
        let whole = pack(format!("{}\n{{}}\n{}\n", shot("1"), shot("2")).as_bytes());
        let half = pack(format!("{}\n{}", shot("3"), &shot("4")[..40]).as_bytes());
        let body = [&whole[..], &half, b"and then nonsense"].concat();
        let answer = post(&service, coding, NDJSON, &body);
        assert_eq!(answer.status, 400, "{coding}");
        let problem = answer.problem();
        assert_eq!((&problem["accepted"], &problem["duplicates"]), (&json!(3), &json!(0)));
        assert_eq!(problem["refusals"][0]["line"], 2);
        assert_eq!(problem["last_line"], 4, "{problem}");
        assert_eq!(stored(&service), 3);
    }
}

#[test]
fn a_body_that_swells_is_refused_by_the_limit_it_names() {
    let bomb = include_bytes!("../data/compressed/zeros.zst");
    assert!(bomb.len() < 64 * 1024);
    let service = Running::start();
    for media in [JSON, NDJSON] {
        let answer = post(&service, "zstd", media, bomb);
        assert_eq!(answer.status, 413, "{media}");
        assert!(answer.problem()["detail"].as_str().unwrap().contains("100 times"), "{media}");
    }
    let spaces = vec![b' '; 20 * 1024 * 1024];
    for (coding, pack) in CODINGS {
        let answer = post(&service, coding, NDJSON, &pack(&spaces));
        assert_eq!(answer.status, 413, "{coding}");
        assert_eq!(answer.problem()["last_line"], 0);
    }
}

#[test]
fn an_inflated_body_has_the_limit_of_a_plain_one() {
    let service = Running::adjusted(|service| service.limits.body_bytes = 1_000);
    for (coding, pack) in CODINGS {
        let fits = format!("[{}]", " ".repeat(998));
        assert_eq!(post(&service, coding, JSON, &pack(fits.as_bytes())).status, 200, "{coding}");
        let over = format!("[{}]", " ".repeat(999));
        let answer = post(&service, coding, JSON, &pack(over.as_bytes()));
        assert_eq!(answer.status, 413, "{coding}");
        let detail = answer.problem()["detail"].as_str().unwrap().to_owned();
        assert!(detail.contains("1000 bytes once it is inflated"), "{detail}");
    }
}
