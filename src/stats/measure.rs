//! What is tested: measures, differences and own means, bounds and sides, and the constants that belong to them.
//!
//! The constants were chosen by simulation of whole trials; where none is named, "own simulation" is the
//! source. Units here are those of the trade, because the constants are stated in them: **the caller turns
//! metres into yards, radians into degrees and so on before a value enters this room.**

use super::blocked::RunEffect;

/// A measured quantity, in the unit in which this room's constants are stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// Carry, in yards.
    Carry,
    /// Vertical launch angle, in degrees.
    Launch,
    /// Spin rate, in revolutions a minute.
    Spin,
    /// Any other measure, in any unit: its run effect is a share of its shot sd and its priors are flat. The
    /// number is the caller's; it only tells such measures apart.
    Other(u16),
}

/// Whether a quantity compares two clubs or speaks of one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Of {
    /// Candidate minus incumbent, within sessions.
    Difference,
    /// The candidate's own mean.
    OwnMean,
}

/// What an estimate is an estimate of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Quantity {
    /// The measure, which fixes the unit.
    pub measure: Measure,
    /// A difference or an own mean.
    pub of: Of,
}

/// The side of a bound on which a quantity must lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Above the bound.
    Above,
    /// Below the bound.
    Below,
}

impl Side {
    /// The other side.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Above => Self::Below,
            Self::Below => Self::Above,
        }
    }

    /// +1 for above, −1 for below.
    pub(super) fn sign(self) -> f64 {
        match self {
            Self::Above => 1.0,
            Self::Below => -1.0,
        }
    }
}

/// One one-sided test of a brief: the quantity lies on this side of the bound.
///
/// "Within m of each other" is two tests: above −m and below +m (Schuirmann 1987, two one-sided tests).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// What is tested.
    pub quantity: Quantity,
    /// The bound, in the measure's unit.
    pub bound: f64,
    /// The side on which the quantity must lie.
    pub side: Side,
}

impl Test {
    /// A test of candidate minus incumbent.
    #[must_use]
    pub fn of_difference(measure: Measure, side: Side, bound: f64) -> Self {
        Self { quantity: Quantity { measure, of: Of::Difference }, bound, side }
    }

    /// A test of the candidate's own mean.
    #[must_use]
    pub fn of_mean(measure: Measure, side: Side, bound: f64) -> Self {
        Self { quantity: Quantity { measure, of: Of::OwnMean }, bound, side }
    }
}

/// A normal prior of a difference, in the measure's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
}

// Own simulation: the least floors whose false rate stays under 5 % at 5, 15 and 50 shots a session.
/// Floor of the run effect (a club's own day) on carry: sd in yards.
pub const RUN_SD_CARRY_YD: f64 = 1.5;
/// The same on launch: sd in degrees.
pub const RUN_SD_LAUNCH_DEG: f64 = 0.25;
/// The same on spin: sd in rpm.
pub const RUN_SD_SPIN_RPM: f64 = 75.0;
/// The same for any other measure, as a share of the shot sd.
pub const RUN_RATIO: f64 = 0.2;

// Own simulation: the day moves all clubs together, which cancels in a difference and not in a mean.
/// Floor of the whole day's effect on a club's own mean of carry: sd in yards.
pub const MEAN_RUN_SD_CARRY_YD: f64 = 3.0;
/// The same on launch: sd in degrees.
pub const MEAN_RUN_SD_LAUNCH_DEG: f64 = 0.35;
/// The same on spin: sd in rpm.
pub const MEAN_RUN_SD_SPIN_RPM: f64 = 110.0;
/// The same for any other measure, as a share of the shot sd.
pub const MEAN_RUN_RATIO: f64 = 0.4;

impl Measure {
    /// Prior of a difference for the forecast of shots still needed; `None` is flat.
    ///
    /// Half the default margin for carry, wide where a real drop is looked for (own simulation).
    #[must_use]
    pub fn forecast_prior(self) -> Option<Prior> {
        match self {
            Self::Carry => Some(Prior { mean: 0.0, sd: 2.5 }),
            Self::Launch => Some(Prior { mean: -2.0, sd: 3.0 }),
            Self::Spin => Some(Prior { mean: -600.0, sd: 900.0 }),
            Self::Other(_) => None,
        }
    }

    /// Prior of a difference for the outlook; `None` is flat.
    ///
    /// Wider on carry than the forecast's: with 2.5 yd a stated 0.78 came true 0.4 of the time (own simulation).
    #[must_use]
    pub fn outlook_prior(self) -> Option<Prior> {
        match self {
            Self::Carry => Some(Prior { mean: 0.0, sd: 5.0 }),
            _ => self.forecast_prior(),
        }
    }
}

impl Quantity {
    /// The run effect assumed of a player without a history.
    #[must_use]
    pub fn run_effect_floor(self) -> RunEffect {
        match (self.of, self.measure) {
            (Of::Difference, Measure::Carry) => RunEffect::Sd(RUN_SD_CARRY_YD),
            (Of::Difference, Measure::Launch) => RunEffect::Sd(RUN_SD_LAUNCH_DEG),
            (Of::Difference, Measure::Spin) => RunEffect::Sd(RUN_SD_SPIN_RPM),
            (Of::Difference, Measure::Other(_)) => RunEffect::Ratio(RUN_RATIO),
            (Of::OwnMean, Measure::Carry) => RunEffect::Sd(MEAN_RUN_SD_CARRY_YD),
            (Of::OwnMean, Measure::Launch) => RunEffect::Sd(MEAN_RUN_SD_LAUNCH_DEG),
            (Of::OwnMean, Measure::Spin) => RunEffect::Sd(MEAN_RUN_SD_SPIN_RPM),
            (Of::OwnMean, Measure::Other(_)) => RunEffect::Ratio(MEAN_RUN_RATIO),
        }
    }

    /// [`Measure::forecast_prior`] of a difference; a mean has a flat one.
    #[must_use]
    pub fn forecast_prior(self) -> Option<Prior> {
        match self.of {
            Of::Difference => self.measure.forecast_prior(),
            Of::OwnMean => None,
        }
    }

    /// [`Measure::outlook_prior`] of a difference; a mean has a flat one.
    #[must_use]
    pub fn outlook_prior(self) -> Option<Prior> {
        match self.of {
            Of::Difference => self.measure.outlook_prior(),
            Of::OwnMean => None,
        }
    }
}
