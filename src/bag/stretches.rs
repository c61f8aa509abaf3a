//! Stretches of the one order of events: when what arrives counts for a trial.

use super::{filter::Evidence, player::Player};
use crate::shot::Sequence;

/// One stretch in which a trial was open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Stretch {
    /// What arrives after this counts.
    after: Sequence,
    /// And before this; `None` while it goes on.
    before: Option<Sequence>,
}

impl Stretch {
    fn holds(&self, sequence: Sequence) -> bool {
        sequence > self.after && self.before.is_none_or(|before| sequence < before)
    }
}

/// All stretches of a trial, in order. The first begins when it was opened.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Stretches {
    opened: Sequence,
    open: Vec<Stretch>,
    /// The first shot that finds the trial full; it counts no more.
    full_at: Option<Sequence>,
}

impl Stretches {
    /// A trial that was opened, and goes on.
    #[must_use]
    pub fn from(opened: Sequence) -> Self {
        let first = Stretch { after: opened, before: None };
        Self { opened, open: vec![first], full_at: None }
    }

    /// Ends the stretch that goes on.
    pub fn end(&mut self, at: Sequence) {
        if let Some(last) = self.open.last_mut().filter(|last| last.before.is_none()) {
            last.before = Some(at);
        }
    }

    /// Begins another one.
    pub fn resume(&mut self, at: Sequence) {
        self.end(at);
        self.open.push(Stretch { after: at, before: None });
    }

    /// The frame that opened it.
    #[must_use]
    pub fn opened(&self) -> Sequence {
        self.opened
    }

    /// Lets nothing count from a shot on.
    pub fn fill(&mut self, at: Sequence) {
        self.full_at = Some(at);
    }

    /// Whether a shot found the trial full.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.full_at.is_some()
    }

    /// Whether what arrived there came too late for a trial that was full.
    #[must_use]
    pub(super) fn is_beyond(&self, sequence: Sequence) -> bool {
        self.full_at.is_some_and(|full| sequence >= full)
    }

    /// What it has come to: while nothing counts, whatever arrived before that began.
    #[must_use]
    pub fn until(&self) -> Option<Sequence> {
        let ended = self.open.last().and_then(|last| last.before);
        ended.into_iter().chain(self.full_at).min()
    }

    /// Whether what arrived there counts.
    #[must_use]
    pub fn hold(&self, sequence: Sequence) -> bool {
        // Mostly it is the newest that is asked for.
        !self.is_beyond(sequence) && self.open.iter().rev().any(|stretch| stretch.holds(sequence))
    }
}

impl Player<'_> {
    /// How many present shots had arrived before a frame.
    #[must_use]
    pub fn arrived_before(&self, frame: Sequence) -> usize {
        let places = self.marks.places();
        places.partition_point(|place| self.rows[place.row as usize].sequence < frame)
    }

    /// How many present shots had arrived when evidence ends: all of them, unless it is that of a
    /// trial that does not go on.
    #[must_use]
    pub fn arrived(&self, evidence: &Evidence) -> usize {
        let until = evidence.stretches.as_ref().and_then(Stretches::until);
        until.map_or(self.marks.places().len(), |until| self.arrived_before(until))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(number: u64) -> Sequence {
        Sequence::new(number)
    }

    #[test]
    fn what_arrives_while_a_trial_is_paused_does_not_count() {
        let mut stretches = Stretches::from(at(10));
        stretches.end(at(20));
        stretches.end(at(22));
        assert_eq!(stretches.until(), Some(at(20)));
        stretches.resume(at(30));
        let counting: Vec<u64> = (0..40).filter(|n| stretches.hold(at(*n))).collect();
        assert_eq!(counting, (11..20).chain(31..40).collect::<Vec<_>>());
        assert_eq!((stretches.opened(), stretches.until()), (at(10), None));
    }
}
