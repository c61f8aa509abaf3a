//! What flights of a player's clubs are worked out from. It is gathered under a question and flown
//! after it: flying takes longer than any question may hold a player's rows.

use super::{Live, ReadError, answers::number};
use crate::{
    bag::{
        self, CarryAir, ClubToFly, Comparison, ComparisonQuestion, Filter, PairToFly, Reflown,
        ToRefly,
    },
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
        self.ask_in(question.air, player, |player| {
            let two = [number(player, candidate)?, number(player, incumbent)?];
            let compared = bag::comparison(player, two, question);
            let told = compared.zip(bag::pair_to_fly(player, two, question));
            told.ok_or_else(|| ReadError::UnknownClub(candidate.clone()))
        })
    }

    /// Puts a question to a player's shots with their carries in some air. Nothing holds the rows while
    /// they are flown; of shots that come in meanwhile there are few, which are flown under the question.
    pub(super) fn ask_in<T>(
        &self,
        air: CarryAir,
        id: &PlayerId,
        question: impl FnOnce(bag::Player<'_>) -> Result<T, ReadError>,
    ) -> Result<T, ReadError> {
        if air == CarryAir::AsHit {
            return self.ask(id, |player, _| question(player));
        }
        let to_fly = self.ask(id, |player, _| Ok(ToRefly::of(player.rows, &Reflown::default())))?;
        let reflown = to_fly.fly();
        self.ask(id, |player, _| {
            let reflown = reflown.and(player.rows);
            let rows = reflown.rows(player.rows);
            question(reflown.player(player, &rows))
        })
    }
}
