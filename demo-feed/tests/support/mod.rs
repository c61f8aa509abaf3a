//! A stand-in for the service: takes every request of the public API that the feed makes, keeps
//! what it was asked, and answers in the shapes of the contract with a verdict made up beforehand.

use serde_json::{Value, json};
use std::io;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Notify;

/// One request as it came in.
#[derive(Debug, Clone)]
pub struct Asked {
    pub line: String,
    pub body: String,
}

/// The stand-in, with all it was asked.
#[derive(Debug, Clone)]
pub struct StandIn {
    pub address: SocketAddr,
    asked: Arc<Mutex<Vec<Asked>>>,
    news: Arc<Notify>,
}

impl StandIn {
    /// Listens on a free port, and judges the candidates as `candidates` says.
    pub async fn answering(candidates: Value) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        let stand_in = Self { address, asked: Arc::default(), news: Arc::default() };
        let serving = stand_in.clone();
        tokio::spawn(async move {
            while let Ok((socket, _)) = listener.accept().await {
                let (serving, candidates) = (serving.clone(), candidates.clone());
                tokio::spawn(async move { serving.serve(socket, &candidates).await });
            }
        });
        stand_in
    }

    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    /// Everything asked so far.
    pub fn asked(&self) -> Vec<Asked> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Waits until a request begins with `line`.
    pub async fn until_asked(&self, line: &str) {
        let seen = async {
            while !self.asked().iter().any(|asked| asked.line.starts_with(line)) {
                self.news.notified().await;
            }
        };
        tokio::time::timeout(Duration::from_secs(30), seen).await.unwrap();
    }

    async fn serve(&self, socket: TcpStream, candidates: &Value) -> io::Result<()> {
        let mut socket = BufReader::new(socket);
        while let Some(asked) = read(&mut socket).await? {
            let (status, body) = answer(&asked, candidates);
            self.asked.lock().unwrap_or_else(PoisonError::into_inner).push(asked);
            self.news.notify_one();
            let head = format!("HTTP/1.1 {status}\r\ncontent-length: {}\r\n\r\n", body.len());
            socket.write_all(format!("{head}{body}").as_bytes()).await?;
        }
        Ok(())
    }
}

async fn read(socket: &mut BufReader<TcpStream>) -> io::Result<Option<Asked>> {
    let mut line = String::new();
    if socket.read_line(&mut line).await? == 0 {
        return Ok(None);
    }
    let mut length = 0;
    loop {
        let mut header = String::new();
        socket.read_line(&mut header).await?;
        match header.trim_end().to_ascii_lowercase().split_once(": ") {
            Some(("content-length", value)) => length = value.parse().unwrap_or(0),
            Some(_) => {}
            None => break,
        }
    }
    let mut body = vec![0; length];
    socket.read_exact(&mut body).await?;
    let line = line.trim_end().trim_end_matches(" HTTP/1.1").to_owned();
    Ok(Some(Asked { line, body: String::from_utf8_lossy(&body).into_owned() }))
}

fn answer(asked: &Asked, candidates: &Value) -> (&'static str, String) {
    let lines = asked.body.lines().count();
    let body = match asked.line.as_str() {
        "GET /readyz" => json!({}),
        "POST /v1/shots"
            if lines == 1
                && !asked.body.contains("\"player\"")
                && !asked.body.contains("\"club\"") =>
        {
            json!({"sequence": 1, "status": "unassigned", "flags": []})
        }
        "POST /v1/shots" => json!({"accepted": lines, "duplicates": 0, "refused": 0,
            "last_sequence": lines, "refusals": []}),
        "POST /v1/assignments" => {
            json!({"matched": 1, "changed": 1, "as_of": 2, "dry_run": false})
        }
        line if line.starts_with("PUT /v1/") => return ("201 Created", String::from("{}")),
        line if line.starts_with("GET /v1/players/marit/replacements?") => {
            json!({"player": "marit", "incumbent": "5h", "brief": {}, "candidates": candidates})
        }
        line if line.starts_with("GET /v1/players/marit/clubs/") => {
            let club = line.split(['/', '?']).nth(5).unwrap_or_default();
            json!({"club": club, "asked": {"typical": {"carry_m": 131.4}},
                   "reference": {"typical": {"carry_m": 154.2}}, "caution": "An estimate.",
                   "conditions": {"air": {"temperature_c": 20, "pressure_hpa": 1013.25}},
                   "calibration": {"source": "own", "shots": 87, "drag": 1.02, "lift": 0.97}})
        }
        "GET /v1/players/marit/ladder?bag=spring" => json!({"player": "marit", "rungs": [],
            "inversions": [{"clubs": ["4i", "5h"], "loft_deg": [21, 25],
                            "carry_m": [141.7, 156.9], "proven": true}]}),
        _ => return ("404 Not Found", json!({"title": "Not found", "status": 404}).to_string()),
    };
    ("200 OK", body.to_string())
}

/// One candidate of a replacements answer, with the named criteria broken.
pub fn candidate(club: &str, verdict: &str, broken: &[&str]) -> Value {
    let criteria: Vec<_> = broken
        .iter()
        .map(|name| {
            json!({"name": name, "metric": "launch_angle_deg", "estimate": -7.1, "low": -7.8,
                   "high": -6.4, "at_least": -5.0, "at_most": null, "state": "broken",
                   "evidence": 0.01, "evidence_needed": 20})
        })
        .collect();
    json!({"club": club, "verdict": verdict, "criteria": criteria,
           "outlook": {"chance": 0.5, "words": "even"}, "more_shots": null, "missing": []})
}

/// The verdicts that the scenario was made for.
pub fn as_told() -> Value {
    json!([
        candidate("4u", "replaces", &[]),
        candidate("4i", "does_not_replace", &["carry_held"]),
        candidate("9w", "does_not_replace", &["launch_lower", "spin_lower"]),
        candidate("3u", "does_not_replace", &["not_too_low"]),
    ])
}
