//! The examples for those who write clients: every event gets the answer that is promised beside
//! it, and the scripts run.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod events;
mod page;
mod scripts;
