//! Pictures as others see them: read, drawn and measured by programs that know nothing of ours.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]
#![allow(clippy::cast_possible_truncation)]

#[path = "../support/mod.rs"]
mod support;

mod doors;
mod legible;
mod names;
mod season;
mod seen;
mod snapshots;
mod words;
