//! Questions about a player's trials.

use super::{Live, ReadError, answers::known_player, read, reading::Reading};
use crate::{
    bag::{
        self, HistoryPart, ListedTrial, ReplacementQuestion, TrialHistory, TrialRecord,
        TrialStanding,
    },
    shot::{PlayerId, Sequence, TrialId},
};

impl Live {
    /// A player's trials, the newest first, and the last sequence that changed any of them.
    ///
    /// # Errors
    /// An unknown player.
    pub fn trials(&self, player: &PlayerId) -> Result<(Vec<ListedTrial>, Sequence), ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let trials = catalogue.trials(number).into_iter();
        let listed = trials.map(|trial| ListedTrial::of((&trial.id, &trial.document), trial.as_of));
        Ok((listed.collect(), catalogue.trials_as_of(number)))
    }

    /// How a trial stands.
    ///
    /// # Errors
    /// An unknown player or trial, or a state that cannot be read.
    pub fn trial(&self, player: &PlayerId, id: &TrialId) -> Result<TrialStanding, ReadError> {
        self.ask(player, |player, pairs| {
            let (record, question) = self.asked_of_trial(player, id)?;
            let standings = Reading::standings(pairs, &question, player);
            bag::trial_standing(player, (id, &record), (&question, &standings))
                .ok_or_else(|| ReadError::UnknownTrial(id.clone()))
        })
    }

    /// How a trial's evidence grew.
    ///
    /// # Errors
    /// As for [`Live::trial`].
    pub fn trial_history(
        &self,
        player: &PlayerId,
        id: &TrialId,
        part: HistoryPart,
    ) -> Result<TrialHistory, ReadError> {
        self.ask(player, |player, _| {
            let (_, question) = self.asked_of_trial(player, id)?;
            Ok(bag::trial_history(player, &question, part))
        })
    }

    /// A trial, and what it asks of its player's shots.
    fn asked_of_trial(
        &self,
        player: bag::Player<'_>,
        id: &TrialId,
    ) -> Result<(TrialRecord, ReplacementQuestion), ReadError> {
        let catalogue = read(&self.catalogue);
        let unknown = || ReadError::UnknownTrial(id.clone());
        let number = known_player(&catalogue, player.id)?;
        let record = catalogue.trial(number, id).ok_or_else(unknown)?.document.clone();
        drop(catalogue);
        // Its clubs stay as long as it does.
        let question = bag::trial_question(player, &record).ok_or_else(unknown)?;
        Ok((record, question))
    }
}
