//! The rules of HTTP, as anyone can see them from outside.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod advice;
mod alerts;
mod any_bytes;
mod assignments;
mod bags;
mod catalogue;
mod cloud_events;
mod club_flight;
mod compressed;
mod computed;
mod computed_floor;
mod conditional;
mod conditions;
mod corrections;
mod cors;
mod csv;
mod described;
mod disk;
mod docs;
mod doors;
mod doubt;
mod drifts;
mod erasure;
mod examples;
mod export;
mod exposition;
mod flights;
mod forms;
mod held;
#[cfg(target_os = "linux")]
mod hostile;
mod imperial;
mod import_time;
mod inferred_flights;
mod leaving;
mod limits;
mod listing;
mod many;
mod metrics;
mod one;
mod order;
mod other_club;
mod page;
mod preconditions;
mod questions;
mod reference_air;
mod retirements;
mod sent_names;
mod shutdown;
#[cfg(target_os = "linux")]
mod silent_readers;
mod slot_air;
mod sources;
mod spec;
mod swaps;
mod trials;
mod two_clubs;
mod uncomputed;
mod windows;
mod zones;
