//! A client of Server-Sent Events, after the HTML Standard, 9.2.6, on a plain socket.

use std::{
    io::{ErrorKind, Read, Write},
    net::{SocketAddr, TcpStream},
    time::{Duration, Instant},
};

use serde_json::Value;

use crate::support::PATIENCE;

/// An event that was dispatched.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Event {
    pub(crate) kind: String,
    /// The id that came with it; none where the last one stands.
    pub(crate) id: Option<u64>,
    pub(crate) data: Value,
}

/// A stream that is listened to.
pub(crate) struct Listener {
    stream: TcpStream,
    /// Bytes of the connection that are not decoded yet.
    raw: Vec<u8>,
    /// Bytes of the body that are no whole block yet.
    body: Vec<u8>,
    ended: bool,
    pub(crate) status: u16,
    /// The head, in lower case.
    pub(crate) head: String,
    /// Comments so far.
    pub(crate) comments: usize,
    /// The last event's id: what a browser would come back with, whether an event came with it or not.
    pub(crate) last_id: Option<u64>,
}

impl Listener {
    /// Follows a path.
    pub(crate) fn follow(address: SocketAddr, path: &str) -> Self {
        Self::ask(address, path, "")
    }

    /// Goes on behind an event.
    pub(crate) fn resume(address: SocketAddr, path: &str, last: u64) -> Self {
        Self::ask(address, path, &format!("Last-Event-ID: {last}\r\n"))
    }

    /// Asks with more header fields, and reads the head of the answer.
    pub(crate) fn ask(address: SocketAddr, path: &str, fields: &str) -> Self {
        let mut stream = TcpStream::connect(address).unwrap();
        let host = if fields.contains("Host:") { "" } else { "Host: localhost\r\n" };
        let request =
            format!("GET {path} HTTP/1.1\r\n{host}Accept: text/event-stream\r\n{fields}\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        let mut listener = Self {
            stream,
            raw: Vec::new(),
            body: Vec::new(),
            ended: false,
            status: 0,
            head: String::new(),
            comments: 0,
            last_id: None,
        };
        let deadline = Instant::now() + PATIENCE;
        let end = loop {
            if let Some(end) = find(&listener.raw, b"\r\n\r\n") {
                break end;
            }
            assert!(listener.read_by(deadline), "no head: {:?}", listener.raw);
        };
        let head: Vec<u8> = listener.raw.drain(..end + 4).collect();
        listener.head = String::from_utf8(head).unwrap().to_lowercase();
        listener.status = listener.head.split(' ').nth(1).unwrap().parse().unwrap();
        listener
    }

    /// The next event.
    pub(crate) fn next(&mut self) -> Event {
        self.within(PATIENCE).unwrap_or_else(|| panic!("no event comes; ended: {}", self.ended))
    }

    /// The next events.
    pub(crate) fn take(&mut self, many: usize) -> Vec<Event> {
        (0..many).map(|_| self.next()).collect()
    }

    /// The next event of a kind, whatever comes before.
    pub(crate) fn next_of(&mut self, kind: &str) -> Event {
        loop {
            let event = self.next();
            if event.kind == kind {
                return event;
            }
        }
    }

    /// The next event if it comes in time, and the stream does not end before.
    pub(crate) fn within(&mut self, time: Duration) -> Option<Event> {
        let deadline = Instant::now() + time;
        // Some of the body may have come with the head.
        self.decode();
        loop {
            while let Some(end) = find(&self.body, b"\n\n") {
                let block: Vec<u8> = self.body.drain(..end + 2).collect();
                if let Some(event) = self.dispatch(std::str::from_utf8(&block).unwrap()) {
                    return Some(event);
                }
            }
            if self.ended || !self.read_by(deadline) {
                return None;
            }
            self.decode();
        }
    }

    /// Waits until a browser would come back from there or beyond. No event may come meanwhile.
    pub(crate) fn comes_to(&mut self, place: u64) {
        let deadline = Instant::now() + PATIENCE;
        while self.last_id.is_none_or(|last| last < place) {
            assert!(Instant::now() < deadline, "it comes to {:?} and not to {place}", self.last_id);
            assert_eq!(self.within(Duration::from_millis(20)), None);
        }
    }

    /// All events up to the end of the stream, which must come.
    pub(crate) fn rest(&mut self) -> Vec<Event> {
        let mut events = Vec::new();
        while let Some(event) = self.within(PATIENCE) {
            events.push(event);
        }
        assert!(self.ended, "the stream does not end");
        events
    }

    fn dispatch(&mut self, block: &str) -> Option<Event> {
        let (mut kind, mut id, mut data) = (String::from("message"), None, None);
        for line in block.lines().filter(|line| !line.is_empty()) {
            match line.split_once(':').unwrap_or((line, "")) {
                ("", _) => self.comments += 1,
                ("event", value) => value.trim_start().clone_into(&mut kind),
                ("id", value) => {
                    id = Some(value.trim_start().parse().unwrap());
                    assert!(id >= self.last_id, "ids go back: {:?}, {id:?}", self.last_id);
                    self.last_id = id;
                }
                ("data", value) => {
                    assert!(data.is_none(), "data on one line");
                    data = Some(serde_json::from_str(value).unwrap());
                }
                ("retry", value) => assert!(value.trim().parse::<u64>().is_ok()),
                (field, _) => panic!("an unknown field: {field}"),
            }
        }
        data.map(|data| Event { kind, id, data })
    }

    /// Takes whole chunks (RFC 9112, 7.1) over into the body.
    fn decode(&mut self) {
        while let Some(line) = find(&self.raw, b"\r\n") {
            let size = std::str::from_utf8(&self.raw[..line]).unwrap().trim();
            let size = usize::from_str_radix(size, 16).unwrap();
            let whole = line + 2 + size + 2;
            if self.raw.len() < whole {
                return;
            }
            self.body.extend_from_slice(&self.raw[line + 2..line + 2 + size]);
            self.raw.drain(..whole);
            self.ended |= size == 0;
        }
    }

    /// Reads more; false where nothing comes by then or the connection is cut.
    fn read_by(&mut self, deadline: Instant) -> bool {
        let left = deadline.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return false;
        }
        self.stream.set_read_timeout(Some(left)).unwrap();
        let mut buffer = [0; 16 * 1024];
        match self.stream.read(&mut buffer) {
            Ok(0) => false,
            Ok(read) => {
                self.raw.extend_from_slice(&buffer[..read]);
                true
            }
            Err(error) if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
                false
            }
            Err(_) => false,
        }
    }
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|found| found == wanted)
}

/// The ids of events, which all have one.
pub(crate) fn ids(events: &[Event]) -> Vec<u64> {
    events.iter().map(|event| event.id.unwrap_or_else(|| panic!("{event:?}"))).collect()
}
