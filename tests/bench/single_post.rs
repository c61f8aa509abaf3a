//! Durable single POSTs from 64 connections, against a bare handler that parses the same JSON and
//! answers 204. Each of ours is on the disk before its answer; none of the baseline's is anywhere.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod disk;
mod events;
mod http;
mod report;
mod sent;
mod server;

use std::{
    net::TcpListener,
    time::{Duration, Instant},
};

use actix_web::{App, HttpResponse, HttpServer, web};

use events::Bay;
use http::Connection;
use report::{Figure, Size};
use sent::Sent;
use server::Server;

const CONNECTIONS: usize = 64;
const FLOOR: f64 = 0.25;
const BARE: &str = "--bare-handler";

fn main() {
    if std::env::args().nth(1).as_deref() == Some(BARE) {
        serve_bare();
    } else {
        compare(Size::asked());
    }
}

/// The baseline: the same framework with as many workers, a typed parse, 204.
fn serve_bare() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    println!("listening on http://{}", listener.local_addr().unwrap());
    let workers = std::thread::available_parallelism().map_or(2, usize::from);
    let served = actix_web::rt::System::new().block_on(
        HttpServer::new(|| App::new().route("/v1/shots", web::post().to(parse)))
            .workers(workers)
            .listen(listener)
            .unwrap()
            .run(),
    );
    served.unwrap();
}

async fn parse(body: web::Bytes) -> HttpResponse {
    match serde_json::from_slice::<Sent<'_>>(&body) {
        Ok(_) => HttpResponse::NoContent().finish(),
        Err(_) => HttpResponse::BadRequest().finish(),
    }
}

#[derive(Default)]
struct Figures {
    rate: Figure,
    cpu_micros: Figure,
    median_ms: Figure,
    p99_ms: Figure,
}

fn compare(size: Size) {
    let rounds = size.of(7, 1);
    let each = size.of(1_000, 4);
    report::title(&format!(
        "durable single POST: {CONNECTIONS} connections, {rounds} rounds of {} events, alternating",
        CONNECTIONS * each
    ));
    let (bare, ours) = (Server::ourselves(BARE), Server::evencarry());
    let mut bays: Vec<Bay> = (0..CONNECTIONS as u64).map(Bay::new).collect();
    let [mut theirs, mut own] = [Figures::default(), Figures::default()];
    let mut syncs = Figure::default();
    let mut bytes = 0;
    let warming = size.of(1, 0);
    for round in 0..warming + rounds {
        let requests: Vec<Vec<Vec<u8>>> = bays.iter_mut().map(|bay| requests(bay, each)).collect();
        bytes = requests[0][0].len();
        let counts = round >= warming;
        run(&bare, &requests, 204, counts.then_some(&mut theirs));
        run(&ours, &requests, 201, counts.then_some(&mut own));
        if counts {
            syncs.add(disk::syncs_per_second(size.of(2_000, 20), 690));
        }
    }
    for (name, figures) in [("bare handler", &theirs), ("evencarry", &own)] {
        report::line(name, &figures.rate, "requests/s");
        report::line("  time on a core, of the server", &figures.cpu_micros, "us a request");
        report::line("  latency, median", &figures.median_ms, "ms");
        report::line("  latency, 99 of 100", &figures.p99_ms, "ms");
    }
    report::line("the disk alone: append 690 B, fdatasync", &syncs, "a second");
    report::ratio("evencarry / bare handler", &own.rate.over(&theirs.rate), FLOOR);
    let cost = own.cpu_micros.over(&theirs.cpu_micros);
    report::line("time on a core, evencarry / bare handler", &cost, "x");
    println!("  a request has {bytes} bytes; load average after: {}", report::load());
}

fn requests(bay: &mut Bay, each: usize) -> Vec<Vec<u8>> {
    (0..each).map(|_| http::post("/v1/shots", "application/json", &bay.shot())).collect()
}

/// Sends all requests, each connection its own one after the other.
fn run(server: &Server, requests: &[Vec<Vec<u8>>], status: u16, figures: Option<&mut Figures>) {
    let core_s = server.core_s();
    let (wall, latencies) = report::timed(|| {
        http::runtime().block_on(async {
            let address = server.address;
            let clients: Vec<_> =
                requests.iter().map(|requests| send_all(address, requests, status)).collect();
            futures_util::future::join_all(clients).await
        })
    });
    let Some(figures) = figures else { return };
    let mut millis = Figure::default();
    let of_all = latencies.iter().flatten();
    of_all.for_each(|latency| millis.add(latency.as_secs_f64() * 1e3));
    let count = requests.iter().map(Vec::len).sum::<usize>() as f64;
    figures.rate.add(count / wall.as_secs_f64());
    figures.cpu_micros.add((server.core_s() - core_s) * 1e6 / count);
    figures.median_ms.add(millis.quantile(0.5));
    figures.p99_ms.add(millis.quantile(0.99));
}

async fn send_all(
    address: std::net::SocketAddr,
    requests: &[Vec<u8>],
    status: u16,
) -> Vec<Duration> {
    let mut connection = Connection::open(address).await;
    let mut latencies = Vec::with_capacity(requests.len());
    for request in requests {
        let from = Instant::now();
        let answered = connection.ask(request).await;
        latencies.push(from.elapsed());
        let body = || String::from_utf8_lossy(connection.body()).into_owned();
        assert_eq!(answered, status, "{}", body());
    }
    latencies
}
