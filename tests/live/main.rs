//! The live stream and lists that wait, as a client sees them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod acts;
mod answerable;
mod boards;
mod corrections;
mod doors;
mod failures;
mod filters;
mod listener;
mod many;
mod places;
mod restart;
mod resume;
mod slow;
mod stop;
mod wait;

use std::time::Duration;

/// Time in which nothing may come where nothing should.
const QUIET: Duration = Duration::from_millis(300);

/// A shot on one line of JSON: its id, player and club; from bay-3.
fn shot(id: &str, player: &str, club: &str) -> String {
    shot_from("bay-3", (id, player, club), "")
}

/// The same from a source, with more members.
fn shot_from(source: &str, (id, player, club): (&str, &str, &str), more: &str) -> String {
    format!(
        r#"{{"id":"{id}","source":"{source}","time":"2026-04-11T10:15:04Z","player":"{player}","club":"{club}","flight":{{"carry_m":158.3}}{more}}}"#
    )
}
