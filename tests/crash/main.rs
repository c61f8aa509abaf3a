//! The promise of an acknowledgement, tried on the built program: whatever ends it, at whatever
//! moment, what was acknowledged is there, once, as it was sent and where it was; what was refused
//! is not; and every answer is the one that a fold from the start of the journal gives.
//!
//! What is sent and when the service is killed follows from a seed, which a failed test shows;
//! `CRASH_SEED` names one to run again, `CRASH_ROUNDS` asks for more rounds.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod answers;
mod book;
mod desk;
mod dice;
mod event;
mod feeder;
mod homes;
mod http;
mod kills;
mod service;
mod stops;
mod tables;
mod world;
