//! Players' trials.

use super::{Catalogue, Entry, TRIAL};
use crate::{
    bag::TrialRecord,
    shot::{ClubId, Sequence, TrialId, TrialState},
};

impl Catalogue {
    /// A player's trials, the newest first.
    pub(in crate::live) fn trials(&self, player: u32) -> Vec<&Entry<TrialId, TrialRecord>> {
        let trials = self.lockers.get(player as usize).map(|locker| &locker.trials);
        trials.into_iter().flatten().rev().filter(|trial| !trial.removed).collect()
    }

    /// A player's trials that go on, and those that were closed or taken out behind a sequence, the newest
    /// first, each with the sequence that ended it.
    pub(in crate::live) fn trials_since(
        &self,
        player: u32,
        since: Sequence,
    ) -> Vec<(TrialId, Option<Sequence>)> {
        let trials = self.lockers.get(player as usize).map(|locker| &locker.trials);
        let told = trials.into_iter().flatten().rev().filter_map(|trial| {
            let goes_on = !trial.removed && trial.document.state() != TrialState::Closed;
            let ended = (!goes_on).then_some(trial.as_of);
            let is_told = ended.is_none_or(|ended| ended > since);
            is_told.then(|| (trial.id.clone(), ended))
        });
        told.collect()
    }

    /// The last sequence that changed a trial of a player's, or the player, or took a trial out.
    pub(in crate::live) fn trials_as_of(&self, player: u32) -> Sequence {
        let trials = self.lockers.get(player as usize).map(|locker| &locker.trials);
        let trials = trials.into_iter().flatten().map(|trial| trial.as_of);
        trials.max().unwrap_or_default().max(self.player_as_of(player))
    }

    pub(in crate::live) fn trial(
        &self,
        player: u32,
        id: &TrialId,
    ) -> Option<&Entry<TrialId, TrialRecord>> {
        let trials = &self.lockers.get(player as usize)?.trials;
        trials.iter().find(|trial| trial.id == *id && !trial.removed)
    }

    /// The trials that a club stands in, oldest first.
    pub(in crate::live) fn trials_with(&self, player: u32, club: &ClubId) -> Vec<TrialId> {
        let trials = self.trials(player).into_iter().rev();
        let with = trials.filter(|trial| trial.document.trial.clubs().any(|known| known == club));
        with.map(|trial| trial.id.clone()).collect()
    }

    /// Takes in a trial that was opened.
    pub(in crate::live) fn open_trial(&mut self, player: u32, record: TrialRecord) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        let (id, as_of) = (TrialId::of(record.opened), record.opened);
        locker.trials.push(Entry { id, document: record, as_of, removed: false });
        let number = locker.trials.len() - 1;
        self.change_part(TRIAL, player, u32::try_from(number).unwrap_or(u32::MAX));
    }

    /// Changes a trial.
    pub(in crate::live) fn edit_trial(
        &mut self,
        (player, id): (u32, &TrialId),
        at: Sequence,
        edit: impl FnOnce(&mut Entry<TrialId, TrialRecord>),
    ) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        let known = |trial: &Entry<TrialId, TrialRecord>| trial.id == *id && !trial.removed;
        let Some(number) = locker.trials.iter().position(known) else { return };
        let trial = &mut locker.trials[number];
        trial.as_of = at;
        edit(trial);
        self.change_part(TRIAL, player, u32::try_from(number).unwrap_or(u32::MAX));
    }

    pub(in crate::live) fn remove_trial(&mut self, player: u32, id: &TrialId, at: Sequence) {
        self.edit_trial((player, id), at, |trial| trial.removed = true);
    }
}
