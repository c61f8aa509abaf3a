//! What flights of a player's clubs are worked out from. It is gathered under a question and flown
//! after it: flying takes longer than any question may hold a player's rows.

use super::{Live, ReadError, answers::number};
use crate::{
    bag::{self, ClubToFly, Comparison, ComparisonQuestion, Filter, PairToFly},
    shot::{ClubId, PlayerId},
};

impl Live {
    /// What a club's flight is worked out from.
    ///
    /// # Errors
    /// An unknown name, or a state that cannot be read.
    pub fn club_to_fly(
        &self,
        player: &PlayerId,
        club: &ClubId,
        filter: &Filter,
    ) -> Result<ClubToFly, ReadError> {
        self.check_ball(filter)?;
        let unknown = || ReadError::UnknownClub(club.clone());
        self.ask(player, |player, _| {
            let number = player.club_number(club).ok_or_else(unknown)?;
            bag::club_to_fly(player, number, filter).ok_or_else(unknown)
        })
    }

    /// Two clubs like for like, and what their flights in weather are worked out from.
    ///
    /// # Errors
    /// An unknown name, or a state that cannot be read.
    pub fn comparison_to_fly(
        &self,
        player: &PlayerId,
        [incumbent, candidate]: [&ClubId; 2],
        question: &ComparisonQuestion,
    ) -> Result<(Comparison, PairToFly), ReadError> {
        self.check_ball(&question.filter)?;
        self.ask(player, |player, _| {
            let two = [number(player, candidate)?, number(player, incumbent)?];
            bag::comparison_to_fly(player, two, question)
                .ok_or_else(|| ReadError::UnknownClub(candidate.clone()))
        })
    }
}
