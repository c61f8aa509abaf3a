//! A trial as it stands: what it was opened with, and what became of it.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{
    bag::stretches::Stretches,
    shot::{Change, Reason, Sequence, Trial, TrialPatch, TrialState},
};

/// The most changes of its state that a trial takes: far more than anybody makes.
pub const STATE_CHANGES_MAX: usize = 200;

/// A trial with its life so far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialRecord {
    /// What it was opened with; its name and notes may be others since.
    pub trial: Trial,
    /// The frame that opened it.
    pub opened: Sequence,
    /// When that arrived.
    pub opened_at: Timestamp,
    /// How its state changed since, oldest first.
    pub changes: Vec<StateChange>,
}

/// A change of a trial's state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StateChange {
    /// How it stood from then on.
    pub state: TrialState,
    /// The act's place in the one order.
    pub as_of: Sequence,
    /// When the act arrived.
    #[schema(value_type = String, format = DateTime)]
    pub time: Timestamp,
    /// Why; null where nobody said.
    #[schema(value_type = Option<String>)]
    pub reason: Option<Reason>,
}

impl TrialRecord {
    /// A trial that was just opened.
    #[must_use]
    pub fn opened(trial: Trial, (at, time): (Sequence, Timestamp)) -> Self {
        Self { trial, opened: at, opened_at: time, changes: Vec::new() }
    }

    /// How it stands.
    #[must_use]
    pub fn state(&self) -> TrialState {
        self.changes.last().map_or(TrialState::Open, |last| last.state)
    }

    /// Whether a patch is one change of state too many.
    #[must_use]
    pub fn is_worn_out_by(&self, patch: &TrialPatch) -> bool {
        let changes = patch.state.is_some_and(|state| state != self.state());
        changes && self.changes.len() >= STATE_CHANGES_MAX
    }

    /// Takes a change. A state that it has already is none.
    pub fn change(&mut self, patch: &TrialPatch, (as_of, time): (Sequence, Timestamp)) {
        if let Some(state) = patch.state.filter(|state| *state != self.state()) {
            self.changes.push(StateChange { state, as_of, time, reason: patch.reason.clone() });
        }
        set(&mut self.trial.name, &patch.name);
        set(&mut self.trial.notes, &patch.notes);
    }

    /// When what arrives counts.
    #[must_use]
    pub fn stretches(&self) -> Stretches {
        let mut stretches = Stretches::from(self.opened);
        for change in &self.changes {
            match change.state {
                TrialState::Open => stretches.resume(change.as_of),
                TrialState::Paused | TrialState::Closed => stretches.end(change.as_of),
            }
        }
        stretches
    }
}

fn set(text: &mut Option<String>, change: &Change<String>) {
    match change {
        Change::Keep => {}
        Change::Lift => *text = None,
        Change::Set(said) => *text = Some(said.clone()),
    }
}
