//! Which clubs can take a club's place, in which air.

use super::{Live, ReadError, answers::number, reading::Reading, wanted::PlaceWanted};
use crate::{
    bag::{self, CarryAir, ReplacementQuestion, Replacements, Reported},
    shot::{ClubId, PlayerId},
};

impl Live {
    /// Which clubs can take a club's place.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn replacements(
        &self,
        player: &PlayerId,
        wanted: &PlaceWanted,
    ) -> Result<Replacements, ReadError> {
        self.judged(player, wanted, |_, _, judged| judged)
    }

    /// The verdicts, and what else is read of the same shots.
    pub(super) fn judged<T>(
        &self,
        player: &PlayerId,
        wanted: &PlaceWanted,
        and: impl FnOnce(bag::Player<'_>, &ReplacementQuestion, Replacements) -> T,
    ) -> Result<T, ReadError> {
        self.check_ball(&wanted.brief.filter)?;
        if wanted.brief.carry_kept_in_wind_by_m.is_some() {
            self.fit_before(player, |player| self.asked_of_place(player, wanted))?;
        }
        let air = |player: bag::Player<'_>| self.air_of_place(player, wanted);
        self.ask_in_air_of(player, air, |player, pairs, fits| {
            let question = self.asked_of_place(player, wanted)?;
            let standings = Reading::standings(pairs, &question, player);
            let judged = bag::replacements(player, &question, &standings, fits);
            let judged = judged.ok_or_else(|| ReadError::UnknownClub(wanted.incumbent.clone()))?;
            Ok(and(player, &question, judged))
        })
    }

    /// The air that was asked for; unless any was, the one that suits a brief with a slot.
    fn air_of_place(
        &self,
        player: bag::Player<'_>,
        wanted: &PlaceWanted,
    ) -> Result<CarryAir, ReadError> {
        match (wanted.air, wanted.brief.slot_low_m) {
            (Some(air), _) => Ok(air),
            (None, None) => Ok(CarryAir::AsHit),
            (None, Some(_)) => Ok(bag::air_of_slot(player, &self.asked_of_place(player, wanted)?)),
        }
    }

    fn asked_of_place(
        &self,
        player: bag::Player<'_>,
        wanted: &PlaceWanted,
    ) -> Result<ReplacementQuestion, ReadError> {
        let number = |club: &ClubId| number(player, club);
        let bag = wanted.bag.as_ref().map(|bag| self.clubs_of_bag(player, bag)).transpose()?;
        let reported = Reported { bag, mix: wanted.mix.clone(), units: wanted.units };
        Ok(ReplacementQuestion {
            incumbent: number(&wanted.incumbent)?,
            candidates: wanted.candidates.iter().map(number).collect::<Result<_, _>>()?,
            brief: wanted.brief.clone(),
            reported,
            stretches: None,
        })
    }
}
