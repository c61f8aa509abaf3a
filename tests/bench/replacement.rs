//! One question over a whole history while shots stream in: which of twelve clubs replaces a
//! player's own, from 12,000 shots in 40 visits among a million shots of others, against the same
//! question put to the same service when nothing streams.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod events;
mod http;
mod report;
mod server;

use std::{
    fmt::Write,
    sync::atomic::{AtomicBool, Ordering},
    time::{Duration, Instant},
};

use events::{Bay, RIVALS, Strike};
use http::Connection;
use report::{Figure, Size};
use server::Server;

const PLAYER: &str = "rowan";
const VISITS: usize = 40;
/// The bay of the player, apart from all others.
const BAY: u64 = 999;
const SENDERS: u64 = 16;
const SHOTS_A_SECOND: u64 = 2_000;
/// One in so many streamed shots is the player's.
const OWN_SHARE: u64 = 100;
const QUESTIONS_A_SECOND: u64 = 50;
/// The longest that 99 of 100 answers may take, ms.
const CEILING_MS: f64 = 20.0;

struct Round {
    answers_ms: Figure,
    posts_ms: Figure,
}

fn main() {
    let size = Size::asked();
    let (others, own) = (size.of(1_000_000, 4_000), size.of(12_000, 1_040));
    let (rounds, seconds) = (size.of(5, 1), size.of(10, 1));
    report::title(&format!(
        "replacement over twelve candidates: {own} shots in {VISITS} visits among {others} of \
         others; {rounds} rounds of {seconds} s at {QUESTIONS_A_SECOND} questions/s, alternating"
    ));
    let server = Server::evencarry();
    let mut feed = Feed::new();
    load(&server, others, |shots| feed.others(shots));
    let mut bay = Bay::new(BAY);
    let mut history = history(&mut bay, own);
    load(&server, own, |_| std::mem::take(&mut history));
    let first = ask_once(&server);
    println!("  the first answer, nothing worked out before: {} ms", report::readable(first));

    let [mut idle_p50, mut idle_p99, mut idle_most] = <[Figure; 3]>::default();
    let [mut p50, mut p99, mut most, mut posts] = <[Figure; 4]>::default();
    for round in 0..rounds {
        let quiet = run(&server, seconds, None);
        idle_p50.add(quiet.answers_ms.quantile(0.5));
        idle_p99.add(quiet.answers_ms.quantile(0.99));
        idle_most.add(quiet.answers_ms.most());
        let busy = run(&server, seconds, Some(round as u64));
        p50.add(busy.answers_ms.quantile(0.5));
        p99.add(busy.answers_ms.quantile(0.99));
        most.add(busy.answers_ms.most());
        posts.add(busy.posts_ms.quantile(0.99));
    }
    report::line("idle: latency, median", &idle_p50, "ms");
    report::line("idle: latency, 99 of 100", &idle_p99, "ms");
    report::line("idle: the longest", &idle_most, "ms");
    report::line("streaming: latency, median", &p50, "ms");
    report::line("streaming: latency, 99 of 100", &p99, "ms");
    report::line("streaming: the longest", &most, "ms");
    report::line("streaming: a POST, 99 of 100", &posts, "ms");
    report::line("streaming / idle, median", &p50.over(&idle_p50), "x");
    report::line("streaming / idle, 99 of 100", &p99.over(&idle_p99), "x");
    let word = if p99.median() <= CEILING_MS { "held" } else { "missed" };
    println!("  99 of 100 within {CEILING_MS} ms: {word}");
    println!("  resident {} MB; load average after: {}", server.resident_mb(), report::load());
}

/// The shots of others, bay by bay.
struct Feed(Vec<Bay>);

impl Feed {
    fn new() -> Self {
        Self((0..64).map(Bay::new).collect())
    }

    fn others(&mut self, shots: usize) -> String {
        events::lines(&mut self.0, shots)
    }
}

/// The player's shots: in every visit some with each of the rivals.
fn history(bay: &mut Bay, own: usize) -> String {
    let mut text = String::new();
    let a_visit = own / VISITS;
    for visit in 0..VISITS {
        let session = format!("spring-{visit:02}");
        for at in 0..a_visit {
            let club = RIVALS[at * RIVALS.len() / a_visit];
            text.push_str(&bay.shot_of(&Strike { player: PLAYER, session: &session, club }));
            text.push('\n');
        }
    }
    text
}

/// Loads shots over HTTP, in streams of at most 100,000.
fn load(server: &Server, shots: usize, mut make: impl FnMut(usize) -> String) {
    http::runtime().block_on(async {
        let mut connection = Connection::open(server.address).await;
        let mut left = shots;
        while left > 0 {
            let part = left.min(100_000);
            let text = make(part);
            let request = http::post("/v1/shots", "application/x-ndjson", &text);
            let status = connection.ask(&request).await;
            let answer: serde_json::Value = serde_json::from_slice(connection.body()).unwrap();
            let accepted = answer["accepted"].as_u64();
            assert_eq!((status, accepted), (200, Some(part as u64)), "{answer}");
            left -= part;
        }
    });
}

