//! Evidence that may be watched: e-values of the safe t-test, and their running maxima.
//!
//! An e-value has a mean of at most 1 where the null holds, whatever the moment of looking; the chance that it
//! ever reaches 1/α is at most α (Ville 1939). This one is the likelihood ratio of t under a mixture of effect
//! sizes (Grünwald, de Heide and Koolen, Safe testing; Pérez-Ortiz, Lardy, de Heide and Grünwald, E-statistics,
//! group invariance and anytime-valid testing).

use super::blocked::Estimate;
use super::insufficient::Insufficient;
use super::measure::{Side, Test};
use super::nct::NoncentralT;

/// The chance that a verdict may err. Common practice.
pub const ALPHA: f64 = 0.05;
/// Effect sizes of the verdicts' mixture, in sds of a shot, weights ⅓ each. Own simulation: of 14 mixtures the
/// shortest three-point one for carry that holds at shot sds of 4.5, 7 and 10 yd.
pub const DELTAS: [f64; 3] = [0.4, 0.6, 0.8];

/// log 1/α: the log evidence that proves.
#[must_use]
pub fn proof() -> f64 {
    (1.0 / ALPHA).ln()
}

/// Log evidence for a test and for its opposite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    /// log e that the test holds.
    pub holds: f64,
    /// log e that its opposite does.
    pub broken: f64,
}

/// One look at an estimate: everything that its tests share is computed once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    law: NoncentralT,
    df: f64,
    centre: f64,
    se: f64,
    root_h: f64,
}

/// Under this df Laplace's value is too rough to screen with.
const SCREEN_MIN_DF: f64 = 8.0;
/// More than Laplace's error can be at [`SCREEN_MIN_DF`] (measured, over all t and ncp 0.1 to 30).
const SCREEN_MARGIN: f64 = 5e-4;

impl Look {
    /// Looks at an estimate.
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] for an estimate that no data gives: a number that is not finite, or se, df or
    /// h not positive.
    pub fn at(estimate: &Estimate) -> Result<Self, Insufficient> {
        let Estimate { centre, se, df, h, .. } = *estimate;
        let positive = |value: f64| value > 0.0 && value.is_finite();
        if centre.is_finite() && positive(se) && positive(df) && positive(h) {
            Ok(Self { law: NoncentralT::new(df), df, centre, se, root_h: h.sqrt() })
        } else {
            Err(Insufficient::NotFinite)
        }
    }

    /// log e against "not on this `side` of `bound`", with the mixture of effect sizes `deltas` (in shot sds).
    ///
    /// A bound that is not finite gathers no evidence: −∞.
    #[must_use]
    pub fn log_e(&self, bound: f64, side: Side, deltas: &[f64]) -> f64 {
        self.mixture(bound, side, deltas, NoncentralT::exact)
    }

    /// The same by Laplace's method: within 5e-4 from df 8 on, some ten times faster.
    #[must_use]
    pub fn log_e_laplace(&self, bound: f64, side: Side, deltas: &[f64]) -> f64 {
        self.mixture(bound, side, deltas, NoncentralT::laplace)
    }

    fn mixture(
        &self,
        bound: f64,
        side: Side,
        deltas: &[f64],
        ratio: impl Fn(&NoncentralT, f64, f64) -> f64,
    ) -> f64 {
        if !bound.is_finite() {
            return f64::NEG_INFINITY;
        }
        let slope = side.sign() * self.law.slope((self.centre - bound) / self.se);
        log_mean_exp(deltas.iter().map(|delta| ratio(&self.law, slope, delta * self.root_h)))
    }

    /// Exact evidence for a test and for its opposite, with the verdicts' mixture.
    #[must_use]
    pub fn evidence(&self, test: &Test) -> Evidence {
        Evidence {
            holds: self.log_e(test.bound, test.side, &DELTAS),
            broken: self.log_e(test.bound, test.side.opposite(), &DELTAS),
        }
    }
}

/// The largest log e over the looks so far: exactly what all-exact looks would give.
///
/// Laplace's value tells the looks that cannot raise the maximum; the others are computed exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunningMax(f64);

impl Default for RunningMax {
    fn default() -> Self {
        Self(f64::NEG_INFINITY)
    }
}

impl RunningMax {
    /// Takes a look at "on this `side` of `bound`", with the verdicts' mixture.
    pub fn take(&mut self, look: &Look, bound: f64, side: Side) {
        let hopeless = look.df >= SCREEN_MIN_DF
            && look.log_e_laplace(bound, side, &DELTAS) <= self.0 - SCREEN_MARGIN;
        if !hopeless {
            self.raise(look.log_e(bound, side, &DELTAS));
        }
    }

    /// Takes a log e that was computed elsewhere.
    pub fn raise(&mut self, log_e: f64) {
        self.0 = self.0.max(log_e);
    }

    /// The maximum; `None` before the first look.
    #[must_use]
    pub fn log_e(self) -> Option<f64> {
        (self.0 > f64::NEG_INFINITY).then_some(self.0)
    }
}

/// Running maxima of a test and of its opposite.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RunningEvidence {
    /// That the test holds.
    pub holds: RunningMax,
    /// That its opposite does.
    pub broken: RunningMax,
}

impl RunningEvidence {
    /// Takes a look at the estimate that `test` is about.
    pub fn take(&mut self, look: &Look, test: &Test) {
        self.holds.take(look, test.bound, test.side);
        self.broken.take(look, test.bound, test.side.opposite());
    }

    /// Both maxima; `None` before the first look.
    #[must_use]
    pub fn evidence(&self) -> Option<Evidence> {
        Some(Evidence { holds: self.holds.log_e()?, broken: self.broken.log_e()? })
    }
}

/// log of the mean of exponentials; −∞ of none.
pub(super) fn log_mean_exp(logs: impl Iterator<Item = f64>) -> f64 {
    let (mut largest, mut sum, mut n) = (f64::NEG_INFINITY, 0.0_f64, 0.0_f64);
    for log in logs {
        n += 1.0;
        if log > largest {
            sum = sum * (largest - log).exp() + 1.0;
            largest = log;
        } else {
            sum += (log - largest).exp();
        }
    }
    largest + (sum / n.max(1.0)).ln()
}
