//! Shots that go to the store together, with the lines they stood on.

use std::sync::Arc;

use crate::{
    api::{errors, limits::Limits, lines::Line, progress::{Refusal, Tally}, service::Store},
    shot::{self, ShotId, SourceId},
    store::{Mode, NewShot, ShotOutcome, WriteError},
};

/// A group while it is gathered.
#[derive(Default)]
pub(super) struct Group {
    shots: Vec<NewShot>,
    names: Vec<Named>,
    refusals: Vec<Refusal>,
    last_line: u64,
    bytes: usize,
}

/// Whose outcome it is.
struct Named {
    line: u64,
    source: SourceId,
    id: ShotId,
}

impl Group {
    /// Adds a line: a shot, or the refusal of what is none.
    pub(super) fn add(&mut self, line: Line, limits: &Limits) {
        let (number, text) = match line {
            Line::Text { number, text } => (number, text),
            Line::TooLong { number } => {
                self.last_line = number;
                return self.refuse(errors::too_long(number, limits));
            }
        };
        self.last_line = number;
        match shot::parse(&text) {
            Ok(event) => {
                self.bytes += text.len();
                let (source, id) = (event.source.clone(), event.id.clone());
                self.names.push(Named { line: number, source, id });
                self.shots.push(NewShot::new(event, text));
            }
            Err(rejection) => self.refuse(errors::refusal(number, rejection)),
        }
    }

    fn refuse(&mut self, refusal: Refusal) {
        self.bytes += refusal.weight();
        self.refusals.push(refusal);
    }

    /// Whether nothing was gathered.
    pub(super) fn is_empty(&self) -> bool {
        self.names.is_empty() && self.refusals.is_empty()
    }

    /// Whether it holds as much as a group may.
    pub(super) fn is_full(&self, limits: &Limits) -> bool {
        self.names.len() + self.refusals.len() >= limits.group_shots || self.bytes >= limits.group_bytes
    }

    /// How many shots and refusals it holds.
    pub(super) fn len(&self) -> usize {
        self.names.len() + self.refusals.len()
    }

    /// Whether anything was refused before the store was asked.
    pub(super) fn has_refusals(&self) -> bool {
        !self.refusals.is_empty()
    }

    /// Stores each shot of the group for itself.
    pub(super) async fn settle(self, store: Arc<Store>) -> Settled {
        self.settle_as(Mode::Each, &store).await
    }

    /// Stores all shots of the group, or none.
    pub(super) async fn settle_whole(self, store: &Store) -> Settled {
        self.settle_as(Mode::AllOrNothing, store).await
    }

    async fn settle_as(mut self, mode: Mode, store: &Store) -> Settled {
        let shots = std::mem::take(&mut self.shots);
        let outcomes = if shots.is_empty() {
            Ok(Vec::new())
        } else {
            store.append_shots(shots, mode).await
        };
        Settled { group: self, outcomes }
    }
}

/// A group whose fate is known.
pub(super) struct Settled {
    group: Group,
    outcomes: Result<Vec<ShotOutcome<crate::live::Receipt>>, WriteError>,
}

impl Settled {
    /// Counts every item of the group in the order of lines. After a failure before it, the lines it
    /// reached are not told as reached: what comes before them is not settled.
    pub(super) fn count(self, tally: &mut Tally, after_a_failure: bool) -> Result<(), WriteError> {
        let mut refusals = self.group.refusals;
        for (outcome, named) in self.outcomes?.into_iter().zip(self.group.names) {
            match outcome {
                ShotOutcome::Stored { sequence, .. } => tally.accept(sequence),
                ShotOutcome::Duplicate { .. } => tally.duplicate(),
                ShotOutcome::Conflict { .. } => {
                    refusals.push(errors::conflict_refusal(named.line, &named.source, &named.id));
                }
            }
        }
        refusals.sort_by_key(|refusal| refusal.line);
        for refusal in refusals {
            tally.refuse(refusal);
        }
        if !after_a_failure {
            tally.reach(self.group.last_line);
        }
        Ok(())
    }
}
