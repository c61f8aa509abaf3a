//! What the suites over HTTP share: a service in this process on a free port, and a client that
//! writes requests byte by byte.

// Each suite uses its part of this.
#![allow(dead_code, unreachable_pub, clippy::unwrap_used, clippy::expect_used, clippy::panic)]

pub mod daemon;
pub mod described;
pub mod failing_disk;
pub mod raw;
pub mod season;

use std::{
    net::{SocketAddr, TcpListener},
    sync::Arc,
    thread::JoinHandle,
    time::{Duration, Instant},
};

use evencarry::{
    api::{self, Service, Store},
    store::{Clock, Home},
};
use tokio::sync::oneshot;

pub use raw::{Answer, Connection};

/// How long anything may take before a test fails: far more than it needs.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// The time at which all shots arrive.
pub const NOW: &str = "2026-04-11T12:00:00Z";

/// A service that runs on a thread of this process.
pub struct Running {
    /// Where it listens.
    pub address: SocketAddr,
    /// Its store.
    pub store: Store,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    /// A service that keeps nothing.
    pub fn start() -> Self {
        Self::adjusted(|_| {})
    }

    /// The same with other rules.
    pub fn adjusted(adjust: impl FnOnce(&mut Service)) -> Self {
        Self::at_home(Home::in_memory(clock()), adjust)
    }

    /// A service whose store lives there.
    pub fn at_home(home: Home, adjust: impl FnOnce(&mut Service)) -> Self {
        let (store, _) = api::open(home).unwrap();
        let mut service = Service::new(store.clone());
        adjust(&mut service);
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let (stop, stopped) = oneshot::channel::<()>();
        let thread = std::thread::spawn(move || {
            let until_told = async move { drop(stopped.await) };
            actix_web::rt::System::new().block_on(api::run(listener, service, until_told)).unwrap();
        });
        Self { address, store, stop: Some(stop), thread: Some(thread) }
    }

    /// A new connection.
    pub fn connect(&self) -> Connection {
        Connection::open(self.address)
    }

    /// Asks once, on a connection of its own. The answer must be as the API is described.
    pub fn ask(&self, request: &[u8]) -> Answer {
        let mut connection = self.connect();
        connection.send(request);
        let answer = connection.answer();
        described::check(request, &answer);
        answer
    }

    /// GET
    pub fn get(&self, path: &str) -> Answer {
        self.ask(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
    }

    /// GET with more header fields, each with its line end.
    pub fn get_with(&self, path: &str, fields: &str) -> Answer {
        self.ask(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n{fields}\r\n").as_bytes())
    }

    /// A request with a JSON body.
    pub fn send(&self, method: &str, path: &str, body: &str) -> Answer {
        self.send_as("application/json", method, path, body.as_bytes())
    }

    /// A request with a body of any type.
    pub fn send_as(&self, media: &str, method: &str, path: &str, body: &[u8]) -> Answer {
        self.ask(&raw::with_body(media, method, path, body))
    }

    /// POSTs shots as NDJSON.
    pub fn stream(&self, lines: &str) -> Answer {
        self.send_as("application/x-ndjson", "POST", "/v1/shots", lines.as_bytes())
    }

    /// Tells the service to stop, without waiting.
    pub fn tell_to_stop(&mut self) {
        // Dropping the sender ends the wait as well as a word does.
        self.stop = None;
    }

    /// Waits until the service has stopped.
    pub fn wait(&mut self) {
        let thread = self.thread.take().unwrap();
        wait_until("the service stops", || thread.is_finished());
        thread.join().unwrap();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.tell_to_stop();
    }
}

/// A clock that stands still.
pub fn clock() -> Clock {
    Arc::new(|| NOW.parse().unwrap())
}

/// Waits for a condition, with a deadline.
pub fn wait_until(what: &str, mut holds: impl FnMut() -> bool) {
    let deadline = Instant::now() + PATIENCE;
    while !holds() {
        assert!(Instant::now() < deadline, "in vain: {what}");
        std::thread::yield_now();
    }
}

/// A shot of rowan's 5h from bay-3, as JSON on one line.
pub fn shot(id: &str) -> String {
    shot_with(id, 158.3)
}

/// The same with another carry, in metres.
pub fn shot_with(id: &str, carry_m: f64) -> String {
    format!(
        r#"{{"id":"{id}","source":"bay-3","time":"2026-04-11T10:15:04Z","player":"rowan","club":"5h","lie":"mat","launch":{{"ball_speed_mps":51.9,"launch_angle_deg":16.8,"spin_rate_rpm":5240}},"flight":{{"carry_m":{carry_m}}}}}"#
    )
}
