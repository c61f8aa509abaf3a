//! Where a running service is, and how it is asked.

use std::{future::Future, time::Duration};

use bytes::Bytes;
use clap::Args;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use reqwest::{Client, ClientBuilder, RequestBuilder, Response, StatusCode};
use serde_json::Value;

use super::Exit;

/// Where a service listens unless it is told otherwise.
pub(super) const USUAL: &str = "http://127.0.0.1:8417";
/// Time to reach a service.
const REACH: Duration = Duration::from_secs(5);
/// Longest silence of a service that answers, far beyond its heartbeat. Tests have less patience.
const SILENCE: Duration =
    if cfg!(test) { Duration::from_millis(200) } else { Duration::from_mins(1) };
/// How often a silent service's machine is asked whether it is there, and how many such questions it may
/// leave without an answer.
const PROBE: Duration = Duration::from_secs(15);
const PROBES: u32 = 4;
/// What stands in a path or a query as it is (RFC 3986, 2.3).
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// The flag that says where.
#[derive(Debug, Clone, Args)]
pub(super) struct Address {
    /// Where the service is.
    #[arg(long, env = "EVENCARRY_URL", default_value = USUAL, value_name = "URL")]
    pub(super) url: String,
}

impl Address {
    /// The address without a `/` at its end. An empty variable is as good as none.
    pub(super) fn base(&self) -> &str {
        if self.url.is_empty() { USUAL } else { self.url.trim_end_matches('/') }
    }
}

/// A running service that is asked.
pub(super) struct Service {
    base: String,
    client: Client,
}

impl Service {
    /// A service that is asked: it says something before long.
    pub(super) fn at(address: &Address) -> Result<Self, Exit> {
        Self::with(address, Client::builder().read_timeout(SILENCE))
    }

    /// A service that is given work, and is silent until that is done, however long it takes. The wait ends
    /// when its machine does not answer the system's probes (TCP keep-alives, RFC 9293, 3.8.4), or what was
    /// sent is not acknowledged for as long as the system allows.
    pub(super) fn at_work(address: &Address) -> Result<Self, Exit> {
        let client = Client::builder().tcp_keepalive(PROBE).tcp_keepalive_interval(PROBE);
        Self::with(address, client.tcp_keepalive_retries(PROBES))
    }

    fn with(address: &Address, client: ClientBuilder) -> Result<Self, Exit> {
        let built = client.connect_timeout(REACH).no_proxy().build();
        let client = built.map_err(|error| {
            Exit::new(Exit::UNAVAILABLE, format!("the service cannot be asked: {error}"))
        })?;
        Ok(Self { base: address.base().to_owned(), client })
    }

    /// Where it is.
    pub(super) fn base(&self) -> &str {
        &self.base
    }

    /// A question: the parts of its path, and its query.
    pub(super) fn get(&self, path: &[&str], query: &[(&str, &str)]) -> RequestBuilder {
        self.client.get(self.url(path, query))
    }

    /// A body to be sent, with the parts of its path.
    pub(super) fn post(&self, path: &[&str]) -> RequestBuilder {
        self.client.post(self.url(path, &[]))
    }

    /// Asks, and reads the whole answer.
    pub(super) async fn answer(
        &self,
        path: &[&str],
        query: &[(&str, &str)],
    ) -> Result<Bytes, Exit> {
        let response = self.send(self.get(path, query)).await?;
        response.bytes().await.map_err(|error| self.unreachable(&error))
    }

    /// Sends a request; a refusal becomes an end that says why.
    pub(super) async fn send(&self, request: RequestBuilder) -> Result<Response, Exit> {
        let response = request.send().await.map_err(|error| self.unreachable(&error))?;
        let status = response.status();
        if status.is_success() {
            return Ok(response);
        }
        let body = response.bytes().await.unwrap_or_default();
        Err(refused(&self.base, status, &body))
    }

    /// The end of a program that cannot reach the service.
    pub(super) fn unreachable(&self, error: &reqwest::Error) -> Exit {
        let base = &self.base;
        if error.is_builder() {
            let sentence =
                format!("`{base}` is no URL that can be asked: give one such as {USUAL}");
            return Exit::new(Exit::USAGE, sentence);
        }
        let mut cause: &dyn std::error::Error = error;
        while let Some(deeper) = cause.source() {
            cause = deeper;
        }
        let mend = "start it with `evencarry serve`, or say with `--url` where it is";
        Exit::new(Exit::UNAVAILABLE, format!("{base} does not answer: {cause}: {mend}"))
    }

    fn url(&self, path: &[&str], query: &[(&str, &str)]) -> String {
        let path: Vec<String> = path.iter().map(|part| encoded(part)).collect();
        let query: Vec<String> =
            query.iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        let mark = if query.is_empty() { "" } else { "?" };
        format!("{}/{}{mark}{}", self.base, path.join("/"), query.join("&"))
    }
}

fn encoded(text: &str) -> String {
    utf8_percent_encode(text, PLAIN).to_string()
}

/// A refusal in its own words (RFC 9457): all faults, one a line.
fn refused(base: &str, status: StatusCode, body: &[u8]) -> Exit {
    let code = match status {
        StatusCode::FORBIDDEN | StatusCode::UNAUTHORIZED => Exit::NOT_ALLOWED,
        status if status == StatusCode::TOO_MANY_REQUESTS || status.is_server_error() => {
            Exit::IN_USE
        }
        _ => Exit::USAGE,
    };
    let Ok(problem) = serde_json::from_slice::<Value>(body) else {
        return Exit::new(code, format!("{base} says {status}, and not why: is it this service?"));
    };
    let faults = problem["errors"].as_array().into_iter().flatten();
    let told: Vec<&str> = faults.filter_map(|fault| fault["detail"].as_str()).collect();
    if told.is_empty() {
        let detail = problem["detail"].as_str().unwrap_or("it does not say why");
        return Exit::new(code, format!("{base} says {status}: {detail}"));
    }
    Exit::all(code, told.into_iter().map(str::to_owned).collect())
}

/// Runs what waits for a service.
pub(super) fn run<T>(work: impl Future<Output = Result<T, Exit>>) -> Result<T, Exit> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime
        .map_err(|error| Exit::new(Exit::UNAVAILABLE, format!("nothing can be asked: {error}")))?;
    runtime.block_on(work)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn names_are_encoded_wherever_they_stand() {
        let service = Service::at(&Address { url: String::from("http://bay.example/") }).unwrap();
        assert_eq!(
            service.url(&["v1", "players", "a/b", "ladder"], &[("bag", "spring & summer")]),
            "http://bay.example/v1/players/a%2Fb/ladder?bag=spring%20%26%20summer"
        );
    }

    #[test]
    fn a_refusal_is_told_in_its_own_words() {
        let problem = br#"{"detail":"x","errors":[{"detail":"one"},{"detail":"two"}]}"#;
        let exit = refused("http://bay.example", StatusCode::UNPROCESSABLE_ENTITY, problem);
        assert_eq!(exit.sentences(), ["one", "two"]);
        let exit = refused("http://bay.example", StatusCode::NOT_FOUND, br#"{"detail":"no such"}"#);
        assert_eq!(exit.sentences(), ["http://bay.example says 404 Not Found: no such"]);
        let exit = refused("http://bay.example", StatusCode::OK, b"<html>");
        assert!(exit.sentences()[0].contains("is it this service?"));
    }
}
