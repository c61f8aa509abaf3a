//! Carries taken to reference air: a measured carry times what the model makes of its launch there, over
//! what it makes of it in the air and wind that the ball flew in.
//!
//! The ratio keeps the player's own ball and the device's own bias. It is a function of the shot alone.
//! What cannot be taken there has no carry in such an answer, and is counted with the reason.

use hashbrown::HashMap;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    filter::Basis,
    flown::{AirFlown, Flown, is_wind_known},
    player::Player,
    replacement::{ReplacementQuestion, pair_questions},
    row::Row,
};
use crate::{
    flight::{Conditions, Scene, Trajectory, fly_all},
    shot::{FlightOrigin, Measure, Sequence, Surroundings},
};

/// The air that a question's carries are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CarryAir {
    /// As hit, in the air of the day.
    #[default]
    AsHit,
    /// Taken to still reference air.
    Reference,
}

impl CarryAir {
    /// Both.
    pub const ALL: [Self; 2] = [Self::AsHit, Self::Reference];

    /// The spelling.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::AsHit => "as_hit",
            Self::Reference => "reference",
        }
    }

    /// The air of a spelling.
    #[must_use]
    pub fn parse(spelling: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|air| air.as_str() == spelling)
    }
}

/// Why a carry was not taken to reference air, in order of judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NotReflown {
    /// No carry was measured.
    NoCarry,
    /// Its flight was not tracked, or nobody said that it was.
    NotTracked,
    /// The device had already adjusted the flight for something.
    Adjusted,
    /// Nobody said anything of the air.
    AirUnknown,
    /// There was a wind, and nobody said where from.
    WindUnknown,
    /// Its ball speed, launch angle or spin is not known.
    LaunchUnknown,
    /// By the model it does not land, or flies nowhere.
    NoFlight,
}

/// What answers in reference air say of it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ReferenceAir {
    /// The air, which is still. What nobody said of a shot's own air is taken to be as here.
    pub air: AirFlown,
    /// Shots whose carry was taken there.
    pub shots: usize,
    /// Shots whose carry was not, and so is left out, by the first reason that applies.
    pub left_out: Vec<NotTaken>,
}

/// Shots whose carry was left out for one reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct NotTaken {
    /// Why.
    pub reason: NotReflown,
    /// How many.
    pub shots: usize,
}

/// The densest air of some shots over the thinnest, less 1, above which their carries are not of one kind:
/// 3 %, which 9 °C make, and which moves a carry of 150 m by up to a metre. Assumption.
pub const AIR_DIFFERS: f64 = 0.03;

/// The air in which a slot is judged unless the question says: reference air where the air of the
/// candidates' own counted shots differs by more than [`AIR_DIFFERS`], and every carry among them can be
/// taken there; else as hit. Which it is does not depend on any carry.
///
/// Differences within a session need none of it: both clubs' carries are in the same air, and what is left
/// of it is about a tenth of what a single carry has.
#[must_use]
pub fn air_of_slot(player: Player<'_>, question: &ReplacementQuestion) -> CarryAir {
    let mut densities: Option<[f64; 2]> = None;
    for pair in pair_questions(player, question) {
        let own = |row: &&Row| pair.own_basis == Some(Basis::of(row));
        for row in player.counted(pair.candidate, &pair.evidence).filter(own) {
            let density = match trajectories(row) {
                Ok(_) => Flown::of(row).and_then(|shot| Scene::new(&shot.conditions).ok()),
                Err(NotReflown::NoCarry) => continue,
                Err(_) => return CarryAir::AsHit,
            };
            let Some(density) = density.map(|scene| scene.air().density_kgpm3) else { continue };
            let [low, high] = densities.unwrap_or([density; 2]);
            densities = Some([low.min(density), high.max(density)]);
        }
    }
    match densities {
        Some([low, high]) if high / low - 1.0 > AIR_DIFFERS => CarryAir::Reference,
        _ => CarryAir::AsHit,
    }
}

/// What each of some shots' carry is multiplied by.
#[derive(Debug, Clone, Default)]
pub struct Reflown(HashMap<Sequence, Result<f64, NotReflown>>);

/// Shots to be flown, here and there.
#[derive(Debug, Clone, Default)]
pub struct ToRefly {
    judged: Reflown,
    pending: Vec<(Sequence, [Trajectory; 2])>,
}

