//! What a question restricts its evidence to.

use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    row::{Row, Surface},
    stretches::Stretches,
};
use crate::shot::{BallId, Height, Intent, Lie, Shape, Swing};

/// How many of the newest counted shots a summary reads unless asked otherwise.
pub const SUMMARY_SHOTS: usize = 1_000;

/// A question's restriction, as asked: it chooses evidence only and changes no flag.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default, Serialize, ToSchema)]
pub struct Filter {
    /// One lie; without it, all that can be compared.
    pub lie: Option<Lie>,
    /// One ball.
    pub ball: Option<BallId>,
    /// Wanted intent; stock, straight and full unless asked.
    #[serde(flatten)]
    pub intent: Intent,
    /// From this instant on.
    #[schema(value_type = Option<String>, format = DateTime)]
    pub from: Option<Timestamp>,
    /// Before this instant.
    #[schema(value_type = Option<String>, format = DateTime)]
    pub to: Option<Timestamp>,
    /// The newest so many counted shots of a club ([`SUMMARY_SHOTS`] unless asked): a profile's.
    #[serde(skip)]
    pub last: Option<usize>,
}

impl Filter {
    /// The same filter for another height of flight.
    #[must_use]
    pub fn with_intent(mut self, height: Height, shape: Shape, swing: Swing) -> Self {
        self.intent = Intent { height, shape, swing };
        self
    }
}

/// A filter with the ball's name looked up: what rows are held against.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Evidence {
    /// One lie.
    pub lie: Option<Lie>,
    /// One ball, by number.
    pub ball: Option<u32>,
    /// The intent that counts.
    pub intent: Intent,
    /// From this instant on.
    pub from: Option<Timestamp>,
    /// Before this instant.
    pub to: Option<Timestamp>,
    /// Only what arrived while a trial was open.
    pub stretches: Option<Stretches>,
}

impl Evidence {
    /// Whether the tallies of the marks know its counted shots: those of stock shots of all time.
    #[must_use]
    pub fn is_tallied(&self) -> bool {
        self.intent == Intent::default()
            && self.from.is_none()
            && self.to.is_none()
            && self.stretches.is_none()
    }

    /// Whether it may rest on a surface and ball.
    #[must_use]
    pub fn may_rest_on(&self, basis: &Basis) -> bool {
        self.lie.is_none_or(|lie| {
            let surface = Surface::of(Some(lie), false);
            basis.surface == surface || basis.surface == Surface::Wet
        }) && self.ball.is_none_or(|ball| basis.ball == ball)
    }

    /// Whether a present row may count, mishits apart.
    #[must_use]
    pub fn admits(&self, row: &Row) -> bool {
        row.intent == self.intent && self.admits_any_intent(row)
    }

    /// The same whatever flight was meant.
    #[must_use]
    pub fn admits_any_intent(&self, row: &Row) -> bool {
        self.lie.is_none_or(|lie| row.lie == Some(lie))
            && self.ball.is_none_or(|ball| row.ball == ball)
            && self.from.is_none_or(|from| row.time >= from)
            && self.to.is_none_or(|to| row.time < to)
            && self.stretches.as_ref().is_none_or(|stretches| stretches.hold(row.sequence))
    }
}

/// One surface and one ball: what a club's own mean, its drift and a ladder rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Basis {
    /// The surface hit from.
    pub surface: Surface,
    /// The ball's number, or [`super::row::NONE`].
    pub ball: u32,
}

impl Basis {
    /// What a row rests on.
    #[must_use]
    pub fn of(row: &Row) -> Self {
        Self { surface: row.surface(), ball: row.ball }
    }
}
