//! The public HTTP API, as far as the feed calls it.

use crate::answers::{Assigned, Batch, ClubFlight, Fault, Ladder, Problem, Receipt, Replacements};
use crate::event::Event;
use reqwest::{Method, RequestBuilder};
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::time::Duration;

/// Longest wait for an answer: a service that is this slow has stopped.
const ANSWER_WITHIN: Duration = Duration::from_secs(30);

/// Why a request did not do what it was for.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ClientError {
    /// Nobody listens there.
    #[error("nothing answers at {url}: start the service first, or leave out --to")]
    Refused {
        /// The service's address.
        url: String,
    },
    /// The connection broke or timed out.
    #[error("the connection to {url} failed: {source}")]
    Connection {
        /// The service's address.
        url: String,
        /// What the HTTP client says.
        source: reqwest::Error,
    },
    /// The service answered with a problem.
    #[error("{request} was answered {status}: {detail}")]
    Problem {
        /// Method and path.
        request: String,
        /// HTTP status.
        status: u16,
        /// The problem in words.
        detail: String,
    },
    /// The service's answer cannot be read.
    #[error("the answer to {request} is not of the agreed shape: {source}")]
    Shape {
        /// Method and path.
        request: String,
        /// What the JSON reader says.
        source: serde_json::Error,
    },
    /// The service took the batch, but not all of its shots.
    #[error("{count} shots were refused, the first ({id}) with {status}: {detail}")]
    ShotsRefused {
        /// How many.
        count: u64,
        /// The first one's id.
        id: String,
        /// The first one's status.
        status: u16,
        /// The first one's faults in words.
        detail: String,
    },
    /// An event or a body cannot be written as JSON.
    #[error("a body cannot be written as JSON: {0}")]
    Encode(#[source] serde_json::Error),
    /// The HTTP client cannot be set up.
    #[error("no HTTP client: {0}")]
    Setup(#[source] reqwest::Error),
}

/// One service, at one address.
#[derive(Debug, Clone)]
pub(crate) struct Client {
    url: String,
    http: reqwest::Client,
}

impl Client {
    /// A client of the service at `url` (no slash at its end).
    pub(crate) fn new(url: String) -> Result<Self, ClientError> {
        let http = reqwest::Client::builder()
            .no_proxy()
            .timeout(ANSWER_WITHIN)
            .build()
            .map_err(ClientError::Setup)?;
        Ok(Self { url, http })
    }

    /// The service's address.
    #[must_use]
    pub(crate) fn url(&self) -> &str {
        &self.url
    }

    /// `GET /readyz`: whether the service takes requests.
    pub(crate) async fn ready(&self) -> Result<(), ClientError> {
        self.body(Method::GET, "readyz", |request| request).await.map(drop)
    }

    /// `PUT /v1/{path}`: an entry of the catalogue, or a source's context.
    pub(crate) async fn put(&self, path: &str, body: &Value) -> Result<(), ClientError> {
        let path = format!("v1/{path}");
        self.body(Method::PUT, &path, |request| request.json(body)).await.map(drop)
    }

    /// `POST /v1/shots` with one event.
    pub(crate) async fn post_shot(&self, event: &Event) -> Result<Receipt, ClientError> {
        self.answer(Method::POST, "v1/shots", |request| request.json(event)).await
    }

    /// `POST /v1/shots` with many events as NDJSON; a refused one is an error.
    pub(crate) async fn post_shots(&self, events: &[Event]) -> Result<(), ClientError> {
        let body = ndjson(events).map_err(ClientError::Encode)?;
        let with_body = |request: RequestBuilder| {
            request.header("content-type", "application/x-ndjson").body(body)
        };
        let batch: Batch = self.answer(Method::POST, "v1/shots", with_body).await?;
        match batch.refusals.first() {
            _ if batch.refused == 0 => Ok(()),
            first => Err(ClientError::ShotsRefused {
                count: batch.refused,
                id: first.and_then(|refusal| refusal.id.clone()).unwrap_or_default(),
                status: first.map_or(0, |refusal| refusal.status),
                detail: first.map(|refusal| in_words(&refusal.errors)).unwrap_or_default(),
            }),
        }
    }

    /// `POST /v1/assignments`.
    pub(crate) async fn assign(&self, body: &Value) -> Result<Assigned, ClientError> {
        self.answer(Method::POST, "v1/assignments", |request| request.json(body)).await
    }

    /// `GET /v1/players/{player}/replacements` for named candidates, one at least.
    pub(crate) async fn replacements(
        &self,
        player: &str,
        incumbent: &str,
        candidates: &[&str],
    ) -> Result<Replacements, ClientError> {
        let named = candidates.join("&candidate=");
        let path =
            format!("v1/players/{player}/replacements?incumbent={incumbent}&candidate={named}");
        self.answer(Method::GET, &path, |request| request).await
    }

    /// `GET /v1/players/{player}/ladder` of a bag.
    pub(crate) async fn ladder(&self, player: &str, bag: &str) -> Result<Ladder, ClientError> {
        let path = format!("v1/players/{player}/ladder?bag={bag}");
        self.answer(Method::GET, &path, |request| request).await
    }

    /// `GET /v1/players/{player}/clubs/{club}/flight` into a wind, in reference air otherwise.
    pub(crate) async fn flight_into_wind(
        &self,
        player: &str,
        club: &str,
        wind_mph: u32,
    ) -> Result<ClubFlight, ClientError> {
        let path = format!(
            "v1/players/{player}/clubs/{club}/flight?wind_speed_mph={wind_mph}&wind_from_deg=0"
        );
        self.answer(Method::GET, &path, |request| request).await
    }

    async fn answer<T: DeserializeOwned>(
        &self,
        method: Method,
        path: &str,
        fill: impl FnOnce(RequestBuilder) -> RequestBuilder,
    ) -> Result<T, ClientError> {
        let request = format!("{method} /{path}");
        let body = self.body(method, path, fill).await?;
        serde_json::from_slice(&body).map_err(|source| ClientError::Shape { request, source })
    }

    /// The body of a good answer; anything else is an error in words.
    async fn body(
        &self,
        method: Method,
        path: &str,
        fill: impl FnOnce(RequestBuilder) -> RequestBuilder,
    ) -> Result<Vec<u8>, ClientError> {
        let request = format!("{method} /{path}");
        let builder = fill(self.http.request(method, format!("{}/{path}", self.url)));
        let response = builder.send().await.map_err(|source| self.broken(source))?;
        let status = response.status();
        let body = response.bytes().await.map_err(|source| self.broken(source))?.to_vec();
        if status.is_success() {
            return Ok(body);
        }
        let detail = problem_in_words(&body);
        Err(ClientError::Problem { request, status: status.as_u16(), detail })
    }

    fn broken(&self, source: reqwest::Error) -> ClientError {
        let url = self.url.clone();
        if source.is_connect() {
            ClientError::Refused { url }
        } else {
            ClientError::Connection { url, source }
        }
    }
}

/// Events as NDJSON, one a line, with a newline after each.
pub(crate) fn ndjson(events: &[Event]) -> Result<String, serde_json::Error> {
    let mut text = String::new();
    for event in events {
        text.push_str(&serde_json::to_string(event)?);
        text.push('\n');
    }
    Ok(text)
}

fn problem_in_words(body: &[u8]) -> String {
    let Ok(problem) = serde_json::from_slice::<Problem>(body) else {
        return String::from("no explanation");
    };
    let said = problem.detail.or(problem.title);
    let faults = (!problem.errors.is_empty()).then(|| in_words(&problem.errors));
    let parts: Vec<_> = said.into_iter().chain(faults).collect();
    if parts.is_empty() { String::from("no explanation") } else { parts.join("; ") }
}

fn in_words(faults: &[Fault]) -> String {
    let one = |fault: &Fault| match fault.pointer.as_str() {
        "" => fault.detail.clone(),
        pointer => format!("{pointer}: {}", fault.detail),
    };
    faults.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use crate::flights::Season;
    use serde_json::json;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpListener;

    /// Answers one request with `status` and `body`, and gives back what was asked.
    async fn one_answer(
        status: &'static str,
        body: String,
    ) -> (Client, tokio::task::JoinHandle<String>) {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let client = Client::new(format!("http://{}", listener.local_addr().unwrap())).unwrap();
        let asked = tokio::spawn(async move {
            let (mut socket, _) = listener.accept().await.unwrap();
            let mut seen = String::new();
            while !whole(&seen) {
                let mut chunk = [0; 4096];
                let n = socket.read(&mut chunk).await.unwrap();
                assert!(n > 0, "the request ended early: {seen}");
                seen.push_str(std::str::from_utf8(&chunk[..n]).unwrap());
            }
            let head = format!("HTTP/1.1 {status}\r\ncontent-length: {}\r\n\r\n", body.len());
            socket.write_all(format!("{head}{body}").as_bytes()).await.unwrap();
            seen
        });
        (client, asked)
    }

    fn whole(request: &str) -> bool {
        let Some((head, body)) = request.split_once("\r\n\r\n") else { return false };
        let length = head
            .lines()
            .find_map(|line| {
                line.to_ascii_lowercase().strip_prefix("content-length: ")?.parse().ok()
            })
            .unwrap_or(0);
        body.len() >= length
    }

    #[tokio::test]
    async fn many_shots_go_out_as_ndjson_one_a_line() {
        let (client, asked) = one_answer("200 OK", json!({"accepted": 3, "duplicates": 0, "refused": 0, "last_sequence": 3, "refusals": []}).to_string()).await;
        let events: Vec<_> = Season::new(1).visits[0][..3].iter().map(Event::as_sent).collect();
        client.post_shots(&events).await.unwrap();
        let asked = asked.await.unwrap();
        assert!(asked.starts_with("POST /v1/shots HTTP/1.1\r\n"));
        assert!(asked.contains("content-type: application/x-ndjson\r\n"));
        let (_, body) = asked.split_once("\r\n\r\n").unwrap();
        let lines: Vec<Value> = body.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
        assert_eq!(lines.len(), 3);
        assert_eq!(lines[0]["id"], "000001");
    }

    #[tokio::test]
    async fn a_refused_shot_of_a_batch_is_an_error_that_says_why() {
        let answer = json!({"accepted": 1, "duplicates": 0, "refused": 1, "refusals": [
            {"line": 2, "source": "bay-7", "id": "000002", "status": 409,
             "errors": [{"pointer": "/id", "detail": "another shot has this id"}]}]});
        let (client, _asked) = one_answer("200 OK", answer.to_string()).await;
        let error = client.post_shots(&Season::new(1).visits[0][..2]).await.unwrap_err();
        assert_eq!(
            error.to_string(),
            "1 shots were refused, the first (000002) with 409: /id: another shot has this id"
        );
    }

    #[tokio::test]
    async fn a_problem_is_told_in_its_own_words() {
        let problem = json!({"type": "about:blank", "title": "Invalid", "status": 422,
            "detail": "the club has 2 faults",
            "errors": [{"pointer": "/loft_deg", "detail": "above 80"}]});
        let (client, _asked) = one_answer("422 Unprocessable Content", problem.to_string()).await;
        let error = client.put("players/marit", &json!({})).await.unwrap_err();
        assert_eq!(
            error.to_string(),
            "PUT /v1/players/marit was answered 422: the club has 2 faults; /loft_deg: above 80"
        );
    }

    #[tokio::test]
    async fn a_refused_connection_is_a_plain_sentence() {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let url = format!("http://{}", listener.local_addr().unwrap());
        drop(listener);
        let error = Client::new(url.clone()).unwrap().ready().await.unwrap_err();
        assert_eq!(
            error.to_string(),
            format!("nothing answers at {url}: start the service first, or leave out --to")
        );
    }

    #[tokio::test]
    async fn candidates_are_asked_for_in_one_question() {
        let answer = json!({"incumbent": "5h", "candidates": []}).to_string();
        let (client, asked) = one_answer("200 OK", answer).await;
        client.replacements("marit", "5h", &["4u", "4i"]).await.unwrap();
        let line = "GET /v1/players/marit/replacements?incumbent=5h&candidate=4u&candidate=4i ";
        assert!(asked.await.unwrap().starts_with(line));
    }

    #[tokio::test]
    async fn an_answer_of_another_shape_is_an_error_not_a_guess() {
        let (client, _asked) = one_answer("200 OK", String::from("{\"rungs\": 3}")).await;
        let error = client.replacements("marit", "5h", &["4u"]).await.unwrap_err();
        assert!(matches!(error, ClientError::Shape { .. }), "{error}");
    }
}
