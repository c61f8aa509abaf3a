//! Spins that no device measured and that were solved from what was tracked of a flight.

use serde::Serialize;
use utoipa::ToSchema;

use crate::{flight::SpinEstimate, shot::spoken, stats};

/// What was solved of spins that no device measured: of each shot the one that explains its tracked flight
/// best, and how far it may be off; here the medians of the shots: what is known of a middle shot, and no range
/// that the shots lie in. An estimate, never a measurement.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SolvedSpin {
    /// Shots whose spin was solved, the newest 60 at most.
    pub shots: usize,
    /// Whole spin, rpm: the median of the shots.
    pub spin_rate_rpm: f64,
    /// A middle shot's spin is not below with a chance of 95 %, rpm: the median of the shots' own lower ends.
    pub low_rpm: f64,
    /// It is not above with a chance of 95 %, rpm: the median of the shots' own upper ends. What devices and
    /// the model are off is much the same in every shot, so that more shots do not bring the two ends together.
    pub high_rpm: f64,
    /// That no device measured it: always true.
    pub inferred: bool,
    /// The same in sentences.
    pub words: String,
}

impl SolvedSpin {
    /// The medians of what was solved; `None` of nothing.
    #[must_use]
    pub fn of(solved: &[SpinEstimate]) -> Option<Self> {
        let median = |of: fn(&SpinEstimate) -> f64| {
            stats::median(&solved.iter().map(of).collect::<Vec<f64>>()).ok().flatten()
        };
        let spin_rate_rpm = median(|one| one.spin_rate_rpm)?;
        let [low_rpm, high_rpm] = [median(|one| one.low_rpm)?, median(|one| one.high_rpm)?];
        let of_shots = match solved.len() {
            1 => "The spin of one shot".to_owned(),
            more => format!("The spin of {more} shots"),
        };
        let words = format!(
            "{of_shots} was not measured but solved from the tracked flight: {} in the middle. That of a middle \
             shot is known only to lie between {} and {}, with a chance of 90 %.",
            spoken::spin(spin_rate_rpm),
            spoken::spin(low_rpm),
            spoken::spin(high_rpm),
        );
        Some(Self { shots: solved.len(), spin_rate_rpm, low_rpm, high_rpm, inferred: true, words })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)] // medians of an odd number are exact

    use super::*;

    #[test]
    fn the_middle_shot_s_ends_are_told() {
        let estimate = |spin_rate_rpm: f64| SpinEstimate {
            spin_rate_rpm,
            low_rpm: spin_rate_rpm - 400.0,
            high_rpm: spin_rate_rpm + 600.0,
        };
        let solved = SolvedSpin::of(&[5_000.0, 9_000.0, 5_200.0].map(estimate)).unwrap();
        assert_eq!((solved.shots, solved.inferred), (3, true));
        let SolvedSpin { spin_rate_rpm, low_rpm, high_rpm, words, .. } = solved;
        assert_eq!([spin_rate_rpm, low_rpm, high_rpm], [5_200.0, 4_800.0, 5_800.0]);
        assert_eq!(
            words,
            "The spin of 3 shots was not measured but solved from the tracked flight: 5200 rpm in the middle. \
             That of a middle shot is known only to lie between 4800 rpm and 5800 rpm, with a chance of 90 %."
        );
        assert_eq!(SolvedSpin::of(&[]), None);
    }
}
