//! What a replacement must do: the brief and the one-sided tests it stands for.

use serde::Serialize;
use utoipa::ToSchema;

use super::{filter::Filter, measure::METRES_PER_YARD};
use crate::{
    shot::{Intent, StatedBrief},
    stats::{self, Measure, Side, Test},
};

/// What is asked of a club that shall take another's place. Differences are candidate minus
/// incumbent.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Brief {
    /// The carries may differ by this much either way, metres.
    pub carry_margin_m: f64,
    /// The launch must be lower by at least this, degrees.
    pub launch_lower_by_deg: f64,
    /// And by no more than this: soaked ground gives no roll, and a green must hold. Degrees.
    pub launch_lower_at_most_deg: f64,
    /// The spin must be lower by at least this, rpm.
    pub spin_lower_by_rpm: f64,
    /// And by no more than this, rpm.
    pub spin_lower_at_most_rpm: f64,
    /// The wanted carry from here, metres: in place of the incumbent's own.
    pub slot_low_m: Option<f64>,
    /// The wanted carry up to here, metres.
    pub slot_high_m: Option<f64>,
    /// The candidate's own launch must be above this, degrees: in place of the largest drop.
    pub launch_floor_deg: Option<f64>,
    /// The candidate's typical launch must be at or above the floor that is computed of its own strikes, by both
    /// models of flight: it can only hold back a `replaces`.
    pub launch_floor_computed: bool,
    /// The candidate's own descent must be steeper than this, degrees.
    pub descent_floor_deg: Option<f64>,
    /// Answer also with the share of all strikes that carry this far, metres; in no verdict.
    pub must_carry_m: Option<f64>,
    /// Into 20 mph the candidate must keep this much more of its carry than the incumbent, metres, by both
    /// models of flight: it can only hold back a `replaces`.
    pub carry_kept_in_wind_by_m: Option<f64>,
    /// What counts as evidence.
    #[serde(flatten)]
    pub filter: Filter,
}

impl Default for Brief {
    /// Five yards, 1.5 to 5 degrees, 500 to 1,800 rpm (common practice, no source).
    fn default() -> Self {
        Self {
            carry_margin_m: stats::CARRY_MARGIN_YD * METRES_PER_YARD,
            launch_lower_by_deg: stats::LAUNCH_LOWER_BY_DEG,
            launch_lower_at_most_deg: stats::LAUNCH_DROP_AT_MOST_DEG,
            spin_lower_by_rpm: stats::SPIN_LOWER_BY_RPM,
            spin_lower_at_most_rpm: stats::SPIN_DROP_AT_MOST_RPM,
            slot_low_m: None,
            slot_high_m: None,
            launch_floor_deg: None,
            launch_floor_computed: false,
            descent_floor_deg: None,
            must_carry_m: None,
            carry_kept_in_wind_by_m: None,
            filter: Filter::default(),
        }
    }
}

impl From<&StatedBrief> for Brief {
    /// What is stated, and the usual figures where nothing is.
    fn from(stated: &StatedBrief) -> Self {
        let usual = Self::default();
        let StatedBrief { slot_low_m, slot_high_m, launch_floor_deg, .. } = *stated;
        let intent = Intent {
            height: stated.height.unwrap_or(usual.filter.intent.height),
            shape: stated.shape.unwrap_or(usual.filter.intent.shape),
            ..usual.filter.intent
        };
        Self {
            carry_margin_m: stated.carry_margin_m.unwrap_or(usual.carry_margin_m),
            launch_lower_by_deg: stated.launch_lower_by_deg.unwrap_or(usual.launch_lower_by_deg),
            launch_lower_at_most_deg: stated
                .launch_lower_at_most_deg
                .unwrap_or(usual.launch_lower_at_most_deg),
            spin_lower_by_rpm: stated.spin_lower_by_rpm.unwrap_or(usual.spin_lower_by_rpm),
            spin_lower_at_most_rpm: stated
                .spin_lower_at_most_rpm
                .unwrap_or(usual.spin_lower_at_most_rpm),
            slot_low_m,
            slot_high_m,
            launch_floor_deg,
            launch_floor_computed: stated.launch_floor_computed,
            descent_floor_deg: stated.descent_floor_deg,
            must_carry_m: stated.must_carry_m,
            carry_kept_in_wind_by_m: stated.carry_kept_in_wind_by_m,
            filter: Filter {
                lie: stated.lie,
                ball: stated.ball.clone(),
                intent,
                from: stated.from,
                to: stated.to,
                last: None,
            },
        }
    }
}

/// What a group of tests is about: one entry of an answer's criteria.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Criterion {
    /// The carry is even, or inside the slot.
    CarryHeld,
    /// The launch is lower by at least what was asked.
    LaunchLower,
    /// The spin is lower by at least what was asked.
    SpinLower,
    /// Launch, spin and descent are not so low that soaked ground or a green costs the shot.
    NotTooLow,
    /// The candidate does not scatter more.
    SpreadHeld,
    /// The candidate keeps more of its carry into the wind, as models have it.
    CarryKeptInWind,
    /// The candidate launches no lower than its weak strike on soaked ground allows, as models have it.
    AboveComputedFloor,
}

