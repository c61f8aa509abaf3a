//! HTTP/1.1 byte by byte, for requests that no client library would send.

use std::{
    io::{Read, Write},
    net::{Shutdown, SocketAddr, TcpStream},
    time::Duration,
};

use flate2::read::GzDecoder;
use serde_json::Value;

use super::PATIENCE;

/// A connection to the service.
pub struct Connection {
    stream: TcpStream,
    read: Vec<u8>,
}

/// What came back.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The status.
    pub status: u16,
    /// Header fields, names in lower case.
    pub headers: Vec<(String, String)>,
    /// The body.
    pub body: Vec<u8>,
}

impl Connection {
    /// Connects.
    pub fn open(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        Self { stream, read: Vec::new() }
    }

    /// Sends bytes. A service that has refused already may have closed its ear.
    pub fn send(&mut self, bytes: &[u8]) {
        drop(self.stream.write_all(bytes));
    }

    /// Whether something came back by then.
    pub fn has_answer_within(&mut self, time: Duration) -> bool {
        self.stream.set_read_timeout(Some(time)).unwrap();
        let came = self.read_more();
        self.stream.set_read_timeout(Some(PATIENCE)).unwrap();
        came
    }

    /// Says that nothing more will be sent.
    pub fn end(&mut self) {
        drop(self.stream.shutdown(Shutdown::Write));
    }

    /// The next answer.
    pub fn answer(&mut self) -> Answer {
        self.try_answer().expect("an answer comes")
    }

    /// The head of the next answer.
    pub fn head_answer(&mut self) -> Answer {
        self.try_head_answer().expect("an answer comes")
    }

    /// The head of the next answer, or nothing if the connection ends before one.
    pub fn try_head_answer(&mut self) -> Option<Answer> {
        let (status, headers) = self.head()?;
        Some(Answer { status, headers, body: Vec::new() })
    }

    /// The next answer, or nothing if the connection ends before one.
    pub fn try_answer(&mut self) -> Option<Answer> {
        let (status, headers) = self.head()?;
        if headers.iter().any(|(name, value)| name == "transfer-encoding" && value == "chunked") {
            let (pieces, whole) = self.pieces();
            assert!(whole, "the body of an answer is cut off");
            return Some(Answer { status, headers, body: pieces.concat() });
        }
        let length = headers.iter().find(|(name, _)| name == "content-length");
        let length = length.map_or(0, |(_, value)| value.parse().unwrap());
        while self.read.len() < length {
            assert!(self.read_more(), "the body of an answer is cut off");
        }
        let body = self.read.drain(..length).collect();
        Some(Answer { status, headers, body })
    }

    /// The chunks of a body behind a head (RFC 9112, 7.1), and whether it came to its end.
    pub fn pieces(&mut self) -> (Vec<Vec<u8>>, bool) {
        let mut pieces = Vec::new();
        loop {
            let Some(line) = self.take_until(b"\r\n") else { return (pieces, false) };
            let size =
                usize::from_str_radix(std::str::from_utf8(&line).unwrap().trim(), 16).unwrap();
            while self.read.len() < size + 2 {
                if !self.read_more() {
                    return (pieces, false);
                }
            }
            let piece: Vec<u8> = self.read.drain(..size).collect();
            assert_eq!(self.read.drain(..2).collect::<Vec<u8>>(), b"\r\n");
            if size == 0 {
                return (pieces, true);
            }
            pieces.push(piece);
        }
    }

    /// What comes up to and with an end, or nothing if the connection ends before it.
    fn take_until(&mut self, end: &[u8]) -> Option<Vec<u8>> {
        loop {
            if let Some(at) = self.read.windows(end.len()).position(|found| found == end) {
                return Some(self.read.drain(..at + end.len()).collect());
            }
            if !self.read_more() {
                return None;
            }
        }
    }

    fn head(&mut self) -> Option<(u16, Vec<(String, String)>)> {
        loop {
            let head = self.take_until(b"\r\n\r\n")?;
            let head = String::from_utf8(head).unwrap();
            let mut lines = head.lines();
            let status: u16 = lines.next()?.split(' ').nth(1)?.parse().unwrap();
            if status == 100 {
                continue;
            }
            let fields = lines.filter_map(|line| line.split_once(": "));
            let headers = fields.map(|(name, value)| (name.to_lowercase(), value.to_owned()));
            return Some((status, headers.collect()));
        }
    }

    fn read_more(&mut self) -> bool {
        let mut buffer = [0; 16 * 1024];
        match self.stream.read(&mut buffer) {
            Ok(0) | Err(_) => false,
            Ok(read) => {
                self.read.extend_from_slice(&buffer[..read]);
                true
            }
        }
    }
}

impl Answer {
    /// A header field.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// The body as text.
    pub fn text(&self) -> &str {
        std::str::from_utf8(&self.body).unwrap()
    }

    /// The body without its coding.
    pub fn decoded(&self) -> Vec<u8> {
        let mut body = Vec::new();
        match self.header("content-encoding") {
            Some(coding) => {
                assert_eq!(coding, "gzip");
                GzDecoder::new(&self.body[..]).read_to_end(&mut body).unwrap();
            }
            None => body.extend_from_slice(&self.body),
        }
        body
    }

    /// The body as JSON.
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("no JSON: {}", self.text()))
    }

    /// The body, which must be a problem that agrees with the status.
    pub fn problem(&self) -> Value {
        assert_eq!(self.header("content-type"), Some("application/problem+json"), "{self:?}");
        let problem = self.json();
        assert_eq!(problem["status"], self.status);
        let kind = problem["type"].as_str().unwrap();
        assert!(kind.starts_with("/docs/errors/"), "{kind}");
        assert!(!problem["title"].as_str().unwrap().is_empty());
        assert!(!problem["detail"].as_str().unwrap().is_empty());
        assert!(problem["errors"].is_array());
        problem
    }
}

/// A request with a body.
pub fn with_body(media: &str, method: &str, path: &str, body: &[u8]) -> Vec<u8> {
    let length = body.len();
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\nContent-Length: {length}\r\n\r\n"
    );
    [head.as_bytes(), body].concat()
}
