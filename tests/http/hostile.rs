//! Senders that mean harm, or are broken badly enough: the memory of the built program stays within a bound, they are
//! told what they ran into, and everybody else is answered meanwhile and afterwards.

use std::{cell::Cell, time::Duration};

use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};

use crate::support::{Connection, Running, daemon::Daemon, raw::with_body, shot};

const MIB: usize = 1024 * 1024;

/// A daemon under attack.
struct Attacked {
    daemon: Daemon,
    peak_before: usize,
    others: Cell<u32>,
}

impl Attacked {
    fn start() -> Self {
        let daemon = Daemon::start(&[]);
        let attacked = Self { daemon, peak_before: 0, others: Cell::new(0) };
        // What a first use takes is nobody's attack.
        attacked.others_are_served();
        Self { peak_before: attacked.daemon.peak_bytes(), ..attacked }
    }

    /// Somebody else stores a shot and asks for it, each within the patience of a connection.
    fn others_are_served(&self) {
        let id = format!("other-{}", self.others.replace(self.others.get() + 1));
        let stored =
            self.daemon.send_as("application/json", "POST", "/v1/shots", shot(&id).as_bytes());
        assert_eq!(stored.status, 201, "{}", stored.text());
        assert_eq!(self.daemon.get(&format!("/v1/shots/bay-3/{id}")).status, 200);
        assert_eq!(self.daemon.get("/readyz").status, 200);
    }

    /// The memory at its highest is at most so much above what it was before.
    fn grew_by_at_most(&self, bytes: usize) {
        let grown = self.daemon.peak_bytes().saturating_sub(self.peak_before);
        assert!(grown <= bytes, "{} KiB more than before", grown / 1024);
    }
}

/// The head of a POST of shots whose body comes in chunks.
fn chunked(media: &str) -> String {
    format!(
        "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\nTransfer-Encoding: chunked\r\n\r\n"
    )
}

/// Sends chunks of a MiB until there is an answer.
fn flood(connection: &mut Connection, chunks: usize, meanwhile: impl Fn()) {
    let chunk = [format!("{MIB:x}\r\n").as_bytes(), &vec![b'x'; MIB], b"\r\n"].concat();
    for sent in 0..chunks {
        connection.send(&chunk);
        if sent % 32 == 0 {
            meanwhile();
        }
    }
}

#[test]
fn a_body_that_does_not_end_is_cut_at_its_limit() {
    let attacked = Attacked::start();
    let mut connection = attacked.daemon.connect();
    connection.send(chunked("application/json").as_bytes());
    flood(&mut connection, 100, || attacked.others_are_served());
    let answer = connection.answer();
    assert_eq!(answer.status, 413);
    let problem = answer.problem();
    assert_eq!(problem["type"], "/docs/errors/body-too-large");
    assert!(problem["detail"].as_str().unwrap().contains("16777216"), "{problem}");
    attacked.others_are_served();
    // The body up to its limit, once more while it grows, and room for the allocator.
    attacked.grew_by_at_most(64 * MIB);
}

