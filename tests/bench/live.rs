//! The live stream: a thousand readers while 200 shots a second come in, with and without one that
//! stalls. What is measured is the time from sending a shot to having its event: the commit, the
//! answer's way and the event's are all in it, so that it bounds commit to delivery from above. The
//! readers run on the same machine and take their part of its cores.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod events;
mod http;
mod report;
mod server;

use std::{
    cell::RefCell,
    net::SocketAddr,
    rc::Rc,
    time::{Duration, Instant},
};

use events::Bay;
use http::Connection;
use report::{Figure, Size};
use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
use server::Server;
use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::TcpStream,
    task::LocalSet,
    time::{interval, sleep},
};

/// Shots a second, over all bays.
const RATE: u32 = 200;
const BAYS: u64 = 20;
/// The goal for 99 of 100 events.
const GOAL_MS: f64 = 50.0;

/// Every reader is an open file, of the bench and of the service that it starts.
const OPEN_FILES: u64 = 4_096;

fn main() {
    let size = Size::asked();
    let maximum = getrlimit(Resource::Nofile).maximum;
    setrlimit(Resource::Nofile, Rlimit { current: Some(OPEN_FILES), maximum }).unwrap();
    let (readers, seconds, rounds) = (size.of(1_000, 20), size.of(10, 1), size.of(3, 1));
    report::title(&format!(
        "live stream: {readers} readers, {RATE} shots/s of about 690 B for {seconds} s, {rounds} rounds"
    ));
    for (name, follows) in [("everything", Follows::All), ("one bay of twenty", Follows::Bay)] {
        for stalled in [0, 1] {
            let load = Load { readers, seconds, follows, stalled };
            println!("  each reader follows {name}; readers that stall: {stalled}");
            load.report(rounds, size);
        }
    }
    println!("  load average after: {}", report::load());
}

#[derive(Clone, Copy)]
enum Follows {
    All,
    Bay,
}

impl Follows {
    fn path(self, reader: usize) -> String {
        match self {
            Self::All => String::from("/v1/live"),
            Self::Bay => format!("/v1/live?source=bay-{:03}", reader as u64 % BAYS),
        }
    }
}

/// What is done in one round.
#[derive(Clone, Copy)]
struct Load {
    readers: usize,
    seconds: usize,
    follows: Follows,
    stalled: usize,
}

/// When each shot was sent, by its id and bay.
type Sent = Rc<RefCell<Vec<Instant>>>;

impl Load {
    fn report(self, rounds: usize, size: Size) {
        let [mut median, mut p99, mut most] =
            [Figure::default(), Figure::default(), Figure::default()];
        let [mut core, mut grown, mut late] =
            [Figure::default(), Figure::default(), Figure::default()];
        for _ in 0..rounds {
            let server = Server::evencarry();
            let round = http::runtime().block_on(LocalSet::new().run_until(self.round(&server)));
            let Round { delays, core_s, grown_mb, answer_ms } = round;
            median.add(delays.quantile(0.5));
            p99.add(delays.quantile(0.99));
            most.add(delays.most());
            core.add(core_s / self.seconds as f64);
            grown.add(grown_mb);
            late.add(answer_ms);
        }
        report::line("  shot sent to event had, median", &median, "ms");
        report::line("  99 of 100", &p99, "ms");
        report::line("  the latest", &most, "ms");
        report::line("  a POST's answer, 99 of 100", &late, "ms");
        report::line("  cores of the server", &core, "");
        report::line("  its memory grew by", &grown, "MB");
        println!("    99 of 100 within {GOAL_MS} ms: {}", size.word(p99.median() <= GOAL_MS));
    }

