//! The rules of HTTP, as anyone can see them from outside.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod any_bytes;
mod catalogue;
mod corrections;
mod disk;
mod doors;
mod erasure;
mod export;
mod limits;
mod listing;
mod many;
mod one;
mod order;
mod questions;
mod retirements;
mod shutdown;
mod spec;
