//! Trials: what may be done to them, and questions about them.

use super::{
    Live, ReadError, Refusal, answers::known_player, judge::unknown_player, read, reading::Reading,
};
use crate::{
    bag::{
        self, HistoryPart, ListedTrial, ReplacementQuestion, TrialHistory, TrialRecord,
        TrialStanding,
    },
    shot::{BallId, ClubId, PlayerId, Sequence, Subject, Trial, TrialId, TrialPatch, Units},
};

/// Something that is named and not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// Where it is named: a pointer into what was sent.
    pub pointer: String,
    /// What is missing, and the mend.
    pub detail: String,
}

impl Missing {
    fn club(pointer: String, club: &ClubId) -> Self {
        let detail = format!("the player has no club \"{club}\": put the club first");
        Self { pointer, detail }
    }

    fn ball(pointer: String, ball: &BallId) -> Self {
        Self { pointer, detail: format!("no ball is called \"{ball}\": put the ball first") }
    }
}

/// All of them in one line.
pub(super) fn told(missing: &[Missing]) -> String {
    let each: Vec<String> =
        missing.iter().map(|one| format!("{}: {}", one.pointer, one.detail)).collect();
    each.join("; ")
}

impl Live {
    /// A trial's clubs and ball are there already, so that a slip of the pen makes no new ones.
    pub(super) fn judge_opening(&self, player: &PlayerId, trial: &Trial) -> Result<(), Refusal> {
        let catalogue = read(&self.catalogue);
        let number =
            catalogue.player_number(player).ok_or_else(|| unknown_player(&catalogue, player))?;
        let unknown = |club: &ClubId| catalogue.club_number(number, club).is_none();
        let incumbent = [(String::from("/incumbent"), &trial.incumbent)];
        let candidates = trial.candidates.iter().enumerate();
        let candidates = candidates.map(|(at, club)| (format!("/candidates/{at}"), club));
        let clubs = incumbent.into_iter().chain(candidates).filter(|(_, club)| unknown(club));
        let mut missing: Vec<Missing> =
            clubs.map(|(pointer, club)| Missing::club(pointer, club)).collect();
        let balls = [("/ball", &trial.ball), ("/brief/ball", &trial.brief.ball)];
        // A ball that the brief names alone stands in both.
        let in_brief_alone = trial.ball == trial.brief.ball;
        for (pointer, ball) in balls.into_iter().skip(usize::from(in_brief_alone)) {
            if let Some(ball) = ball.as_ref().filter(|ball| catalogue.ball(ball).is_none()) {
                missing.push(Missing::ball(pointer.to_owned(), ball));
            }
        }
        if missing.is_empty() { Ok(()) } else { Err(Refusal::MissingInTrial(missing)) }
    }

    pub(super) fn judge_change(
        &self,
        player: &PlayerId,
        trial: &TrialId,
        patch: &TrialPatch,
    ) -> Result<(), Refusal> {
        let catalogue = read(&self.catalogue);
        let number =
            catalogue.player_number(player).ok_or_else(|| unknown_player(&catalogue, player))?;
        let known = catalogue.trial(number, trial);
        let known = known.ok_or_else(|| Refusal::UnknownTrial(trial.clone()))?;
        if known.document.is_worn_out_by(patch) {
            return Err(Refusal::TrialWornOut);
        }
        Ok(())
    }

    /// The trials that a club stands in.
    pub(super) fn trials_with(&self, subject: &Subject) -> Vec<TrialId> {
        let Subject::Club(player, club) = subject else { return Vec::new() };
        let catalogue = read(&self.catalogue);
        let player = catalogue.player_number(player);
        player.map(|player| catalogue.trials_with(player, club)).unwrap_or_default()
    }

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

    /// A player's trials that go on, and those that were closed or taken out behind a sequence, each with
    /// the sequence that ended it.
    ///
    /// # Errors
    /// An unknown player.
    pub(super) fn trials_since(
        &self,
        player: &PlayerId,
        since: Sequence,
    ) -> Result<Vec<(TrialId, Option<Sequence>)>, ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        Ok(catalogue.trials_since(number, since))
    }

    /// Whether a player has a trial.
    ///
    /// # Errors
    /// An unknown player or trial.
    pub fn find_trial(&self, player: &PlayerId, id: &TrialId) -> Result<(), ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let found = catalogue.trial(number, id);
        found.map(drop).ok_or_else(|| ReadError::UnknownTrial(id.clone()))
    }

    /// How a trial stands, with sentences in some units.
    ///
    /// # Errors
    /// An unknown player or trial, or a state that cannot be read.
    pub fn trial(
        &self,
        player: &PlayerId,
        id: &TrialId,
        units: Units,
    ) -> Result<TrialStanding, ReadError> {
        if self.is_trial_flown(player, id)? {
            self.fit_before(player, |player| Ok(self.asked_of_trial(player, id, units)?.1))?;
        }
        self.ask(player, |player, remembered| {
            let (record, question) = self.asked_of_trial(player, id, units)?;
            let standings = Reading::standings(remembered.pairs, &question, player);
            bag::trial_standing(player, (id, &record), (&question, &standings), remembered.fits)
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
            let (_, question) = self.asked_of_trial(player, id, Units::default())?;
            Ok(bag::trial_history(player, &question, part))
        })
    }

    /// Whether a trial's brief asks for something that is computed by fitted models.
    fn is_trial_flown(&self, player: &PlayerId, id: &TrialId) -> Result<bool, ReadError> {
        let catalogue = read(&self.catalogue);
        let trial = catalogue.trial(known_player(&catalogue, player)?, id);
        let brief = trial.map(|trial| &trial.document.trial.brief);
        Ok(brief.is_some_and(|brief| brief.carry_kept_in_wind_by_m.is_some()))
    }

    /// A trial, and what it asks of its player's shots.
    pub(super) fn asked_of_trial(
        &self,
        player: bag::Player<'_>,
        id: &TrialId,
        units: Units,
    ) -> Result<(TrialRecord, ReplacementQuestion), ReadError> {
        let catalogue = read(&self.catalogue);
        let unknown = || ReadError::UnknownTrial(id.clone());
        let number = known_player(&catalogue, player.id)?;
        let record = catalogue.trial(number, id).ok_or_else(unknown)?.document.clone();
        drop(catalogue);
        // Its clubs stay as long as it does.
        let question = bag::trial_question(player, &record, units).ok_or_else(unknown)?;
        Ok((record, question))
    }
}
