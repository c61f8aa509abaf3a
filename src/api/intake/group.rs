//! Shots that go to the store together, with the lines they stood on.

use super::item::Item;
use crate::{
    api::{
        errors,
        limits::Limits,
        progress::{Refusal, Tally},
        service::Store,
    },
    live::Receipt,
    shot::{ShotId, SourceId},
    store::{Batch, NewShot, ReceiptWanted, ShotOutcome, WriteError},
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
    /// Adds an item: a shot, or the refusal of what is none.
    pub(super) fn add(&mut self, Item { line, read }: Item) {
        match read {
            Ok(shot) => {
                self.last_line = line;
                self.bytes += shot.size();
                let (source, id) = shot.identity();
                self.names.push(Named { line, source: source.clone(), id: id.clone() });
                self.shots.push(shot);
            }
            Err(refusal) => self.refuse(refusal),
        }
    }

    fn refuse(&mut self, refusal: Refusal) {
        self.last_line = refusal.line;
        self.bytes += refusal.weight();
        self.refusals.push(refusal);
    }

    /// Whether nothing was gathered.
    pub(super) fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many shots and refusals it holds.
    pub(super) fn len(&self) -> usize {
        self.shots.len() + self.refusals.len()
    }

    /// Whether it holds as much as a group may.
    pub(super) fn is_full(&self, limits: &Limits) -> bool {
        self.len() >= limits.group_shots || self.bytes >= limits.group_bytes
    }

    /// Lets the shots go when anything was refused; says whether that was so.
    pub(super) fn withhold_if_any_is_refused(&mut self) -> bool {
        let refused = !self.refusals.is_empty();
        if refused {
            self.shots.clear();
            self.names.clear();
        }
        refused
    }

    /// Stores the shots of the group, each for itself or all of them or none.
    pub(super) async fn settle(mut self, store: Store, batch: Batch) -> Settled {
        let shots = std::mem::take(&mut self.shots);
        let outcomes = store.append_shots(shots, batch, ReceiptWanted::No).await;
        Settled { group: self, outcomes }
    }
}

/// A group whose fate is known.
pub(super) struct Settled {
    group: Group,
    outcomes: Result<Vec<ShotOutcome<Receipt>>, WriteError>,
}

impl Settled {
    /// Counts every item of the group, refusals in the order of lines; gives the last line back.
    pub(super) fn count(self, tally: &mut Tally<'_>) -> Result<u64, WriteError> {
        let mut refusals = self.group.refusals;
        for (outcome, named) in self.outcomes?.into_iter().zip(self.group.names) {
            match outcome {
                ShotOutcome::Stored { sequence, .. } => tally.accept(sequence),
                ShotOutcome::Duplicate { .. } => tally.duplicate(),
                ShotOutcome::Conflict { .. } => {
                    refusals.push(errors::conflict_refusal(named.line, &named.source, &named.id));
                }
                ShotOutcome::Withheld => {}
            }
        }
        refusals.sort_by_key(|refusal| refusal.line);
        for refusal in refusals {
            tally.refuse(refusal);
        }
        Ok(self.group.last_line)
    }
}
