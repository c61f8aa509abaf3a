//! How shots scatter: the ellipse that holds a chosen share of them, and one club's spread over
//! another's.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    metric::{Interval, Metric},
    replacement::{CriterionState, Figure},
    row::Row,
};
use crate::{
    shot::Measure,
    stats::{self, Spread, VarianceRatio},
};

/// The share that an ellipse holds unless asked otherwise.
pub const USUAL_SHARE: f64 = stats::ELLIPSE_COVERAGE;

const SIDE: Metric = Metric::Measured(Measure::Side);
const CARRY: Metric = Metric::Measured(Measure::Carry);

/// The ellipse, seen from above, that holds a share of normal shots; robust, so that a stray shot
/// hardly moves it. Read it as a shape: `inside` counts the shots that it really holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Dispersion {
    /// The share of shots that it should hold.
    pub share: f64,
    /// Shots with both figures.
    pub n: usize,
    /// Those that lie inside.
    pub inside: usize,
    /// The same as a share.
    pub inside_share: f64,
    /// Side of its centre (median), metres; right is positive.
    pub side_m: f64,
    /// Carry of its centre (median), metres.
    pub carry_m: f64,
    /// Half its length, metres.
    pub semi_major_m: f64,
    /// Half its width, metres.
    pub semi_minor_m: f64,
    /// From due right towards the target to its length, in (−90, 90] degrees.
    pub angle_deg: f64,
    /// Whether some of the figures were worked out by a device rather than measured.
    pub inferred: bool,
}

/// The ellipse of some shots; `None` where there are too few or they do not scatter.
#[must_use]
#[allow(clippy::cast_precision_loss)] // counts of shots stay far below 2^52
pub(super) fn dispersion(rows: &[&Row], share: f64) -> Option<Dispersion> {
    let both = |row: &&&Row| SIDE.value(row).is_some() && CARRY.value(row).is_some();
    let rows: Vec<&Row> = rows.iter().filter(both).copied().collect();
    let side: Vec<f64> = rows.iter().filter_map(|row| SIDE.value(row)).collect();
    let carry: Vec<f64> = rows.iter().filter_map(|row| CARRY.value(row)).collect();
    let ellipse = stats::ellipse(&side, &carry, share).ok()?;
    let inside =
        side.iter().zip(&carry).filter(|(side, carry)| ellipse.holds(**side, **carry)).count();
    Some(Dispersion {
        share,
        n: rows.len(),
        inside,
        inside_share: inside as f64 / rows.len() as f64,
        side_m: ellipse.centre[0],
        carry_m: ellipse.centre[1],
        semi_major_m: ellipse.semi_major,
        semi_minor_m: ellipse.semi_minor,
        angle_deg: ellipse.angle_deg,
        inferred: rows.iter().any(|row| SIDE.is_inferred(row)),
    })
}

/// The candidate's spread over the incumbent's, within sessions and strata. The test does not take
/// the tails for normal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct SpreadRatio {
    /// The measure that scatters.
    pub metric: &'static str,
    /// That the figure is a ratio of spreads.
    pub of: Figure,
    /// The candidate's sd over the incumbent's, with ends that may be watched; null until there are
    /// 20 shots of each.
    #[serde(flatten)]
    pub ratio: Interval,
    /// `worse` where it is proven, as things stand, that the ratio is above 1.25.
    pub state: CriterionState,
}

impl SpreadRatio {
    /// From a ratio of variances, if there is one.
    #[must_use]
    pub(super) fn of(metric: Metric, ratio: Option<VarianceRatio>) -> Self {
        Self {
            metric: metric.name(),
            of: Figure::SpreadRatio,
            ratio: ratio.map_or(Interval::UNKNOWN, |ratio| Interval::of_ratio(&ratio)),
            state: Spread::of(ratio.map(|ratio| ratio.log_e_worse)).into(),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::bag::rows;

    #[test]
    fn an_ellipse_lies_where_its_shots_do_and_counts_those_it_holds() {
        let spots =
            [(0.0, 150.0), (4.0, 152.0), (-4.0, 148.0), (2.0, 147.0), (-2.0, 153.0), (0.5, 190.0)];
        let shots: Vec<Row> = spots
            .iter()
            .map(|(side, carry)| rows::row(&[(Measure::Side, *side), (Measure::Carry, *carry)]))
            .collect();
        let all: Vec<&Row> = shots.iter().collect();
        let found = dispersion(&all, 0.8).unwrap();
        // Medians by hand: sides −4 −2 0 0.5 2 4, carries 147 148 150 152 153 190.
        assert!((found.side_m - 0.25).abs() < 1e-12 && (found.carry_m - 151.0).abs() < 1e-12);
        // The far shot lies outside whatever the ellipse: 39 m off with a robust sd under 5 m.
        assert_eq!((found.n, found.inside), (6, 5));
        let smaller = dispersion(&all, 0.2).unwrap();
        assert!(smaller.inside < 5 && smaller.semi_major_m < found.semi_major_m);
        assert_eq!(dispersion(&all[..4], 0.8), None);
    }
}
