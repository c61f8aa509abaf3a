//! How far a body of many shots came: counts, and the refusals one by one.

use serde::Serialize;

use super::{metrics::Meters, problem::Fault};
use crate::shot::Sequence;

/// One item of a batch that was not stored.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Refusal {
    /// The line of a stream, or the place in an array, counted from 1.
    pub line: u64,
    /// The item's `source`, if it could be read.
    pub source: Option<String>,
    /// The item's `id`, if it could be read.
    pub id: Option<String>,
    /// The HTTP status that the item would have got alone.
    pub status: u16,
    /// What is wrong with it.
    pub errors: Vec<Fault>,
}

impl Refusal {
    /// About how many bytes the refusal takes in an answer.
    pub(super) fn weight(&self) -> usize {
        let names =
            self.source.as_ref().map_or(0, String::len) + self.id.as_ref().map_or(0, String::len);
        let errors: usize =
            self.errors.iter().map(|fault| fault.pointer.len() + fault.detail.len() + 32).sum();
        64 + names + errors
    }
}

/// What became of the items of a batch, as an answer and within the problem of a stream that ended
/// early.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Progress {
    /// Shots stored by this request, the unassigned included.
    pub accepted: u64,
    /// Shots that were stored already, with the same content.
    pub duplicates: u64,
    /// Items refused.
    pub refused: u64,
    /// The greatest sequence number among those stored by this request, or null.
    #[schema(value_type = Option<u64>)]
    pub last_sequence: Option<Sequence>,
    /// The refused items, by line.
    pub refusals: Vec<Refusal>,
    /// How many refusals the list leaves out.
    #[serde(skip_serializing_if = "is_zero")]
    pub refusals_left_out: u64,
    /// In a problem: the last line whose fate is told; send again from the next one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_line: Option<u64>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde asks for")]
fn is_zero(count: &u64) -> bool {
    *count == 0
}

/// Gathers a [`Progress`] within bounded memory.
#[derive(Debug)]
pub(super) struct Tally<'a> {
    /// Where refusals are counted; nowhere in a rehearsal.
    meters: Option<&'a Meters>,
    progress: Progress,
    room: usize,
    bytes_left: usize,
}

/// Bytes of refusals in one answer; past them refusals are counted only. 1,000 refusals of ordinary
/// size take about a quarter of it.
const REFUSALS_BYTES: usize = 1024 * 1024;

impl<'a> Tally<'a> {
    /// An empty tally that lists at most `room` refusals, and counts all in the meters.
    #[must_use]
    pub(super) fn new(room: usize, meters: &'a Meters) -> Self {
        Self { meters: Some(meters), ..Self::uncounted(room) }
    }

    /// The same for a rehearsal, whose refusals happened to nobody.
    #[must_use]
    pub(super) fn uncounted(room: usize) -> Self {
        Self { meters: None, progress: Progress::default(), room, bytes_left: REFUSALS_BYTES }
    }

    /// Counts a stored shot.
    pub(super) fn accept(&mut self, sequence: Sequence) {
        self.progress.accepted += 1;
        self.progress.last_sequence = self.progress.last_sequence.max(Some(sequence));
    }

    /// Counts a shot that was there already.
    pub(super) fn duplicate(&mut self) {
        self.progress.duplicates += 1;
    }

    /// Counts a refusal, and lists it while there is room. Refusals come in the order of lines.
    pub(super) fn refuse(&mut self, refusal: Refusal) {
        self.progress.refused += 1;
        if let Some(meters) = self.meters {
            meters.refused(refusal.status);
        }
        let weight = refusal.weight();
        let fits = self.progress.refusals.len() < self.room && weight <= self.bytes_left;
        if fits && self.progress.refusals_left_out == 0 {
            self.bytes_left -= weight;
            self.progress.refusals.push(refusal);
        } else {
            self.progress.refusals_left_out += 1;
        }
    }

    /// Notes that the fate of every line up to `line` is told.
    pub(super) fn reach(&mut self, line: u64) {
        self.progress.last_line = Some(line);
    }

    /// The answer to a body that was read to its end.
    #[must_use]
    pub(super) fn into_whole(self) -> Progress {
        Progress { last_line: None, ..self.progress }
    }

    /// What is said of a body that ended early.
    #[must_use]
    pub(super) fn into_partial(self) -> Progress {
        Progress { last_line: Some(self.progress.last_line.unwrap_or(0)), ..self.progress }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(line: u64, detail: &str) -> Refusal {
        let errors =
            vec![Fault { pointer: "/club".into(), detail: detail.into(), parameter: None }];
        Refusal { line, source: None, id: None, status: 422, errors }
    }

    #[test]
    fn refusals_past_the_room_are_counted_but_not_listed() {
        let meters = Meters::new(0);
        let mut tally = Tally::new(2, &meters);
        for line in 1..=5 {
            tally.refuse(refusal(line, "no"));
        }
        let progress = tally.into_whole();
        assert_eq!(progress.refused, 5);
        assert_eq!(progress.refusals.iter().map(|r| r.line).collect::<Vec<_>>(), [1, 2]);
        assert_eq!(progress.refusals_left_out, 3);
    }

    #[test]
    fn a_flood_of_long_refusals_stays_within_its_bytes() {
        let meters = Meters::new(0);
        let mut tally = Tally::new(1_000, &meters);
        let long = "x".repeat(64 * 1024);
        for line in 1..=1_000 {
            tally.refuse(refusal(line, &long));
        }
        let progress = tally.into_whole();
        let listed: usize = progress.refusals.iter().map(Refusal::weight).sum();
        assert!(listed <= REFUSALS_BYTES, "{listed} bytes are listed");
        assert_eq!(progress.refusals.len() as u64 + progress.refusals_left_out, 1_000);
    }

    #[test]
    fn a_body_cut_before_its_first_line_says_line_zero() {
        assert_eq!(Tally::new(1, &Meters::new(0)).into_partial().last_line, Some(0));
    }
}