fn question() -> Vec<u8> {
    let mut path = format!("/v1/players/{PLAYER}/replacements?incumbent={}", RIVALS[0].name);
    for rival in &RIVALS[1..] {
        write!(path, "&candidate={}", rival.name).unwrap();
    }
    http::get(&path)
}

fn ask_once(server: &Server) -> f64 {
    http::runtime().block_on(async {
        let mut connection = Connection::open(server.address).await;
        let from = Instant::now();
        ask(&mut connection, &question()).await;
        from.elapsed().as_secs_f64() * 1e3
    })
}

async fn ask(connection: &mut Connection, question: &[u8]) {
    let status = connection.ask(question).await;
    let answer: serde_json::Value = serde_json::from_slice(connection.body()).unwrap();
    assert_eq!(status, 200, "{answer}");
    assert_eq!(answer["candidates"].as_array().map(Vec::len), Some(RIVALS.len() - 1), "{answer}");
}

/// Asks at a steady pace, with or without the stream; a stream has a number of its own.
fn run(server: &Server, seconds: usize, stream: Option<u64>) -> Round {
    let over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let over = &over;
        let sending = stream.map(|number| scope.spawn(move || send(server, number, over)));
        let answers_ms = ask_at_a_pace(server, seconds);
        over.store(true, Ordering::Relaxed);
        let posts_ms = sending.map_or_else(Figure::default, |sending| sending.join().unwrap());
        Round { answers_ms, posts_ms }
    })
}

fn ask_at_a_pace(server: &Server, seconds: usize) -> Figure {
    let question = question();
    let mut latencies = Figure::default();
    let runtime = http::runtime();
    let mut connection = runtime.block_on(Connection::open(server.address));
    let pace = Pace::new(QUESTIONS_A_SECOND);
    for at in 0..seconds as u64 * QUESTIONS_A_SECOND {
        let from = pace.wait(at);
        runtime.block_on(ask(&mut connection, &question));
        latencies.add(from.elapsed().as_secs_f64() * 1e3);
    }
    latencies
}

/// When things are due.
struct Pace {
    from: Instant,
    every: Duration,
}

impl Pace {
    fn new(a_second: u64) -> Self {
        Self {
            from: Instant::now(),
            every: Duration::from_secs(1) / u32::try_from(a_second).unwrap(),
        }
    }

    /// Waits until it is due. What is late counts from when it was due, so that a slow answer is
    /// also the delay of those behind it.
    fn wait(&self, at: u64) -> Instant {
        let due = self.from + self.every * u32::try_from(at).unwrap();
        let Some(left) = due.checked_duration_since(Instant::now()) else { return due };
        std::thread::sleep(left);
        Instant::now()
    }
}

/// Streams single shots until it is over; the latency of each.
fn send(server: &Server, number: u64, over: &AtomicBool) -> Figure {
    let own = std::cell::RefCell::new(Bay::new(BAY + 1 + number));
    let clients = (0..SENDERS).map(|sender| {
        let bay = Bay::new(2_000 + number * SENDERS + sender);
        stream(server, (sender, bay), &own, over)
    });
    let latencies = http::runtime().block_on(futures_util::future::join_all(clients));
    let mut all = Figure::default();
    latencies.into_iter().flatten().for_each(|latency| all.add(latency));
    all
}

async fn stream(
    server: &Server,
    (sender, mut bay): (u64, Bay),
    own: &std::cell::RefCell<Bay>,
    over: &AtomicBool,
) -> Vec<f64> {
    let mut connection = Connection::open(server.address).await;
    let every = Duration::from_secs(1) * u32::try_from(SENDERS).unwrap()
        / u32::try_from(SHOTS_A_SECOND).unwrap();
    let mut ticks = tokio::time::interval(every);
    let mut latencies = Vec::new();
    let mut at = sender;
    while !over.load(Ordering::Relaxed) {
        ticks.tick().await;
        let shot = if at % OWN_SHARE == 0 {
            let club = RIVALS[usize::try_from(at / OWN_SHARE).unwrap() % RIVALS.len()];
            own.borrow_mut().shot_of(&Strike { player: PLAYER, session: "today", club })
        } else {
            bay.shot()
        };
        at += SENDERS;
        let request = http::post("/v1/shots", "application/json", &shot);
        let from = Instant::now();
        let status = connection.ask(&request).await;
        latencies.push(from.elapsed().as_secs_f64() * 1e3);
        let body = || String::from_utf8_lossy(connection.body()).into_owned();
        assert_eq!(status, 201, "{}", body());
    }
    latencies
}
