//! The default criteria of a replacement, as one-sided tests.

use super::measure::{Measure, Side, Test};

/// Carries count as equal within this many yards.
pub const CARRY_MARGIN_YD: f64 = 5.0;
/// The candidate must launch lower by at least this.
pub const LAUNCH_LOWER_BY_DEG: f64 = 1.5;
/// But by no more than this.
pub const LAUNCH_DROP_AT_MOST_DEG: f64 = 5.0;
/// The candidate must spin less by at least this.
pub const SPIN_LOWER_BY_RPM: f64 = 500.0;
/// But by no more than this.
pub const SPIN_DROP_AT_MOST_RPM: f64 = 1800.0;

/// What is asked of the candidate's carry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CarryCriterion {
    /// Within this many yards of the incumbent's.
    Within(f64),
    /// Its own mean between these yards.
    Slot(f64, f64),
}

/// What keeps the candidate from launching too low.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LaunchLimit {
    /// Lower than the incumbent by no more than this many degrees.
    DropAtMost(f64),
    /// Its own mean above this many degrees.
    Floor(f64),
}

/// What a candidate must do to replace an incumbent; `None` leaves a criterion out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Criteria {
    /// Carry.
    pub carry: Option<CarryCriterion>,
    /// Launch lower than the incumbent's by at least this many degrees.
    pub launch_lower_by_deg: Option<f64>,
    /// Launch not too low.
    pub launch_limit: Option<LaunchLimit>,
    /// Spin lower than the incumbent's by at least this many rpm.
    pub spin_lower_by_rpm: Option<f64>,
    /// Spin lower by no more than this many rpm.
    pub spin_drop_at_most_rpm: Option<f64>,
    /// A measure (of the caller's own, see [`Measure::Other`]) whose own mean must lie above a floor.
    pub floor: Option<(Measure, f64)>,
}

impl Default for Criteria {
    fn default() -> Self {
        Self {
            carry: Some(CarryCriterion::Within(CARRY_MARGIN_YD)),
            launch_lower_by_deg: Some(LAUNCH_LOWER_BY_DEG),
            launch_limit: Some(LaunchLimit::DropAtMost(LAUNCH_DROP_AT_MOST_DEG)),
            spin_lower_by_rpm: Some(SPIN_LOWER_BY_RPM),
            spin_drop_at_most_rpm: Some(SPIN_DROP_AT_MOST_RPM),
            floor: None,
        }
    }
}

impl Criteria {
    /// The one-sided tests, in the order in which answers list them; six by default.
    #[must_use]
    pub fn tests(&self) -> Vec<Test> {
        use Measure::{Carry, Launch, Spin};
        use Side::{Above, Below};
        let carry = match self.carry {
            Some(CarryCriterion::Within(margin)) => vec![
                Test::of_difference(Carry, Above, -margin),
                Test::of_difference(Carry, Below, margin),
            ],
            Some(CarryCriterion::Slot(low, high)) => {
                vec![Test::of_mean(Carry, Above, low), Test::of_mean(Carry, Below, high)]
            }
            None => Vec::new(),
        };
        let launch_limit = self.launch_limit.map(|limit| match limit {
            LaunchLimit::DropAtMost(drop) => Test::of_difference(Launch, Above, -drop),
            LaunchLimit::Floor(floor) => Test::of_mean(Launch, Above, floor),
        });
        let others = [
            self.launch_lower_by_deg.map(|by| Test::of_difference(Launch, Below, -by)),
            launch_limit,
            self.spin_lower_by_rpm.map(|by| Test::of_difference(Spin, Below, -by)),
            self.spin_drop_at_most_rpm.map(|drop| Test::of_difference(Spin, Above, -drop)),
            self.floor.map(|(measure, floor)| Test::of_mean(measure, Above, floor)),
        ];
        carry.into_iter().chain(others.into_iter().flatten()).collect()
    }
}
