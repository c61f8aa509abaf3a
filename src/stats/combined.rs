//! Estimates made of estimates: one less another, and a mix of several.

use super::blocked::{Estimate, Shots};
use super::insufficient::Insufficient;

/// One estimate less another that shares no shot with it.
///
/// Variances add; degrees of freedom by Satterthwaite (1946). The shot sd is that of both together, and the
/// effective number of shots follows from it.
///
/// # Errors
/// [`Insufficient::NoSpread`] where nothing tells noise from difference.
pub fn apart(one: &Estimate, other: &Estimate) -> Result<Estimate, Insufficient> {
    let parts = [one.se * one.se, other.se * other.se];
    let sum = parts[0] + parts[1];
    let uncertainty = parts[0] * parts[0] / one.df + parts[1] * parts[1] / other.df;
    made(
        [(1.0, one), (1.0, other)],
        Made { centre: one.centre - other.centre, se: sum.sqrt(), df: sum * sum / uncertainty },
        Shots::Pair { candidate: all(one.shots), incumbent: all(other.shots) },
    )
}

/// The sum of estimates, each times its share, where they may depend on one another in any way: the same days,
/// the same club. Standard errors add, which no dependence can exceed; the fewest degrees of freedom count.
///
/// # Errors
/// [`Insufficient::NoShots`] of nothing, [`Insufficient::NoSpread`] where nothing tells noise from difference.
pub fn mixed(parts: &[(f64, Estimate)]) -> Result<Estimate, Insufficient> {
    let weighed = |of: fn(&Estimate) -> f64| parts.iter().map(move |(w, e)| w * of(e)).sum::<f64>();
    let shots = parts.iter().fold([0, 0], |[candidate, incumbent], (_, part)| match part.shots {
        Shots::Pair { candidate: c, incumbent: i } => [candidate + c, incumbent + i],
        Shots::Single(n) => [candidate + n, incumbent],
    });
    let fewest = parts.iter().map(|(_, part)| part.df).min_by(f64::total_cmp);
    made(
        parts.iter().map(|(share, part)| (*share, part)),
        Made {
            centre: weighed(|part| part.centre),
            se: weighed(|part| part.se),
            df: fewest.ok_or(Insufficient::NoShots)?,
        },
        Shots::Pair { candidate: shots[0], incumbent: shots[1] },
    )
}

/// The figures of an estimate that was put together.
#[derive(Clone, Copy)]
struct Made {
    centre: f64,
    se: f64,
    df: f64,
}

fn made<'a>(
    parts: impl IntoIterator<Item = (f64, &'a Estimate)>,
    made: Made,
    shots: Shots,
) -> Result<Estimate, Insufficient> {
    let (mut weights, mut variance, mut sessions) = (0.0, 0.0, u32::MAX);
    for (weight, part) in parts {
        let weight = weight * f64::from(all(part.shots));
        weights += weight;
        variance += weight * part.s_within * part.s_within;
        sessions = sessions.min(part.sessions);
    }
    let within = (variance / weights).sqrt();
    let Made { centre, se, df } = made;
    let h = (within / se) * (within / se);
    let usable = [se, df, h].into_iter().all(|value| value > 0.0 && value.is_finite());
    let estimate = Estimate { centre, se, df, h, s: within, s_within: within, sessions, shots };
    if usable { Ok(estimate) } else { Err(Insufficient::NoSpread) }
}

fn all(shots: Shots) -> u32 {
    match shots {
        Shots::Pair { candidate, incumbent } => candidate + incumbent,
        Shots::Single(n) => n,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::{Cell, RunEffect, Sample, Variance, blocked_mean, two_sample};
    use super::*;

    fn mean_of(values: &[f64]) -> Estimate {
        blocked_mean(&[Cell::of(values).unwrap()], RunEffect::None).unwrap()
    }

    #[test]
    fn one_mean_less_another_is_the_test_of_welch() {
        let (a, b) = ([20.0, 23.5, 31.0, 18.0, 25.0], [11.0, 16.0, 9.5, 14.0]);
        let found = apart(&mean_of(&a), &mean_of(&b)).unwrap();
        let sample = |mean: f64, values: &[f64]| {
            let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
            let n = u32::try_from(values.len()).unwrap();
            Sample { mean, sd: (squares / f64::from(n - 1)).sqrt(), n }
        };
        let samples = [sample(23.5, &a), sample(12.625, &b)];
        let welch = two_sample(samples, Variance::Welch, 0.95).unwrap();
        assert!((found.centre / found.se - welch.t).abs() < 1e-12, "{found:?} {welch:?}");
        assert!((found.df - welch.df).abs() < 1e-12, "{found:?} {welch:?}");
        assert!((found.s - found.se * found.h.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_mix_of_one_is_that_one_and_of_two_never_surer_than_the_surest_allows() {
        let (a, b) = (mean_of(&[20.0, 23.5, 31.0, 18.0]), mean_of(&[11.0, 16.0, 9.5, 14.0]));
        let alone = mixed(&[(1.0, a)]).unwrap();
        assert!((alone.se - a.se).abs() < 1e-12 && (alone.h - a.h).abs() < 1e-9);
        let both = mixed(&[(0.7, a), (0.3, b)]).unwrap();
        assert!((both.centre - (0.7 * a.centre + 0.3 * b.centre)).abs() < 1e-12);
        assert!((both.se - (0.7 * a.se + 0.3 * b.se)).abs() < 1e-12);
        assert_eq!(mixed(&[]), Err(Insufficient::NoShots));
    }
}