/// A player's shots in reference air.
#[derive(Debug, Clone, Copy)]
pub struct InReferenceAir<'a> {
    reflown: &'a Reflown,
    as_hit: &'a [Row],
}

impl ToRefly {
    /// Reads the launches of rows, but for those that are known.
    #[must_use]
    pub fn of(rows: &[Row], known: &Reflown) -> Self {
        let mut to_fly = Self::default();
        for row in rows.iter().filter(|row| !known.0.contains_key(&row.sequence)) {
            match trajectories(row) {
                Ok(both) => to_fly.pending.push((row.sequence, both)),
                Err(reason) => drop(to_fly.judged.0.insert(row.sequence, Err(reason))),
            }
        }
        to_fly
    }

    /// Flies them.
    #[must_use]
    pub fn fly(self) -> Reflown {
        let all: Vec<Trajectory> = self.pending.iter().flat_map(|(_, both)| *both).collect();
        let mut flights = fly_all(&all).into_iter();
        let Reflown(mut ratios) = self.judged;
        for (sequence, _) in self.pending {
            let [there, here] = [flights.next(), flights.next()]
                .map(|flight| flight.and_then(Result::ok).map(|flight| flight.carry_m));
            let ratio = there.zip(here).map(|(there, here)| there / here);
            let ratio = ratio.filter(|ratio| ratio.is_finite() && *ratio > 0.0);
            ratios.insert(sequence, ratio.ok_or(NotReflown::NoFlight));
        }
        Reflown(ratios)
    }
}

impl Reflown {
    /// With the shots that came in since.
    #[must_use]
    pub fn and(mut self, rows: &[Row]) -> Self {
        let since = ToRefly::of(rows, &self).fly();
        self.0.extend(since.0);
        self
    }

    /// The same shots with their carries in reference air; a carry that cannot be taken there is gone.
    #[must_use]
    pub fn rows(&self, as_hit: &[Row]) -> Vec<Row> {
        let taken = |row: &Row| {
            let mut row = row.clone();
            match (self.of(&row), row.measures.get(Measure::Carry)) {
                (Ok(ratio), Some(carry)) => row.measures.set(Measure::Carry, ratio * carry),
                _ => row.measures.clear(Measure::Carry),
            }
            row
        };
        as_hit.iter().map(taken).collect()
    }

    /// A player whose rows were made by [`Reflown::rows`].
    #[must_use]
    pub const fn player<'a>(&'a self, player: Player<'a>, rows: &'a [Row]) -> Player<'a> {
        let reference = Some(InReferenceAir { reflown: self, as_hit: player.rows });
        Player { rows, reference, ..player }
    }

    fn of(&self, row: &Row) -> Result<f64, NotReflown> {
        self.0.get(&row.sequence).copied().unwrap_or(Err(NotReflown::NoFlight))
    }
}

impl<'a> Player<'a> {
    /// The same player with carries as hit.
    pub(super) fn as_hit(self) -> Player<'a> {
        match self.reference {
            Some(InReferenceAir { as_hit, .. }) => Player { rows: as_hit, reference: None, ..self },
            None => self,
        }
    }

    /// The air that carries are in.
    pub(super) fn air(&self) -> CarryAir {
        if self.reference.is_some() { CarryAir::Reference } else { CarryAir::AsHit }
    }

    /// What an answer that rests on some rows says of reference air, if its carries are in it.
    pub(super) fn told<'r>(&self, rows: impl IntoIterator<Item = &'r Row>) -> Option<ReferenceAir> {
        let InReferenceAir { reflown, .. } = self.reference?;
        let still = Conditions::default();
        let mut told = ReferenceAir {
            air: AirFlown::of(&still, &Scene::new(&still).ok()?),
            shots: 0,
            left_out: Vec::new(),
        };
        for row in rows {
            let Err(reason) = reflown.of(row) else {
                told.shots += 1;
                continue;
            };
            match told.left_out.iter_mut().find(|known| known.reason == reason) {
                Some(known) => known.shots += 1,
                None => told.left_out.push(NotTaken { reason, shots: 1 }),
            }
        }
        told.left_out.sort_unstable_by_key(|left| left.reason);
        Some(told)
    }
}

