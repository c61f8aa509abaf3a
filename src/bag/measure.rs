//! The measures that verdicts rest on, and how they cross between metres and the trade's yards.

use super::row::Row;
use crate::{
    shot::{Measure, SpinOrigin},
    stats,
};

/// Metres in a yard, exactly (international yard and pound agreement of 1959).
pub const METRES_PER_YARD: f64 = 0.9144;

/// A measure that the tests of a brief may put a bound on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tested {
    /// Carry.
    Carry,
    /// Vertical launch angle.
    Launch,
    /// Spin rate.
    Spin,
    /// Descent angle.
    Descent,
}

impl Tested {
    /// All of them; a member's place is [`Tested::index`].
    pub const ALL: [Self; 4] = [Self::Carry, Self::Launch, Self::Spin, Self::Descent];

    /// Its place in [`Tested::ALL`].
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }

    /// The measured quantity.
    #[must_use]
    pub fn measure(self) -> Measure {
        match self {
            Self::Carry => Measure::Carry,
            Self::Launch => Measure::LaunchAngle,
            Self::Spin => Measure::SpinRate,
            Self::Descent => Measure::Descent,
        }
    }

    /// The same for the statistics, which count in yards, degrees and rpm.
    #[must_use]
    pub fn in_statistics(self) -> stats::Measure {
        statistics_measure(self.measure())
    }

    /// A row's value as evidence, in the statistics' unit. Spin that was looked up from a club
    /// setting proves nothing and is no value here.
    #[must_use]
    pub fn evidence(self, row: &Row) -> Option<f64> {
        if self == Self::Spin && row.spin_origin == Some(SpinOrigin::FromClubSetting) {
            return None;
        }
        evidence(row, self.measure())
    }
}

/// The statistics' name of a measure: three of them have constants of their own.
#[must_use]
pub fn statistics_measure(measure: Measure) -> stats::Measure {
    match measure {
        Measure::Carry => stats::Measure::Carry,
        Measure::LaunchAngle => stats::Measure::Launch,
        Measure::SpinRate => stats::Measure::Spin,
        other => stats::Measure::Other(other as u16),
    }
}

/// A row's value of any measure in the statistics' unit: carry in yards, the rest in SI.
#[must_use]
pub fn evidence(row: &Row, measure: Measure) -> Option<f64> {
    row.measures.get(measure).map(|value| value / unit(measure))
}

/// How much of the SI unit makes one of the statistics' unit.
#[must_use]
pub(super) fn unit(measure: Measure) -> f64 {
    if measure == Measure::Carry { METRES_PER_YARD } else { 1.0 }
}