impl Criterion {
    /// Its name in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CarryHeld => "carry_held",
            Self::LaunchLower => "launch_lower",
            Self::SpinLower => "spin_lower",
            Self::NotTooLow => "not_too_low",
            Self::SpreadHeld => "spread_held",
            Self::CarryKeptInWind => "carry_kept_in_wind",
            Self::AboveComputedFloor => "above_computed_floor",
        }
    }
}

/// One entry of the criteria: its tests, and the bounds they put on one measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// What it is about.
    pub criterion: Criterion,
    /// Its tests.
    pub tests: Vec<Test>,
}

impl Brief {
    /// The usual figures, stated.
    #[must_use]
    pub fn usual() -> StatedBrief {
        let usual = Self::default();
        StatedBrief {
            carry_margin_m: Some(usual.carry_margin_m),
            launch_lower_by_deg: Some(usual.launch_lower_by_deg),
            launch_lower_at_most_deg: Some(usual.launch_lower_at_most_deg),
            spin_lower_by_rpm: Some(usual.spin_lower_by_rpm),
            spin_lower_at_most_rpm: Some(usual.spin_lower_at_most_rpm),
            ..StatedBrief::default()
        }
    }

    /// The clauses in the order in which they are answered. J is the number of all their tests.
    #[must_use]
    pub fn clauses(&self) -> Vec<Clause> {
        let difference = Test::of_difference;
        let clause = |criterion, tests| Clause { criterion, tests };
        let mut clauses = vec![
            clause(Criterion::CarryHeld, self.carry_tests()),
            clause(
                Criterion::LaunchLower,
                vec![difference(Measure::Launch, Side::Below, -self.launch_lower_by_deg)],
            ),
            clause(
                Criterion::SpinLower,
                vec![difference(Measure::Spin, Side::Below, -self.spin_lower_by_rpm)],
            ),
            clause(Criterion::NotTooLow, vec![self.launch_floor_test()]),
            clause(
                Criterion::NotTooLow,
                vec![difference(Measure::Spin, Side::Above, -self.spin_lower_at_most_rpm)],
            ),
        ];
        if let Some(floor) = self.descent_floor_deg {
            let descent = super::measure::Tested::Descent.in_statistics();
            clauses.push(clause(
                Criterion::NotTooLow,
                vec![Test::of_mean(descent, Side::Above, floor)],
            ));
        }
        clauses
    }

    fn carry_tests(&self) -> Vec<Test> {
        let yards = |metres: f64| metres / METRES_PER_YARD;
        if let (Some(low), Some(high)) = (self.slot_low_m, self.slot_high_m) {
            return vec![
                Test::of_mean(Measure::Carry, Side::Above, yards(low)),
                Test::of_mean(Measure::Carry, Side::Below, yards(high)),
            ];
        }
        let margin = yards(self.carry_margin_m);
        vec![
            Test::of_difference(Measure::Carry, Side::Above, -margin),
            Test::of_difference(Measure::Carry, Side::Below, margin),
        ]
    }

    fn launch_floor_test(&self) -> Test {
        match self.launch_floor_deg {
            Some(floor) => Test::of_mean(Measure::Launch, Side::Above, floor),
            None => {
                Test::of_difference(Measure::Launch, Side::Above, -self.launch_lower_at_most_deg)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_default_brief_is_the_default_criteria_of_the_statistics() {
        let tests: Vec<Test> =
            Brief::default().clauses().into_iter().flat_map(|clause| clause.tests).collect();
        assert_eq!(tests.len(), 6);
        for expected in stats::Criteria::default().tests() {
            let same = |test: &&Test| {
                (test.quantity, test.side) == (expected.quantity, expected.side)
                    && (test.bound - expected.bound).abs() < 1e-9
            };
            assert_eq!(tests.iter().filter(same).count(), 1, "{expected:?}");
        }
    }

    #[test]
    fn a_slot_and_a_floor_take_the_place_of_differences() {
        let brief = Brief {
            slot_low_m: Some(100.0 * METRES_PER_YARD),
            slot_high_m: Some(200.0 * METRES_PER_YARD),
            launch_floor_deg: Some(11.0),
            descent_floor_deg: Some(38.0),
            ..Brief::default()
        };
        let tests: Vec<Test> =
            brief.clauses().into_iter().flat_map(|clause| clause.tests).collect();
        assert_eq!(tests.len(), 7);
        assert_eq!(tests[0].quantity, Test::of_mean(Measure::Carry, Side::Above, 0.0).quantity);
        assert!((tests[0].bound - 100.0).abs() < 1e-9 && (tests[1].bound - 200.0).abs() < 1e-9);
        assert_eq!(tests[4], Test::of_mean(Measure::Launch, Side::Above, 11.0));
    }
}
