//! Requests and answers.

use reqwest::{Client, Method, StatusCode};
use serde::Deserialize;
use serde::de::{DeserializeOwned, Deserializer};
use serde_json::Value;
use serde_json::value::RawValue;

use crate::service::PATIENCE;

/// A connection of its own.
pub(crate) fn client() -> Client {
    Client::builder().no_proxy().timeout(PATIENCE).build().unwrap()
}

/// Status and body of an answer.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    /// None when the service ended while it was sent.
    pub(crate) body: Option<Value>,
}

/// Sends a request; none when no answer came.
pub(crate) async fn send(request: reqwest::RequestBuilder) -> Option<Answer> {
    let answer = request.send().await.ok()?;
    let status = answer.status();
    let body = answer.bytes().await.ok();
    let body = body.map(|bytes| {
        serde_json::from_slice(&bytes).unwrap_or_else(|error| {
            panic!("{status} has a body that is no JSON ({error}): {bytes:?}")
        })
    });
    Some(Answer { status, body })
}

/// Sends JSON; none when no answer came.
pub(crate) async fn send_json(
    client: &Client,
    (method, url): (Method, String),
    body: String,
) -> Option<Answer> {
    let request = client.request(method, url).header("Content-Type", "application/json");
    send(request.body(body)).await
}

/// An answer that says that the service failed.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(crate) struct Failure(pub(crate) String);

/// Reads what a path gives; none where nothing is.
pub(crate) async fn read<T: DeserializeOwned>(
    client: &Client,
    url: &str,
) -> Result<Option<T>, Failure> {
    let answer = client.get(url).send().await.unwrap();
    let status = answer.status();
    let text = answer.text().await.unwrap();
    match status {
        StatusCode::OK => Ok(Some(serde_json::from_str(&text).unwrap())),
        StatusCode::NOT_FOUND => Ok(None),
        _ if status.is_server_error() => Err(Failure(format!("{url}: {text}"))),
        _ => panic!("{url}: {text}"),
    }
}

/// A shot in a list.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(crate) struct Shot {
    /// The event to the byte.
    #[serde(deserialize_with = "verbatim")]
    pub(crate) event: String,
    pub(crate) sequence: u64,
    pub(crate) player: Option<String>,
    pub(crate) club: Option<String>,
    pub(crate) session: Option<String>,
    pub(crate) flags: Vec<String>,
    pub(crate) set_aside: Option<Value>,
    pub(crate) changed: Value,
}

fn verbatim<'de, D: Deserializer<'de>>(from: D) -> Result<String, D::Error> {
    Box::<RawValue>::deserialize(from).map(|raw| raw.get().to_owned())
}

#[derive(Deserialize)]
struct Page {
    items: Vec<Shot>,
    next: Option<String>,
}

/// All shots, page by page, oldest or newest first.
pub(crate) async fn shots(
    client: &Client,
    address: &str,
    order: &str,
) -> Result<Vec<Shot>, Failure> {
    let question = format!("{address}/v1/shots?limit=1000&order={order}");
    let mut all = Vec::new();
    let mut url = question.clone();
    loop {
        let page: Page = read(client, &url).await?.unwrap();
        all.extend(page.items);
        let Some(next) = page.next else { return Ok(all) };
        url = format!("{question}&cursor={next}");
    }
}
