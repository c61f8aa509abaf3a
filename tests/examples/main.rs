//! The examples for those who write clients: every event gets the answer that is promised beside it,
//! the scripts run, the page follows in a browser, and the panels find what they ask for.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

// The page needs less of the browser than the suite that it comes from.
#[path = "../browser/driver.rs"]
#[allow(dead_code)]
mod driver;

mod dashboard;
mod events;
mod folder;
mod follow;
mod front;
mod page;
mod running;
mod scripts;
