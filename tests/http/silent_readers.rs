//! A client that asks and does not read.

use std::time::Duration;

use crate::support::{Running, shot, wait_until};

/// More than the system buffers between two sockets.
fn filled(silence: Duration) -> Running {
    let service = Running::adjusted(|service| service.limits.body_silence = silence);
    let ext = format!(r#","ext":{{"note":"{}"}}}}"#, "x".repeat(15_000));
    for batch in 0..4 {
        let line = |n: u32| {
            let shot = shot(&format!("{batch}-{n}"));
            format!("{}{ext}\n", shot.strip_suffix('}').unwrap())
        };
        let lines: String = (0..250).map(line).collect();
        assert_eq!(service.stream(&lines).json()["accepted"], 250);
    }
    service
}

fn connections(service: &Running) -> String {
    let page = service.get("/metrics");
    let line = page.text().lines().find(|line| line.starts_with("evencarry_http_connections "));
    line.unwrap().rsplit(' ').next().unwrap().to_owned()
}

#[test]
fn an_answer_that_nobody_takes_is_cut_after_the_longest_silence() {
    let service = filled(Duration::from_secs(1));
    for path in ["/v1/export", "/v1/shots?limit=1000"] {
        let mut silent = service.connect();
        silent.send(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
        wait_until("the answer is under way", || connections(&service) == "2");
        wait_until("the connection is gone", || connections(&service) == "1");
        assert_eq!(silent.head_answer().status, 200);
        let (_, whole) = silent.pieces();
        assert!(!whole, "{path} was buffered as a whole, or its end was made up");
    }
}

#[test]
fn an_answer_that_is_taken_bit_by_bit_is_whole() {
    let service = filled(Duration::from_mins(1));
    let export = service.get("/v1/export");
    let last = export.text().lines().last().unwrap().to_owned();
    assert!(export.body.len() > 15_000_000 && last.contains("1000"), "{last}");
}
