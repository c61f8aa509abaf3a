//! NDJSON over HTTP into a new store, against `SQLite` in this process: WAL, synchronous=FULL, the
//! same rows in typed columns, two indexes, 1,000 rows a transaction. The harder baseline gets rows
//! that were parsed before its clock started; the other parses the same lines within it. Ours
//! parses, checks, keeps every line verbatim, folds, and answers when all is on the disk.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod events;
mod http;
mod report;
mod sent;
mod server;
mod sqlite;

use std::time::Duration;

use events::Bay;
use http::Connection;
use report::{Figure, Size};
use server::Server;
use sqlite::Database;

const FLOOR: f64 = 1.0;
const BAYS: u64 = 8;
const FEW: usize = 4;

#[derive(Default)]
struct Ours {
    rate: Figure,
    cpu_micros: Figure,
    resident_mb: Figure,
}

fn main() {
    let size = Size::asked();
    let (rounds, shots) = (size.of(5, 1), size.of(200_000, 2_000));
    report::title(&format!("bulk load: {rounds} rounds of {shots} events, alternating"));
    let mut bays: Vec<Bay> = (0..BAYS).map(Bay::new).collect();
    let text = events::lines(&mut bays, shots);
    let streams: Vec<String> = (0..FEW as u64)
        .map(|part| {
            let mut bays: Vec<Bay> =
                (0..BAYS / FEW as u64).map(|bay| Bay::new(part * BAYS + bay)).collect();
            events::lines(&mut bays, shots / FEW)
        })
        .collect();
    let parsed = sqlite::parse_all(&text);

    let [mut ready, mut parsing] = [Figure::default(), Figure::default()];
    let [mut one, mut few] = [Ours::default(), Ours::default()];
    for _ in 0..rounds {
        ready.add(rate(shots, &fresh(|database| database.insert_all(&parsed))));
        load(std::slice::from_ref(&text), &mut one);
        parsing.add(rate(shots, &fresh(|database| database.parse_and_insert(&text))));
        load(&streams, &mut few);
    }
    report::line("SQLite, rows ready", &ready, "rows/s");
    report::line("SQLite, parsing the lines", &parsing, "rows/s");
    for (name, ours) in [("evencarry, one connection", &one), ("evencarry, four", &few)] {
        report::line(name, &ours.rate, "shots/s");
        report::line("  time on a core, of the server", &ours.cpu_micros, "us a shot");
        report::line("  resident at the end", &ours.resident_mb, "MB");
    }
    report::ratio("one connection / rows ready", &one.rate.over(&ready), FLOOR);
    report::ratio("four connections / rows ready", &few.rate.over(&ready), FLOOR);
    report::ratio("one connection / parsing", &one.rate.over(&parsing), FLOOR);
    report::ratio("four connections / parsing", &few.rate.over(&parsing), FLOOR);
    let bytes = text.len() / shots;
    println!("  an event has {bytes} bytes; load average after: {}", report::load());
}

fn rate(shots: usize, wall: &Duration) -> f64 {
    shots as f64 / wall.as_secs_f64()
}

/// Times work on a new database, after everything earlier has reached the disk.
fn fresh(work: impl FnOnce(&mut Database)) -> Duration {
    let mut database = Database::new();
    rustix::fs::sync();
    report::timed(|| work(&mut database)).0
}

/// Loads a new store over HTTP, each stream on a connection of its own.
fn load(streams: &[String], ours: &mut Ours) {
    let server = Server::evencarry();
    let requests: Vec<(Vec<u8>, usize)> = streams
        .iter()
        .map(|text| (http::post("/v1/shots", "application/x-ndjson", text), text.lines().count()))
        .collect();
    rustix::fs::sync();
    let core_s = server.core_s();
    let (wall, ()) = report::timed(|| {
        std::thread::scope(|scope| {
            for (request, shots) in &requests {
                scope.spawn(|| send(&server, request, *shots));
            }
        });
    });
    let shots: usize = requests.iter().map(|(_, shots)| shots).sum();
    ours.rate.add(rate(shots, &wall));
    ours.cpu_micros.add((server.core_s() - core_s) * 1e6 / shots as f64);
    ours.resident_mb.add(server.resident_mb() as f64);
}

fn send(server: &Server, request: &[u8], shots: usize) {
    http::runtime().block_on(async {
        let mut connection = Connection::open(server.address).await;
        let status = connection.ask(request).await;
        let answer: serde_json::Value = serde_json::from_slice(connection.body()).unwrap();
        assert_eq!((status, answer["accepted"].as_u64()), (200, Some(shots as u64)), "{answer}");
    });
}
