//! Figures of two models, and words for what they come to.

use serde::Serialize;
use utoipa::ToSchema;

/// Differences below this are called even, m: models are off by more.
const EVEN_M: f64 = 1.0;
/// Descents from which a firm green holds a ball: not below the first, surely from the second on. Common
/// practice, no source.
pub(super) const FIRM_GREEN_DEG: [f64; 2] = [48.0, 50.0];
/// The same of a soft green. Common practice, no source.
pub(super) const SOFT_GREEN_DEG: [f64; 2] = [40.0, 42.0];

/// A figure by the main model, with the other model's as its range: where both differ, so may the truth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct ModelRange {
    /// By the main model.
    pub estimate: f64,
    /// The lesser of both models.
    pub low: f64,
    /// The greater of both models.
    pub high: f64,
}

impl ModelRange {
    /// A figure by the main model and by the other.
    pub(in crate::bag) fn of(main: f64, other: f64) -> Self {
        Self { estimate: main, low: main.min(other), high: main.max(other) }
    }
}

/// Which club loses less carry against its own in still air, or gains more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LosesLess {
    /// The candidate, by both models.
    Candidate,
    /// The incumbent, by both models.
    Incumbent,
    /// They are within a metre of each other, by both models.
    Even,
    /// The models do not agree on which.
    Unclear,
}

impl LosesLess {
    /// Of the carry that the candidate keeps less what the incumbent keeps.
    pub(super) fn of(kept: ModelRange) -> Self {
        if kept.low.abs().max(kept.high.abs()) < EVEN_M {
            Self::Even
        } else if kept.low <= 0.0 && kept.high >= 0.0 {
            Self::Unclear
        } else if kept.estimate > 0.0 {
            Self::Candidate
        } else {
            Self::Incumbent
        }
    }
}

/// Whether a green holds a ball that comes down so steeply. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Holding {
    /// Steep enough.
    Holds,
    /// It may.
    MayHold,
    /// Too flat.
    RunsOn,
}

impl Holding {
    pub(super) fn of(descent_angle_deg: f64, [least, surely]: [f64; 2]) -> Self {
        if descent_angle_deg >= surely {
            Self::Holds
        } else if descent_angle_deg >= least {
            Self::MayHold
        } else {
            Self::RunsOn
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_loses_less_takes_both_models_and_more_than_a_metre() {
        for (main, other, who) in [
            (13.0, 9.0, LosesLess::Candidate),
            (-10.0, -6.0, LosesLess::Incumbent),
            (0.9, -0.5, LosesLess::Even),
            (0.9, 8.0, LosesLess::Candidate),
            (3.0, -2.0, LosesLess::Unclear),
        ] {
            assert_eq!(LosesLess::of(ModelRange::of(main, other)), who, "{main}, {other}");
        }
    }

    #[test]
    fn a_green_holds_what_comes_down_steeply() {
        let firm = |descent| Holding::of(descent, FIRM_GREEN_DEG);
        assert_eq!(
            [firm(40.0), firm(49.0), firm(50.0)],
            [Holding::RunsOn, Holding::MayHold, Holding::Holds]
        );
        assert_eq!(Holding::of(41.0, SOFT_GREEN_DEG), Holding::MayHold);
    }
}
