//! What a bay's usual arithmetic says when somebody peeks: Student's t after every ball, as if it
//! were the only look and days had no effect (Schuirmann 1987 for the two one-sided tests).

use std::sync::LazyLock;

use evencarry::{
    bag::{METRES_PER_YARD, Row},
    shot::Measure,
    stats::{CARRY_MARGIN_YD, LAUNCH_LOWER_BY_DEG, MIN_SHOTS},
};
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::desk::Desk;

/// One-sided 95 % quantiles of Student's t by degrees of freedom.
static QUANTILES: LazyLock<Vec<f64>> = LazyLock::new(|| {
    let quantile = |df: u32| StudentsT::new(0.0, 1.0, f64::from(df)).unwrap().inverse_cdf(0.95);
    (1..=1_000).map(quantile).collect()
});

/// Sums of one club.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    n: u32,
    sum: f64,
    squares: f64,
}

/// Candidate minus incumbent with the reach of its one-sided 95 % bound.
struct Peek {
    difference: f64,
    reach: f64,
}

/// Whether the carries were ever said to be even.
pub(crate) fn ever_even(desk: &Desk<'_>) -> bool {
    let margin = CARRY_MARGIN_YD;
    let even = |peek: Peek| peek.difference.abs() + peek.reach <= margin;
    peeks(desk, Measure::Carry, METRES_PER_YARD).any(even)
}

/// Whether the launch was ever said to be low enough.
pub(crate) fn ever_lower(desk: &Desk<'_>) -> bool {
    let lower = |peek: Peek| peek.difference + peek.reach < -LAUNCH_LOWER_BY_DEG;
    peeks(desk, Measure::LaunchAngle, 1.0).any(lower)
}

/// A peek after every pair of balls, from eight screened shots a club on.
fn peeks(desk: &Desk<'_>, measure: Measure, unit: f64) -> impl Iterator<Item = Peek> {
    let player = desk.player();
    let arrived = desk.marks().places().len();
    let good = desk.marks().places().iter().filter(move |place| !place.is_mishit(arrived));
    let mut clubs = [Sums::default(); 2];
    let peek = move |row: &Row| {
        let value = row.measures.get(measure)? / unit;
        let sums = clubs.get_mut(row.club as usize)?;
        (sums.n, sums.sum) = (sums.n + 1, sums.sum + value);
        sums.squares += value * value;
        (row.club == 0 && clubs.iter().all(|club| club.n >= MIN_SHOTS)).then(|| Peek::of(&clubs))
    };
    good.map(move |place| &player.rows[place.row as usize]).filter_map(peek)
}

impl Peek {
    fn of([incumbent, candidate]: &[Sums; 2]) -> Self {
        let [a, b] = [candidate, incumbent].map(|club| f64::from(club.n));
        let within = |club: &Sums| club.squares - club.sum * club.sum / f64::from(club.n);
        let variance = (within(candidate) + within(incumbent)) / (a + b - 2.0);
        let quantile = QUANTILES[(candidate.n + incumbent.n - 3) as usize];
        Self {
            difference: candidate.sum / a - incumbent.sum / b,
            reach: quantile * (variance * (1.0 / a + 1.0 / b)).sqrt(),
        }
    }
}
