//! `evencarry healthcheck`

use std::time::Duration;

use clap::Args;

use super::Exit;

/// Where a service listens unless it is told otherwise.
const USUAL: &str = "http://127.0.0.1:8417";
/// Time a service has to answer.
const PATIENCE: Duration = Duration::from_secs(5);

/// Ask a running service whether it takes writes: exit code 0 if it does, 1 if not.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Where the service is.
    #[arg(long, env = "EVENCARRY_URL", default_value = USUAL, value_name = "URL")]
    url: String,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let not_ready = |why: String| Exit::new(Exit::NOT_READY, why);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|error| not_ready(format!("the check cannot run: {error}")))?;
    // An empty variable is as good as none.
    let url = if arguments.url.is_empty() { USUAL } else { &arguments.url };
    runtime.block_on(check(url)).map_err(not_ready)
}

async fn check(url: &str) -> Result<(), String> {
    let url = format!("{}/readyz", url.trim_end_matches('/'));
    let unreachable = |error: reqwest::Error| {
        if error.is_builder() {
            format!("`{url}` is no URL that can be asked: give one such as {USUAL}")
        } else {
            format!("{url} does not answer: {error}")
        }
    };
    let client =
        reqwest::Client::builder().timeout(PATIENCE).no_proxy().build().map_err(unreachable)?;
    let answer = client.get(&url).send().await.map_err(unreachable)?;
    let status = answer.status();
    if status.is_success() {
        return Ok(());
    }
    let body = answer.text().await.unwrap_or_default();
    Err(format!("{url} says {status}: {body}"))
}
