//! `evencarry healthcheck`

use std::time::Duration;

use clap::Args;

use super::{
    Exit,
    address::{Address, USUAL, run as run_asking},
};

/// Time a service has to answer.
const PATIENCE: Duration = Duration::from_secs(5);

/// Ask a running service whether it takes writes: exit code 0 if it does, 1 if not.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    address: Address,
}

pub(super) fn run(arguments: &Arguments) -> Result<(), Exit> {
    let base = arguments.address.base();
    run_asking(async { check(base).await.map_err(|why| Exit::new(Exit::NOT_READY, why)) })
}

async fn check(base: &str) -> Result<(), String> {
    let url = format!("{base}/readyz");
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