#[test]
fn a_line_without_an_end_takes_the_memory_of_one_line() {
    let attacked = Attacked::start();
    let mut connection = attacked.daemon.connect();
    connection.send(chunked("application/x-ndjson").as_bytes());
    flood(&mut connection, 256, || attacked.others_are_served());
    connection
        .send(format!("{:x}\r\n\n{}\r\n0\r\n\r\n", shot("1").len() + 1, shot("1")).as_bytes());
    let answer = connection.answer();
    assert_eq!(answer.status, 200);
    let told = answer.json();
    assert_eq!((&told["accepted"], &told["refused"]), (&1.into(), &1.into()), "{told}");
    assert_eq!(told["refusals"][0]["status"], 413);
    let detail = told["refusals"][0]["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("65536"), "{detail}");
    attacked.others_are_served();
    attacked.grew_by_at_most(8 * MIB);
}

#[test]
fn json_that_is_all_depth_overflows_nothing() {
    let attacked = Attacked::start();
    let deep = |open: &str, close: &str, depth: usize| open.repeat(depth) + &close.repeat(depth);
    for (open, close) in [("[", "]"), ("{\"a\":", "}"), ("[{\"a\":", "}]")] {
        for depth in [40, 100_000] {
            let body = deep(open, close, depth);
            let event = format!("{{\"ext\":{body}}}");
            for text in [&body, &event, &body[..body.len() / 2].to_owned()] {
                let answer = attacked.daemon.send_as(
                    "application/json",
                    "POST",
                    "/v1/shots",
                    text.as_bytes(),
                );
                // An array is taken apart, and its one item refused.
                let refused = match answer.status {
                    200 => answer.json()["refusals"][0]["status"] == 400,
                    status => status == 400,
                };
                assert!(refused, "{open} {depth}: {}", answer.text());
            }
        }
    }
    let lines = format!("{}\n{}\n", deep("[", "]", 30_000), shot("1"));
    let answer =
        attacked.daemon.send_as("application/x-ndjson", "POST", "/v1/shots", lines.as_bytes());
    let told = answer.json();
    assert_eq!((&told["accepted"], &told["refusals"][0]["status"]), (&1.into(), &400.into()));
    let detail = told["refusals"][0]["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("32"), "{detail}");
    attacked.others_are_served();
    attacked.grew_by_at_most(16 * MIB);
}

#[test]
fn two_thousand_connections_that_say_nothing_whole_stand_in_nobodys_way() {
    let connections = open_files_allowed().min(2_100) - 100;
    assert!(connections >= 500, "this machine allows too few open files");
    let attacked = Attacked::start();
    let starts = [
        String::new(),
        "GET /v1/sho".to_owned(),
        "GET /v1/shots HTTP/1.1\r\nHost: localhost\r\nX-Slow: ".to_owned(),
        chunked("application/x-ndjson") + "5\r\n{\"id\"",
    ];
    let held: Vec<Connection> = (0..connections)
        .zip(starts.iter().cycle())
        .map(|(_, start)| {
            let mut connection = attacked.daemon.connect();
            connection.send(start.as_bytes());
            connection
        })
        .collect();
    attacked.others_are_served();
    attacked.grew_by_at_most(connections * 32 * 1024);
    drop(held);
    attacked.others_are_served();
}

/// Open files that this process and its children may have, raised as far as the system lets us.
fn open_files_allowed() -> usize {
    let limit = getrlimit(Resource::Nofile);
    let raised = Rlimit { current: limit.maximum, ..limit };
    let now = if setrlimit(Resource::Nofile, raised).is_ok() { raised } else { limit };
    now.current.map_or(usize::MAX, |most| usize::try_from(most).unwrap_or(usize::MAX))
}

#[test]
fn a_length_that_lies_stores_nothing_that_is_not_whole() {
    let attacked = Attacked::start();
    let one = shot("1");
    let says = |media: &str, length: usize, more: &str| {
        format!(
            "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\nContent-Length: {length}\r\n{more}\r\n"
        )
    };
    let ask = |request: String| {
        let mut connection = attacked.daemon.connect();
        connection.send(request.as_bytes());
        connection.end();
        connection.try_answer()
    };
    // Longer than what comes.
    if let Some(answer) = ask(says("application/json", one.len() + 1, "") + &one) {
        assert_eq!(answer.status, 400);
        assert_eq!(answer.problem()["type"], "/docs/errors/broken-body");
    }
    // Shorter: what is left over is no request.
    if let Some(answer) = ask(says("application/json", one.len() - 1, "") + &one) {
        assert_eq!(answer.status, 400);
    }
    // Two that differ, and one beside chunks (RFC 9112, 6.3).
    for more in ["Content-Length: 7\r\n", "Transfer-Encoding: chunked\r\n"] {
        let answer = ask(says("application/json", one.len(), more) + &one);
        assert!(answer.is_none_or(|answer| answer.status == 400), "{more}");
    }
    for length in ["-1", "+5", "0x5", "99999999999999999999", "5 5", ""] {
        let head = format!(
            "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Length: {length}\r\n\r\n"
        );
        let answer = ask(head + &one);
        assert!(answer.is_none_or(|answer| (400..500).contains(&answer.status)), "{length:?}");
    }
    assert_eq!(attacked.daemon.get("/v1/shots/bay-3/1").status, 404, "nothing of it was stored");
    // A stream keeps its whole lines, and says so.
    let lines = format!("{}\n{}", shot("2"), shot("3"));
    if let Some(answer) = ask(says("application/x-ndjson", lines.len() + 9, "") + &lines) {
        assert_eq!(answer.status, 400);
        assert_eq!(answer.problem()["accepted"], 1);
    }
    attacked.others_are_served();
    attacked.grew_by_at_most(8 * MIB);
}

#[test]
fn a_request_in_drips_is_cut_at_the_time_of_a_head() {
    let service = Running::adjusted(|service| {
        service.limits.head_time = Duration::from_secs(2);
        service.limits.linger_time = Duration::from_millis(300);
    });
    let mut dripping: Vec<Connection> = (0..50).map(|_| service.connect()).collect();
    let head = "GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-Slow: ";
    let mut drips = head.bytes().chain(std::iter::repeat(b'x'));
    // A byte each, again and again, until all are told; a head has room for far more of them.
    let mut told = 0;
    for drip in drips.by_ref().take(16_000) {
        dripping.retain_mut(|connection| {
            connection.send(&[drip]);
            let over = connection.has_answer_within(Duration::from_millis(1));
            if over {
                assert_eq!(connection.head_answer().status, 408);
                told += 1;
            }
            !over
        });
        if dripping.is_empty() {
            break;
        }
        assert_eq!(service.get("/healthz").status, 200);
    }
    assert_eq!(told, 50);
}

#[test]
fn a_slow_body_holds_up_nobody_and_is_taken_when_it_is_whole() {
    let service = Running::start();
    let request = |n: usize| {
        with_body("application/json", "POST", "/v1/shots", shot(&format!("slow-{n}")).as_bytes())
    };
    let mut slow: Vec<(Connection, Vec<u8>)> =
        (0..50).map(|n| (service.connect(), request(n))).collect();
    let whole = slow.iter().map(|(_, request)| request.len()).max().unwrap();
    for at in 0..whole {
        for (connection, request) in &mut slow {
            connection.send(request.get(at..=at).unwrap_or_default());
        }
        if at % 50 == 0 {
            let id = format!("quick-{at}");
            assert_eq!(service.send("POST", "/v1/shots", &shot(&id)).status, 201);
        }
    }
    for (mut connection, _) in slow {
        assert_eq!(connection.answer().status, 201);
    }
}

#[test]
fn a_body_that_would_be_huge_once_inflated_is_refused_in_little_memory() {
    // 512 MiB of zeros; see `tests/data/compressed/README.md`.
    let bomb = include_bytes!("../data/compressed/zeros.zst");
    let attacked = Attacked::start();
    for media in ["application/json", "application/x-ndjson"] {
        let head = format!(
            "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\nContent-Encoding: zstd\r\nContent-Length: {}\r\n\r\n",
            bomb.len()
        );
        let bombs: Vec<Connection> = (0..8)
            .map(|_| {
                let mut connection = attacked.daemon.connect();
                connection.send(&[head.as_bytes(), bomb].concat());
                connection
            })
            .collect();
        attacked.others_are_served();
        for mut connection in bombs {
            let answer = connection.answer();
            assert_eq!(answer.status, 413, "{}", answer.text());
            assert!(answer.problem()["detail"].as_str().unwrap().contains("inflate"));
        }
        attacked.others_are_served();
    }
    // Eight at a time, each at most 100 times its 16 KiB, and what the decoder looks back at.
    attacked.grew_by_at_most(64 * MIB);
}

#[test]
fn the_id_of_a_problem_is_that_of_its_line_in_the_log() {
    let daemon = Daemon::start(&["--log", "evencarry=debug"]);
    let answer = daemon.get("/v1/players/rowan");
    assert_eq!(answer.status, 404);
    let id = answer.header("x-request-id").unwrap().to_owned();
    let log = daemon.log();
    let line = log.lines().find(|line| line.contains(&id)).unwrap_or_else(|| panic!("{id}: {log}"));
    assert!(line.contains("404") && line.contains("/v1/players/{player}"), "{line}");
    assert!(!log.contains("rowan"), "{log}");
}
