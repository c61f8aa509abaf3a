//! What a bay's usual arithmetic says when somebody peeks: Student's t after every ball, as if it
//! were the only look and days had no effect (Schuirmann 1987 for the two one-sided tests).

use std::sync::LazyLock;

use evencarry::{
    bag::{Row, Tested},
    stats::{MIN_SHOTS, Side, Test},
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

/// Whether a test of a difference was ever said to hold; of carry, both its tests.
pub(crate) fn ever_proven(desk: &Desk<'_>, test: Test) -> bool {
    let Some(tested) = Tested::ALL.into_iter().find(|t| t.in_statistics() == test.quantity.measure)
    else {
        return false;
    };
    peeks(desk, tested).any(|peek| match test.side {
        _ if tested == Tested::Carry => peek.difference.abs() + peek.reach <= test.bound.abs(),
        Side::Below => peek.difference + peek.reach < test.bound,
        Side::Above => peek.difference - peek.reach > test.bound,
    })
}

/// A peek after every pair of balls, from eight screened shots a club on.
fn peeks(desk: &Desk<'_>, tested: Tested) -> impl Iterator<Item = Peek> {
    let player = desk.player();
    let arrived = desk.marks().places().len();
    let good = desk.marks().places().iter().filter(move |place| !place.is_mishit(arrived));
    let mut clubs = [Sums::default(); 2];
    let peek = move |row: &Row| {
        let value = tested.evidence(row)?;
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
