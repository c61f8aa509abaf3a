//! Answers with what a picture shows beside them: the clubs' names and single shots, all as of the
//! same sequence.

use super::{DriftsWanted, LadderWanted, Live, PlaceWanted, ReadError, answers::number};
use crate::{
    bag::{
        self, ClubNames, ClubToSee, Comparison, ComparisonQuestion, DriftQuestion, Drifts, Filter,
        HistoryPart, Ladder, LadderQuestion, PairToFly, Profile, ProfileQuestion, Replacements,
        Spot, TRIAL_SHOTS_MAX, TrialHistory, TrialRecord,
    },
    shot::{ClubId, PlayerId, Sequence, TrialId, Units},
};

/// An answer to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn<T> {
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// What the player's clubs are called.
    pub names: ClubNames,
    /// What is drawn.
    pub of: T,
}

impl<T> Drawn<T> {
    fn new(player: bag::Player<'_>, of: T) -> Self {
        Self { as_of: player.as_of, names: ClubNames::of(player), of }
    }
}

/// Shots of two clubs that are compared.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SpotsOfPair {
    /// Of the incumbent.
    pub incumbent: Vec<Spot>,
    /// Of the candidate.
    pub candidate: Vec<Spot>,
}

impl From<[Vec<Spot>; 2]> for SpotsOfPair {
    /// From the candidate's and the incumbent's.
    fn from([candidate, incumbent]: [Vec<Spot>; 2]) -> Self {
        Self { incumbent, candidate }
    }
}

impl Live {
    /// A ladder to be drawn.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn ladder_drawn(
        &self,
        player: &PlayerId,
        wanted: &LadderWanted,
    ) -> Result<Drawn<Ladder>, ReadError> {
        self.check_ball(&wanted.filter)?;
        self.ask_in(wanted.air, player, |player| {
            let bag = wanted.bag.as_ref().map(|bag| self.clubs_of_bag(player, bag)).transpose()?;
            let question =
                LadderQuestion { bag, filter: wanted.filter.clone(), units: wanted.units };
            Ok(Drawn::new(player, bag::ladder(player, &question)))
        })
    }

    /// A profile to be drawn, with the shots that it rests on.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn profile_drawn(
        &self,
        player: &PlayerId,
        club: &ClubId,
        question: &ProfileQuestion,
    ) -> Result<Drawn<(Profile, Vec<Spot>)>, ReadError> {
        self.check_ball(&question.filter)?;
        self.ask_in(question.air, player, |player| {
            let number = number(player, club)?;
            let spots = bag::spots_of_club(player, number, &question.filter);
            let profile = bag::profile(player, number, question);
            let profile = profile.ok_or_else(|| ReadError::UnknownClub(club.clone()))?;
            Ok(Drawn::new(player, (profile, spots)))
        })
    }

    /// A comparison to be drawn, with the shots that it rests on.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn comparison_drawn(
        &self,
        player: &PlayerId,
        [incumbent, candidate]: [&ClubId; 2],
        question: &ComparisonQuestion,
    ) -> Result<Drawn<(Comparison, SpotsOfPair)>, ReadError> {
        self.check_ball(&question.filter)?;
        self.ask_in(question.air, player, |player| {
            let pair = [number(player, candidate)?, number(player, incumbent)?];
            let spots = bag::spots_of_pair(player, pair, &question.filter);
            let compared = bag::comparison(player, pair, question);
            let compared = compared.ok_or_else(|| ReadError::UnknownClub(candidate.clone()))?;
            Ok(Drawn::new(player, (compared, spots.into())))
        })
    }

    /// Two clubs' like-for-like shots, incumbent first, to be flown and drawn.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn flights_drawn(
        &self,
        player: &PlayerId,
        [incumbent, candidate]: [&ClubId; 2],
        filter: &Filter,
    ) -> Result<Drawn<[ClubToSee; 2]>, ReadError> {
        self.check_ball(filter)?;
        self.ask(player, |player, _| {
            let pair = [number(player, candidate)?, number(player, incumbent)?];
            let [candidate, incumbent] = bag::pair_to_see(player, pair, filter);
            Ok(Drawn::new(player, [incumbent, candidate]))
        })
    }

    /// Verdicts to be drawn, with the shots of the incumbent and of the candidate that comes first.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn replacements_drawn(
        &self,
        player: &PlayerId,
        wanted: &PlaceWanted,
    ) -> Result<Drawn<(Replacements, SpotsOfPair)>, ReadError> {
        self.judged(player, wanted, |player, question, judged| {
            let first = judged.candidates.first();
            let first = first.and_then(|first| player.club_number(&first.club));
            let spots = first.map(|first| {
                let pair = [first, question.incumbent];
                bag::spots_of_pair(player, pair, &wanted.brief.filter).into()
            });
            Drawn::new(player, (judged, spots.unwrap_or_default()))
        })
    }

    /// Two clubs like for like, to be flown in weather and drawn.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn weather_drawn(
        &self,
        player: &PlayerId,
        [incumbent, candidate]: [&ClubId; 2],
        question: &ComparisonQuestion,
    ) -> Result<Drawn<PairToFly>, ReadError> {
        self.check_ball(&question.filter)?;
        self.ask(player, |player, _| {
            let pair = [number(player, candidate)?, number(player, incumbent)?];
            let gathered = bag::pair_to_fly(player, pair, question);
            let gathered = gathered.ok_or_else(|| ReadError::UnknownClub(candidate.clone()))?;
            Ok(Drawn::new(player, gathered))
        })
    }

    /// Drifts to be drawn.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn drifts_drawn(
        &self,
        player: &PlayerId,
        wanted: &DriftsWanted,
    ) -> Result<Drawn<Drifts>, ReadError> {
        self.ask(player, |player, _| {
            let club = wanted.club.as_ref().map(|club| number(player, club)).transpose()?;
            let question = DriftQuestion { club, units: wanted.units };
            Ok(Drawn::new(player, bag::drifts(player, &question)))
        })
    }

    /// How a trial's evidence grew, all of it, with the trial.
    ///
    /// # Errors
    /// As for [`Live::trial`].
    pub fn trial_drawn(
        &self,
        player: &PlayerId,
        id: &TrialId,
    ) -> Result<Drawn<(TrialRecord, TrialHistory)>, ReadError> {
        self.ask(player, |player, _| {
            let (record, question) = self.asked_of_trial(player, id, Units::default())?;
            let all = HistoryPart { after: Sequence::default(), limit: TRIAL_SHOTS_MAX };
            let history = bag::trial_history(player, &question, all);
            Ok(Drawn::new(player, (record, history)))
        })
    }
}
