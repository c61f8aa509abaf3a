//! The mishit screen of one club's series of smash factors or ball speeds, shot by shot.

use super::insufficient::{Insufficient, bounded};
use super::robust::{mad_scale_of_sorted, median_of_sorted};

/// Robust z below which a shot is a mishit. Own simulation: −2 to −4 give the same verdicts; −3 catches 99.6 %
/// of them and loses 0.15 % of good shots.
pub const MISHIT_Z: f64 = -3.0;
/// Shots of the series before the screen acts; then it acts on all of them. Own simulation.
pub const MISHIT_MIN_N: usize = 8;
/// Shots of the series after which the screen looks back once at all of them. What it would not let pass then stays
/// unflagged, but is doubtful. Own simulation: where a fifth of all strikes are mishits, the first [`MISHIT_MIN_N`]
/// may hold so many that none looks out of place, and false verdicts rise from 3.6 to 6.3 %.
pub const LOOKS_BACK_AFTER: usize = 24;
/// Robust z below which a strike is doubtful when the screen looks back: one that is as far out as the harm it does.
/// Nearer to the others a strike is as likely a good one. Own simulation.
pub const DOUBT_Z: f64 = -4.0;
/// Least scale of smash factor that the screen assumes: two decimals are often all that is reported. Assumption.
pub const SMASH_SCALE_FLOOR: f64 = 0.01;
/// Least scale of ball speed, as a share of its median: the same 0.01 at a smash factor of 1.42. Assumption.
pub const SPEED_SCALE_FLOOR: f64 = 0.007;

/// What a series consists of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Series {
    /// Ball speed over head speed, where both are measured.
    SmashFactor,
    /// Ball speed alone, in any one unit.
    BallSpeed,
}

/// What a shot made known. A flag is `true` for a mishit and never changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// Too few shots: nothing yet.
    Nothing,
    /// The shot that completes the first [`MISHIT_MIN_N`]: the flags of them all, in order of arrival.
    First([bool; MISHIT_MIN_N]),
    /// The flag of this shot.
    This(bool),
}

/// The screen of one series: one club, one [`Series`], all lies.
///
/// A shot is judged once, on arrival, against median and scale of all shots so far, mishits included: both are
/// robust. The first shots are judged together when there are enough. Only low is a mishit, and carry is never
/// looked at: cutting on it would cut the very tail that verdicts speak of.
#[derive(Clone, Debug)]
pub struct Screen {
    series: Series,
    sorted: Vec<f64>,
    /// The first shots in order of arrival, until they are judged.
    waiting: [f64; MISHIT_MIN_N],
}

impl Screen {
    /// A screen that has seen nothing.
    #[must_use]
    pub fn new(series: Series) -> Self {
        Self { series, sorted: Vec::new(), waiting: [0.0; MISHIT_MIN_N] }
    }

    /// Takes the next shot. Finding its place costs O(log n) steps and one block move, judging it O(log n).
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] where the value is no plain number; the screen is then unchanged.
    pub fn push(&mut self, value: f64) -> Result<Judged, Insufficient> {
        bounded(value)?;
        let place = self.sorted.partition_point(|&seen| seen <= value);
        if let Some(slot) = self.waiting.get_mut(self.sorted.len()) {
            *slot = value;
        }
        self.sorted.insert(place, value);
        let Some(cutoff) = self.cutoff() else { return Ok(Judged::Nothing) };
        Ok(if self.sorted.len() == MISHIT_MIN_N {
            Judged::First(self.waiting.map(|value| value < cutoff))
        } else {
            Judged::This(value < cutoff)
        })
    }

    /// The value below which the latest shot is a mishit; `None` while there are too few shots.
    #[must_use]
    pub fn cutoff(&self) -> Option<f64> {
        self.value_at(MISHIT_Z)
    }

    /// The value below which an earlier shot is doubtful; `None` while there are too few shots.
    #[must_use]
    pub fn doubt(&self) -> Option<f64> {
        self.value_at(DOUBT_Z)
    }

    fn value_at(&self, z: f64) -> Option<f64> {
        if self.sorted.len() < MISHIT_MIN_N {
            return None;
        }
        let middle = median_of_sorted(&self.sorted)?;
        let floor = match self.series {
            Series::SmashFactor => SMASH_SCALE_FLOOR,
            Series::BallSpeed => SPEED_SCALE_FLOOR * middle.abs(),
        };
        Some(middle + z * mad_scale_of_sorted(&self.sorted)?.max(floor))
    }

    /// How many shots it has seen.
    #[must_use]
    pub fn n(&self) -> usize {
        self.sorted.len()
    }

    /// The flags of a whole series in order of arrival; shots that are not judged yet count as good.
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] where a value is no plain number.
    pub fn flags_of(series: Series, values: &[f64]) -> Result<Vec<bool>, Insufficient> {
        let mut screen = Self::new(series);
        let mut flags = Vec::with_capacity(values.len());
        for &value in values {
            match screen.push(value)? {
                Judged::Nothing => flags.push(false),
                Judged::First(first) => flags = first.to_vec(),
                Judged::This(flag) => flags.push(flag),
            }
        }
        Ok(flags)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::robust::{mad_scale, median};
    use super::*;
    use proptest::prelude::*;

    /// The definition, literally: everything afresh for every shot.
    fn naive(series: Series, values: &[f64]) -> Vec<bool> {
        let mut flags = vec![false; values.len()];
        for last in MISHIT_MIN_N - 1..values.len() {
            let seen = &values[..=last];
            let middle = median(seen).unwrap().unwrap();
            let floor = match series {
                Series::SmashFactor => SMASH_SCALE_FLOOR,
                Series::BallSpeed => SPEED_SCALE_FLOOR * middle.abs(),
            };
            let cutoff = middle + MISHIT_Z * mad_scale(seen).unwrap().unwrap().max(floor);
            let first = if last + 1 == MISHIT_MIN_N { 0 } else { last };
            for shot in first..=last {
                flags[shot] = values[shot] < cutoff;
            }
        }
        flags
    }

    proptest! {
        #[test]
        fn the_incremental_screen_is_the_definition(
            values in prop::collection::vec(
                prop_oneof![5 => 1.38..1.46_f64, 1 => 1.1..1.35_f64, 2 => (135..146_u8).prop_map(|v| f64::from(v) / 100.0)],
                0..60,
            ),
        ) {
            for series in [Series::SmashFactor, Series::BallSpeed] {
                prop_assert_eq!(Screen::flags_of(series, &values).unwrap(), naive(series, &values));
            }
        }
    }

    #[test]
    fn the_eighth_shot_judges_all_eight_and_nothing_is_said_before() {
        let mut screen = Screen::new(Series::SmashFactor);
        for value in [1.42, 1.20, 1.43, 1.41, 1.42, 1.44, 1.40] {
            assert_eq!(screen.push(value).unwrap(), Judged::Nothing);
        }
        let second_only = [false, true, false, false, false, false, false, false];
        assert_eq!(screen.push(1.42).unwrap(), Judged::First(second_only));
        assert_eq!(screen.push(1.21).unwrap(), Judged::This(true));
        assert_eq!(screen.push(f64::NAN), Err(Insufficient::NotFinite));
        assert_eq!(screen.n(), 9);
    }
}
