//! HTTP/1.1 byte by byte, for requests that no client library would send.

use std::{
    io::{Read, Write},
    net::{Shutdown, SocketAddr, TcpStream},
    time::Duration,
};

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
        let chunked = ("transfer-encoding".to_owned(), "chunked".to_owned());
        if headers.contains(&chunked) {
            let body = self.chunks();
            return Some(Answer { status, headers, body });
        }
        let length = headers.iter().find(|(name, _)| name == "content-length");
        let length = length.map_or(0, |(_, value)| value.parse().unwrap());
        let body = self.take(length);
        Some(Answer { status, headers, body })
    }

    /// A body in chunks (RFC 9112, 7.1), to its last one.
    fn chunks(&mut self) -> Vec<u8> {
        let mut body = Vec::new();
        loop {
            let end = loop {
                if let Some(end) = self.read.windows(2).position(|two| two == b"\r\n") {
                    break end;
                }
                assert!(self.read_more(), "the chunks of an answer are cut off");
            };
            let size = self.take(end + 2);
            let size = usize::from_str_radix(std::str::from_utf8(&size[..end]).unwrap(), 16);
            let chunk = self.take(size.unwrap() + 2);
            if chunk.len() == 2 {
                return body;
            }
            body.extend_from_slice(&chunk[..chunk.len() - 2]);
        }
    }

    fn take(&mut self, bytes: usize) -> Vec<u8> {
        while self.read.len() < bytes {
            assert!(self.read_more(), "the body of an answer is cut off");
        }
        self.read.drain(..bytes).collect()
    }

    fn head(&mut self) -> Option<(u16, Vec<(String, String)>)> {
        loop {
            let end = loop {
                if let Some(at) = self.read.windows(4).position(|four| four == b"\r\n\r\n") {
                    break at + 4;
                }
                if !self.read_more() {
                    return None;
                }
            };
            let head: Vec<u8> = self.read.drain(..end).collect();
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
