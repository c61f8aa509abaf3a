//! The load generator: HTTP/1.1 over kept connections, requests made beforehand, answers read no
//! further than a client must. The same for a service and its baseline.

#![allow(dead_code, reason = "each bench uses its part")]

use std::net::SocketAddr;

use tokio::{
    io::{AsyncReadExt, AsyncWriteExt},
    net::TcpStream,
    runtime::{Builder, Runtime},
};

/// A runtime on one thread: the generator takes one core at most.
pub(crate) fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().unwrap()
}

pub(crate) fn post(path: &str, kind: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!(
        "POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n\r\n{body}"
    )
    .into_bytes()
}

pub(crate) fn get(path: &str) -> Vec<u8> {
    format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n").into_bytes()
}

/// A kept connection with one request under way at most.
pub(crate) struct Connection {
    stream: TcpStream,
    held: Vec<u8>,
    body: usize,
}

impl Connection {
    pub(crate) async fn open(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).await.unwrap();
        stream.set_nodelay(true).unwrap();
        Self { stream, held: Vec::with_capacity(64 * 1024), body: 0 }
    }

    /// Sends a request and reads the whole answer; its status.
    pub(crate) async fn ask(&mut self, request: &[u8]) -> u16 {
        self.stream.write_all(request).await.unwrap();
        self.held.clear();
        let head = loop {
            self.read().await;
            let end = self.held.windows(4).position(|four| four == b"\r\n\r\n");
            if let Some(end) = end {
                break end + 4;
            }
        };
        let (status, length) = read_head(&self.held[..head]);
        while self.held.len() < head + length {
            self.read().await;
        }
        self.body = head;
        status
    }

    /// The body of the last answer.
    pub(crate) fn body(&self) -> &[u8] {
        &self.held[self.body..]
    }

    async fn read(&mut self) {
        let read = self.stream.read_buf(&mut self.held).await.unwrap();
        assert_ne!(read, 0, "the connection was closed in the middle of an answer");
    }
}

fn read_head(head: &[u8]) -> (u16, usize) {
    let head = std::str::from_utf8(head).unwrap();
    let status = head[9..12].parse().unwrap();
    let length = head.lines().find_map(|line| {
        let (name, value) = line.split_once(": ")?;
        name.eq_ignore_ascii_case("content-length").then(|| value.parse().unwrap())
    });
    (status, length.unwrap_or(0))
}
