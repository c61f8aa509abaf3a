//! Carries taken to reference air: a measured carry times what the model makes of its launch there, over
//! what it makes of it in the air and wind that the ball flew in.
//!
//! The ratio keeps the player's own ball and the device's own bias. It is a function of the shot alone.
//! What cannot be taken there has no carry in such an answer, and is counted with the reason.

mod ratios;

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    flown::AirFlown,
    player::Player,
    replacement::{ReplacementQuestion, own_shots, pair_questions},
    row::Row,
};
use crate::flight::{Conditions, Scene};

pub use ratios::{Reflown, ToRefly};

use ratios::Skies;

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

/// The air in which a slot is judged unless the question says: reference air where the air of the shots that
/// it rests on (the candidates' own, since neither club has moved) differs by more than [`AIR_DIFFERS`], and
/// every carry among them can be taken there; else as hit. Which it is does not depend on any carry.
///
/// Differences within a session need none of it: both clubs' carries are in the same air, and what is left
/// of it is about a tenth of what a single carry has.
#[must_use]
pub fn air_of_slot(player: Player<'_>, question: &ReplacementQuestion) -> CarryAir {
    let (mut densities, mut skies) = (None::<[f64; 2]>, Skies::default());
    for pair in pair_questions(player, question) {
        let since = player.unmoved_since([pair.candidate, pair.incumbent]);
        for row in own_shots(player, &pair, since) {
            let density = match skies.density(row) {
                Ok(density) => density,
                Err(NotReflown::NoCarry) => continue,
                Err(_) => return CarryAir::AsHit,
            };
            let [low, high] = densities.unwrap_or([density; 2]);
            densities = Some([low.min(density), high.max(density)]);
        }
    }
    match densities {
        Some([low, high]) if high / low - 1.0 > AIR_DIFFERS => CarryAir::Reference,
        _ => CarryAir::AsHit,
    }
}

/// A player's shots in reference air.
#[derive(Debug, Clone, Copy)]
pub struct InReferenceAir<'a> {
    reflown: &'a Reflown,
    as_hit: &'a [Row],
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
