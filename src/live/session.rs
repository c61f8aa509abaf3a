//! Visits: sessions that shots name, and those that are derived from when shots were hit.

use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

/// A shot without a session joins one whose shots are at most this far away in time.
/// Common practice, no source: longer than a break, shorter than the time between two visits.
const SAME_VISIT: SignedDuration = SignedDuration::from_mins(90);

/// One session of a player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Session {
    /// Its name, within the player.
    pub name: String,
    /// Where shots without a session may join it.
    pub derived: Option<Span>,
}

/// From when to when a source's shots made up one visit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) struct Span {
    /// The source, by number.
    pub source: u32,
    /// The earliest shot.
    pub from: Timestamp,
    /// The latest shot.
    pub to: Timestamp,
}

impl Span {
    /// How far a moment lies outside.
    fn distance(&self, time: Timestamp) -> SignedDuration {
        if time < self.from {
            self.from.duration_since(time)
        } else if time > self.to {
            time.duration_since(self.to)
        } else {
            SignedDuration::ZERO
        }
    }

    /// Takes in one more shot.
    pub(super) fn widen(&mut self, time: Timestamp) {
        self.from = self.from.min(time);
        self.to = self.to.max(time);
    }
}

/// The derived session that a source's shot joins: the nearest within 90 minutes, the later of
/// equals.
pub(super) fn nearest(sessions: &[Session], source: u32, time: Timestamp) -> Option<u32> {
    let mut best: Option<(SignedDuration, Timestamp, u32)> = None;
    for (number, session) in (0_u32..).zip(sessions) {
        let Some(span) = session.derived.filter(|span| span.source == source) else { continue };
        let distance = span.distance(time);
        let nearer = best
            .is_none_or(|(least, to, _)| distance < least || (distance == least && span.to >= to));
        if distance <= SAME_VISIT && nearer {
            best = Some((distance, span.to, number));
        }
    }
    best.map(|(_, _, number)| number)
}

/// The name of a session that begins with a shot: its source and UTC time.
pub(super) fn derived_name(source: &str, first: Timestamp) -> String {
    format!("{source}@{first}")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn session(source: u32, from: &str, to: &str) -> Session {
        let (from, to) = (from.parse().unwrap(), to.parse().unwrap());
        Session { name: derived_name("bay", from), derived: Some(Span { source, from, to }) }
    }

    #[test]
    fn a_shot_joins_the_nearest_visit_of_its_source_within_ninety_minutes() {
        let sessions = [
            session(0, "2026-04-11T08:00:00Z", "2026-04-11T09:00:00Z"),
            session(0, "2026-04-11T11:00:00Z", "2026-04-11T12:00:00Z"),
            session(1, "2026-04-11T09:30:00Z", "2026-04-11T09:40:00Z"),
        ];
        let at = |time: &str| nearest(&sessions, 0, time.parse().unwrap());
        assert_eq!(at("2026-04-11T08:30:00Z"), Some(0));
        assert_eq!(at("2026-04-11T09:59:59Z"), Some(0));
        assert_eq!(at("2026-04-11T10:00:00Z"), Some(1), "the later of equals");
        assert_eq!(at("2026-04-11T06:30:00Z"), Some(0), "ninety minutes are within");
        assert_eq!(at("2026-04-11T06:29:59.999Z"), None);
        assert_eq!(at("2026-04-11T13:30:01Z"), None);
    }

    #[test]
    fn a_derived_session_is_named_after_its_first_shot() {
        let first = "2026-04-11T10:15:04.120+02:00".parse().unwrap();
        assert_eq!(derived_name("bay-3", first), "bay-3@2026-04-11T08:15:04.12Z");
    }
}