    async fn round(self, server: &Server) -> Round {
        let mut bays: Vec<Bay> = (0..BAYS).map(Bay::new).collect();
        // Every bay is known, so that it can be followed.
        let mut connection = Connection::open(server.address).await;
        for bay in &mut bays {
            let first = http::post("/v1/shots", "application/json", &bay.shot());
            assert_eq!(connection.ask(&first).await, 201);
        }
        let shots = RATE as usize * self.seconds;
        let sent: Sent = Rc::new(RefCell::new(vec![Instant::now(); shots + bays.len()]));
        let delays = Rc::new(RefCell::new(Figure::default()));
        let mut readers = Vec::new();
        for reader in 0..self.readers {
            let own = match self.follows {
                Follows::All => shots,
                Follows::Bay => {
                    (0..shots).filter(|n| n % bays.len() == reader % bays.len()).count()
                }
            };
            let stream = follow(server.address, &self.follows.path(reader)).await;
            readers.push(tokio::task::spawn_local(read(stream, own, sent.clone(), delays.clone())));
        }
        let mut stalled = Vec::new();
        for _ in 0..self.stalled {
            stalled.push(follow(server.address, "/v1/live").await);
        }
        // Streams are under way, and the machine is quiet again.
        sleep(Duration::from_millis(500)).await;
        let (before_mb, before_s) = (server.resident_mb(), server.core_s());
        let answers = send(&mut connection, &mut bays, (shots, &sent)).await;
        for reader in readers {
            reader.await.unwrap();
        }
        drop(stalled);
        Round {
            delays: delays.take(),
            core_s: server.core_s() - before_s,
            grown_mb: server.resident_mb().saturating_sub(before_mb) as f64,
            answer_ms: answers.quantile(0.99),
        }
    }
}

struct Round {
    delays: Figure,
    core_s: f64,
    grown_mb: f64,
    answer_ms: f64,
}

/// Sends shots at their rate, bay by bay; how long each answer took.
async fn send(
    connection: &mut Connection,
    bays: &mut [Bay],
    (shots, sent): (usize, &Sent),
) -> Figure {
    let mut answers = Figure::default();
    let mut ticks = interval(Duration::from_secs(1) / RATE);
    let first = bays.len();
    for n in 0..shots {
        let bay = n % bays.len();
        let request = http::post("/v1/shots", "application/json", &bays[bay].shot());
        ticks.tick().await;
        let from = Instant::now();
        // The first sequences are the bays' own.
        sent.borrow_mut()[first + n] = from;
        assert_eq!(connection.ask(&request).await, 201);
        answers.add(from.elapsed().as_secs_f64() * 1e3);
    }
    answers
}

async fn follow(address: SocketAddr, path: &str) -> TcpStream {
    let mut stream = TcpStream::connect(address).await.unwrap();
    stream.write_all(&http::get(path)).await.unwrap();
    let mut head = [0; 1];
    stream.read_exact(&mut head).await.unwrap();
    stream
}

/// Reads as little as a reader must: the id of each event, and when it came.
async fn read(mut stream: TcpStream, own: usize, sent: Sent, delays: Rc<RefCell<Figure>>) {
    let mut held: Vec<u8> = Vec::new();
    let mut had = 0;
    while had < own {
        held.reserve(64 * 1024);
        assert!(
            stream.read_buf(&mut held).await.unwrap() > 0,
            "a stream ended after {had} of {own}"
        );
        let now = Instant::now();
        let mut begin = 0;
        while let Some(at) = find(&held[begin..], b"shot\nid: ") {
            let from = begin + at + 9;
            let Some(length) = held[from..].iter().position(|byte| *byte == b'\n') else { break };
            let id: usize =
                std::str::from_utf8(&held[from..from + length]).unwrap().parse().unwrap();
            delays.borrow_mut().add((now - sent.borrow()[id - 1]).as_secs_f64() * 1e3);
            had += 1;
            begin = from + length;
        }
        // What may be the beginning of an id stays.
        let keep = begin.max(held.len().saturating_sub(24));
        held.drain(..keep);
    }
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    memchr::memmem::find(bytes, wanted)
}