/// A shot in still reference air, and in what it flew in.
fn trajectories(row: &Row) -> Result<[Trajectory; 2], NotReflown> {
    row.measures.get(Measure::Carry).ok_or(NotReflown::NoCarry)?;
    if row.flight_origin != Some(FlightOrigin::Tracked) {
        return Err(NotReflown::NotTracked);
    }
    let around = row.surroundings.as_deref().copied().unwrap_or_default();
    if !around.adjusted_for.is_empty() {
        return Err(NotReflown::Adjusted);
    }
    if !is_air_known(&around) {
        return Err(NotReflown::AirUnknown);
    }
    if !is_wind_known(&around) {
        return Err(NotReflown::WindUnknown);
    }
    let shot = Flown::of(row).ok_or(NotReflown::LaunchUnknown)?;
    let launch = shot.launch().ok_or(NotReflown::LaunchUnknown)?;
    let flown = |conditions: &Conditions| {
        let scene = Scene::new(conditions).ok()?;
        scene.launch(&launch).ok()
    };
    let both = flown(&Conditions::default()).zip(flown(&shot.conditions));
    both.map(|(there, here)| [there, here]).ok_or(NotReflown::LaunchUnknown)
}

/// Whether anybody said how warm or how thin the air was.
fn is_air_known(around: &Surroundings) -> bool {
    let air = &around.air;
    // A pressure reduced to sea level says nothing without the altitude.
    let said = [air.temperature_c, air.pressure_hpa, air.altitude_m];
    said.iter().any(Option::is_some)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::{bag::rows::row, shot::Adjustment};

    fn tracked(change: impl Fn(&mut Row, &mut Surroundings)) -> Row {
        let mut shot = row(&[
            (Measure::Carry, 150.0),
            (Measure::BallSpeed, 53.712),
            (Measure::LaunchAngle, 17.0),
            (Measure::SpinRate, 5_300.0),
        ]);
        shot.flight_origin = Some(FlightOrigin::Tracked);
        let mut around = Surroundings::default();
        around.air.temperature_c = Some(5.0);
        change(&mut shot, &mut around);
        shot.surroundings = Some(Box::new(around));
        shot
    }

    fn taken(row: Row) -> Result<f64, NotReflown> {
        let rows = [row];
        let reflown = ToRefly::of(&rows, &Reflown::default()).fly();
        let there = reflown.rows(&rows)[0].measures.get(Measure::Carry);
        reflown.of(&rows[0]).map(|_| there.unwrap())
    }

    /// The check data's page: this launch carries 156.3 m at 5 °C and 120.0 m into 20 mph where it carries
    /// 158.0 m in still air of 20 °C.
    #[test]
    fn a_carry_is_taken_there_by_the_ratio_of_modelled_ones() {
        let cold = taken(tracked(|_, _| {})).unwrap();
        assert!((cold - 150.0 * 158.0 / 156.3).abs() < 0.15, "{cold}");
        let windy = tracked(|_, around| {
            around.air.temperature_c = Some(20.0);
            (around.wind.speed_mps, around.wind.from_deg) = (Some(8.940_8), Some(0.0));
        });
        let calm = taken(windy).unwrap();
        assert!((calm - 150.0 * 158.0 / 120.0).abs() < 0.25, "{calm}");
    }

    #[test]
    fn what_cannot_be_taken_there_says_why_and_has_no_carry() {
        for (reason, row) in [
            (NotReflown::NoCarry, tracked(|shot, _| shot.measures.clear(Measure::Carry))),
            (NotReflown::NotTracked, tracked(|shot, _| shot.flight_origin = None)),
            (
                NotReflown::NotTracked,
                tracked(|shot, _| shot.flight_origin = Some(FlightOrigin::Modelled)),
            ),
            (
                NotReflown::Adjusted,
                tracked(|_, around| around.adjusted_for = [Adjustment::Air].into_iter().collect()),
            ),
            (NotReflown::AirUnknown, tracked(|_, around| around.air.temperature_c = None)),
            (NotReflown::WindUnknown, tracked(|_, around| around.wind.speed_mps = Some(3.0))),
            (NotReflown::LaunchUnknown, tracked(|shot, _| shot.measures.clear(Measure::SpinRate))),
            (
                NotReflown::NoFlight,
                tracked(|shot, _| shot.measures.set(Measure::LaunchAngle, -5.0)),
            ),
        ] {
            assert_eq!(taken(row.clone()), Err(reason));
            let rows = [row];
            let gone = ToRefly::of(&rows, &Reflown::default()).fly().rows(&rows);
            assert_eq!(gone[0].measures.get(Measure::Carry), None);
        }
    }
}
