//! The anytime-valid interval: what the evidence has not ruled out, at any moment of looking.

use super::blocked::Estimate;
use super::insufficient::Insufficient;
use super::measure::Side;
use super::nct::NoncentralT;
use super::safe_t::{Look, log_mean_exp, proof};

/// Effect sizes of the interval's mixture, in sds of a shot, weights ¼ each: wider than the verdicts', to serve
/// 8 shots and 80 sessions. Own simulation, from a dozen, by width.
pub const INTERVAL_DELTAS: [f64; 4] = [0.2, 0.4, 0.8, 1.6];

/// A 95 % interval that may be watched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnytimeInterval {
    /// The estimate, its middle.
    pub estimate: f64,
    /// Lower and upper end; `None` while no bound is ruled out.
    pub ends: Option<(f64, f64)>,
}

/// The interval of all bounds whose two-sided e-value stays under 1/α.
///
/// # Errors
/// [`Insufficient::NotFinite`] for an estimate that no data gives.
pub fn anytime_interval(estimate: &Estimate) -> Result<AnytimeInterval, Insufficient> {
    Look::at(estimate)?;
    let reach = anytime_t(estimate.df, estimate.h)?.map(|t| t * estimate.se);
    let centre = estimate.centre;
    Ok(AnytimeInterval {
        estimate: centre,
        ends: reach.map(|reach| (centre - reach, centre + reach)),
    })
}

/// log of the mean of the two one-sided e-values: tests "equal to `bound`".
///
/// # Errors
/// [`Insufficient::NotFinite`] for an estimate that no data gives.
pub fn two_sided_log_e(estimate: &Estimate, bound: f64) -> Result<f64, Insufficient> {
    let look = Look::at(estimate)?;
    let sides = [Side::Above, Side::Below];
    Ok(log_mean_exp(sides.into_iter().map(|side| look.log_e(bound, side, &INTERVAL_DELTAS))))
}

/// The |t| at which the two-sided e-value reaches 1/α; `None` where it never does: too few shots.
///
/// The e-value rises strictly in |t|, from under 1 at 0 to a finite limit, so that both ends of an interval are
/// one root. It is sought in u = t/√(df + t²) on \[0, 1\]: roughly on Laplace's value, then by secants on the
/// exact one, and by halving where a secant strays.
///
/// # Errors
/// [`Insufficient::NotFinite`] unless df and h are positive and finite.
pub fn anytime_t(df: f64, h: f64) -> Result<Option<f64>, Insufficient> {
    if !(df > 0.0 && df.is_finite() && h > 0.0 && h.is_finite()) {
        return Err(Insufficient::NotFinite);
    }
    let law = NoncentralT::new(df);
    let exact = |u: f64| excess(&law, h, u, NoncentralT::exact);
    let laplace = |u: f64| excess(&law, h, u, NoncentralT::laplace);
    if exact(1.0) <= 0.0 {
        return Ok(None);
    }
    let rough = secant(laplace, law.slope(USUAL_T), steepness(laplace, law.slope(USUAL_T)), 1e-3);
    let fine = rough.and_then(|start| secant(exact, start, steepness(laplace, start), 1e-9));
    let u = fine.unwrap_or_else(|| halve(exact));
    Ok((u < 1.0).then(|| law.t_of_slope(u)))
}

/// Where the search starts: most roots lie between 3.1 and 4.
const USUAL_T: f64 = 3.3;

/// Log of the two-sided e-value at slope `u`, less log 1/α.
fn excess(law: &NoncentralT, h: f64, u: f64, ratio: impl Fn(&NoncentralT, f64, f64) -> f64) -> f64 {
    let root_h = h.sqrt();
    let signed = INTERVAL_DELTAS.iter().flat_map(|delta| [(u, delta), (-u, delta)]);
    log_mean_exp(signed.map(|(u, delta)| ratio(law, u, delta * root_h))) - proof()
}

/// The derivative of `f` at `u`, roughly.
fn steepness(f: impl Fn(f64) -> f64, u: f64) -> f64 {
    let step = 1e-4 * (1.0 - u);
    (f(u + step) - f(u - step)) / (2.0 * step)
}

/// The root of an increasing `f` inside (0, 1) from `start`, where its derivative is about `slope`; `None` where
/// the secants leave the interval or do not settle.
///
/// `settled` is the last step's share of u(1 − u), in which the root's t is well-conditioned. Secants converge
/// superlinearly: what is left after that step is far smaller.
fn secant(f: impl Fn(f64) -> f64, start: f64, slope: f64, settled: f64) -> Option<f64> {
    let (mut u, mut value, mut slope) = (start, f(start), slope);
    for _ in 0..12 {
        let next = u - value / slope;
        if !(next > 0.0 && next < 1.0) {
            return None;
        }
        let step = next - u;
        if step.abs() <= settled * next * (1.0 - next) {
            return Some(next);
        }
        let next_value = f(next);
        (u, value, slope) = (next, next_value, (next_value - value) / step);
    }
    None
}

/// The root of an increasing `f` that is positive at 1, by halving \[0, 1\] down to the doubles' own width.
fn halve(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if f(middle) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_quick_root_is_the_root_by_halving() {
        let mut found = 0;
        for df in [2.0, 4.5, 6.5, 7.0, 9.0, 14.0, 33.3, 120.0, 1000.0, 1e5] {
            for h in [0.3, 1.0, 2.5, 4.0, 9.0, 30.0, 200.0, 3000.0] {
                let law = NoncentralT::new(df);
                let exact = |u: f64| excess(&law, h, u, NoncentralT::exact);
                let Some(t) = anytime_t(df, h).unwrap() else {
                    assert!(exact(1.0) <= 0.0);
                    continue;
                };
                let slow = law.t_of_slope(halve(exact));
                assert!((t - slow).abs() <= 1e-9 * slow, "df {df} h {h}: {t} {slow}");
                found += 1;
            }
        }
        assert!(found > 50, "{found}");
    }
}
