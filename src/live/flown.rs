//! What flights of a player's clubs are worked out from. It is gathered under a question and flown
//! after it: flying takes longer than any question may hold a player's rows.

use rayon::prelude::*;

use super::{Live, ReadError, answers::number, reading::Remembered};
use crate::{
    bag::{
        self, CarryAir, ClubToFly, Comparison, ComparisonQuestion, Filter, Fits, Fitted, Pair,
        PairToFly, ReplacementQuestion, ToFit, ToRefly,
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

    /// Fits the models that a question about a club's place asks for, while nothing holds the player's rows. What
    /// comes in meanwhile is fitted under the question.
    pub(super) fn fit_before(
        &self,
        id: &PlayerId,
        question: impl FnOnce(bag::Player<'_>) -> Result<ReplacementQuestion, ReadError>,
    ) -> Result<(), ReadError> {
        let to_fit = self.ask(id, |player, remembered| {
            Ok(bag::to_fit(player, &question(player)?, remembered.fits))
        })?;
        if to_fit.is_empty() {
            return Ok(());
        }
        let fitted: Vec<Fitted> = to_fit.into_par_iter().map(ToFit::fit).collect();
        self.ask(id, |_, remembered| {
            for fitted in fitted {
                remembered.fits.take(fitted);
            }
            Ok(())
        })
    }

    /// Puts a question to a player's shots with their carries in some air.
    pub(super) fn ask_in<T>(
        &self,
        air: CarryAir,
        id: &PlayerId,
        question: impl FnOnce(bag::Player<'_>) -> Result<T, ReadError>,
    ) -> Result<T, ReadError> {
        self.ask_in_air_of(id, |_| Ok(air), |player, _, _| question(player))
    }

    /// The same where the shots as they were hit say which air it is: that is found anew under the question
    /// that is answered, so that both are as of the same sequence. Nothing holds the rows while many shots are
    /// flown; of shots that come in meanwhile there are few, which are flown under the question. The pairs
    /// that a question may go on from have read carries as hit, and are empty in other air.
    pub(super) fn ask_in_air_of<T>(
        &self,
        id: &PlayerId,
        air: impl Fn(bag::Player<'_>) -> Result<CarryAir, ReadError>,
        question: impl FnOnce(bag::Player<'_>, &mut Vec<Pair>, &mut Fits) -> Result<T, ReadError>,
    ) -> Result<T, ReadError> {
        let turn = self.ask(id, |player, remembered| {
            let air = air(player)?;
            let to_fly = match air {
                CarryAir::AsHit => ToRefly::default(),
                CarryAir::Reference => remembered.reflown.lacking(player.rows),
            };
            if to_fly.is_empty() {
                return answered(air, (player, remembered), question).map(Turn::Answered);
            }
            Ok(Turn::ToFly(to_fly, question))
        })?;
        let (flown, question) = match turn {
            Turn::Answered(answer) => return Ok(answer),
            Turn::ToFly(to_fly, question) => (to_fly.fly(), question),
        };
        self.ask(id, |player, remembered| {
            remembered.reflown.take(flown);
            let air = air(player)?;
            if air == CarryAir::Reference {
                remembered.reflown.complete(player.rows);
            }
            answered(air, (player, remembered), question)
        })
    }
}

/// How far a question came whose shots may have to be flown first.
enum Turn<T, Q> {
    /// It is answered.
    Answered(T),
    /// It waits for flights.
    ToFly(ToRefly, Q),
}

/// The answer to a question about shots in some air, all of which are flown where that takes flights.
fn answered<T>(
    air: CarryAir,
    (player, remembered): (bag::Player<'_>, Remembered<'_>),
    question: impl FnOnce(bag::Player<'_>, &mut Vec<Pair>, &mut Fits) -> Result<T, ReadError>,
) -> Result<T, ReadError> {
    match air {
        CarryAir::AsHit => question(player, remembered.pairs, remembered.fits),
        CarryAir::Reference => {
            let rows = remembered.reflown.rows(player.rows);
            let there = remembered.reflown.player(player, &rows);
            question(there, &mut Vec::new(), remembered.fits)
        }
    }
}
