//! Whether a club has drifted: scores of its sessions, and a control chart over them.

use super::insufficient::{Insufficient, bounded};
use super::measure::RUN_SD_CARRY_YD;

// Own simulation, matched with textbook run lengths: 369 quiet sessions between false alarms.
/// Reference value of the chart, in sds of a score.
pub const CUSUM_K: f64 = 1.0;
/// Decision limit of the chart, in sds of a score.
pub const CUSUM_H: f64 = 2.5;
/// Sessions that a club's baseline is learnt from; scores begin with the next. Own simulation.
pub const DRIFT_BASELINE_SESSIONS: u32 = 5;

/// A two-sided cumulative-sum chart (Page 1954), score by score.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cusum {
    k: f64,
    h: f64,
    up: f64,
    low: f64,
}

impl Default for Cusum {
    fn default() -> Self {
        Self::with_limits(CUSUM_K, CUSUM_H)
    }
}

/// A chart after a score.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CusumStep {
    /// The upper sum, before any restart.
    pub up: f64,
    /// The lower sum, before any restart.
    pub low: f64,
    /// Whether one of them is over the limit. Both then restart at 0.
    pub alarm: bool,
}

impl Cusum {
    /// A chart with its own reference value and decision limit.
    #[must_use]
    pub fn with_limits(k: f64, h: f64) -> Self {
        Self { k, h, up: 0.0, low: 0.0 }
    }

    /// Takes the next score.
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] where it is no plain number; the chart is then unchanged.
    pub fn push(&mut self, score: f64) -> Result<CusumStep, Insufficient> {
        let score = bounded(score)?;
        let up = (self.up + score - self.k).max(0.0);
        let low = (self.low - score - self.k).max(0.0);
        let alarm = up > self.h || low > self.h;
        (self.up, self.low) = if alarm { (0.0, 0.0) } else { (up, low) };
        Ok(CusumStep { up, low, alarm })
    }
}

/// One club's carry in one session against its baseline, in yards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviation {
    /// Session mean minus baseline.
    pub from_baseline: f64,
    /// Shots in the session.
    pub n: u32,
    /// Sd of a shot of this club.
    pub sd: f64,
    /// Variance of the baseline itself; 0 where it is known.
    pub baseline_variance: f64,
}

impl Deviation {
    /// Its variance: of the shots' mean, of the club's day, and of the baseline.
    fn variance(&self) -> Result<f64, Insufficient> {
        let sd = bounded(self.sd)?;
        let day = RUN_SD_CARRY_YD * RUN_SD_CARRY_YD;
        Ok(sd * sd / f64::from(self.n) + day + bounded(self.baseline_variance)?)
    }
}

/// The score of a club's session: its deviation less what the player's other clubs did that day, in sds.
///
/// The precision-weighted mean deviation of the others is the common movement (warm balls, cold air, a tired
/// player). Without another club it is taken as 0 with the variance of two run effects. A session without shots
/// scores 0.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a number is no plain number.
pub fn session_score(
    club: &Deviation,
    others: impl IntoIterator<Item = Deviation>,
) -> Result<f64, Insufficient> {
    if club.n == 0 {
        return Ok(0.0);
    }
    let (mut precision, mut movement) = (0.0, 0.0);
    for other in others.into_iter().filter(|other| other.n > 0) {
        let weight = 1.0 / other.variance()?;
        precision += weight;
        movement += weight * bounded(other.from_baseline)?;
    }
    let (common, variance) = if precision > 0.0 {
        (movement / precision, 1.0 / precision)
    } else {
        (0.0, 2.0 * RUN_SD_CARRY_YD * RUN_SD_CARRY_YD)
    };
    bounded((club.from_baseline - common) / (club.variance()? + variance).sqrt())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_refused_score_leaves_the_chart_as_it_was() {
        let mut chart = Cusum::default();
        chart.push(2.0).unwrap();
        let before = chart;
        assert_eq!(chart.push(f64::NAN), Err(Insufficient::NotFinite));
        assert_eq!(chart, before);
    }

    #[test]
    fn a_score_of_numbers_that_are_none_is_refused() {
        let club = Deviation { from_baseline: 1.0, n: 5, sd: 7.0, baseline_variance: 0.0 };
        let wrong = Deviation { from_baseline: f64::NAN, ..club };
        assert_eq!(session_score(&wrong, []), Err(Insufficient::NotFinite));
        assert_eq!(session_score(&club, [wrong]), Err(Insufficient::NotFinite));
        let unsteady = Deviation { sd: f64::NAN, ..club };
        assert_eq!(session_score(&club, [unsteady]), Err(Insufficient::NotFinite));
    }
}
