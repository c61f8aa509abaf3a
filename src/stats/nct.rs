//! The likelihood ratio of the noncentral against the central t, exact and by Laplace's method.
//!
//! The noncentral t is a mixture over its chi, so that with c = df + 1 and a = ncp·t/√(df + t²) the ratio is
//! exp(−ncp²/2)·I(a)/I(0), I(a) the integral of yᶜ⁻¹·exp(−y²/2 + a·y) over y > 0. Substituting y = m·eᵛ around the
//! mode m, which solves m² − a·m = c, nothing large cancels:
//!
//! ```text
//! log ratio = −ncp²/2 + c·θ + a·m/2 + log(S(a)/S(0))      θ = asinh(a/(2√c)),  m = √c·exp(θ)
//! S(a) = ∫ exp(−c·(eᵛ − 1 − v) − m²·(eᵛ − 1)²/2) dv       over the real line
//! ```
//!
//! S(0) has a closed form in the gamma function whose large parts cancel on paper: Stirling's remainder is left.

use std::f64::consts::{LN_2, TAU};

use super::insufficient::Insufficient;

/// log[f(t; df, ncp)/f(t; df, 0)] of Student's t, to 11 digits; any real df > 0, t and ncp.
///
/// # Errors
/// [`Insufficient::NotFinite`] where an argument is not finite or df is not positive.
pub fn nct_log_ratio(t: f64, df: f64, ncp: f64) -> Result<f64, Insufficient> {
    let law = checked(t, df, ncp)?;
    Ok(law.exact(law.slope(t), ncp))
}

/// The same by Laplace's method of second order: error 1e-3 at df 5, 4.4e-4 at 8, about 0.03/df² beyond.
///
/// # Errors
/// As [`nct_log_ratio`].
pub fn nct_log_ratio_laplace(t: f64, df: f64, ncp: f64) -> Result<f64, Insufficient> {
    let law = checked(t, df, ncp)?;
    Ok(law.laplace(law.slope(t), ncp))
}

fn checked(t: f64, df: f64, ncp: f64) -> Result<NoncentralT, Insufficient> {
    if t.is_finite() && df.is_finite() && ncp.is_finite() && df > 0.0 {
        Ok(NoncentralT::new(df))
    } else {
        Err(Insufficient::NotFinite)
    }
}

/// What all ratios of one df share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct NoncentralT {
    root_df: f64,
    c: f64,
    root_c: f64,
    log_s0: f64,
    laplace_s0: f64,
}

impl NoncentralT {
    /// `df` must be positive and finite.
    pub(super) fn new(df: f64) -> Self {
        let c = df + 1.0;
        let log_s0 = 0.5 * (2.0 * TAU / c).ln() - LN_2 + stirling_remainder(0.5 * c);
        Self {
            root_df: df.sqrt(),
            c,
            root_c: c.sqrt(),
            log_s0,
            laplace_s0: laplace_log_integral(c, c),
        }
    }

    /// u = t/√(df + t²), in [−1, 1].
    pub(super) fn slope(&self, t: f64) -> f64 {
        if t.is_infinite() { t.signum() } else { t / self.root_df.hypot(t) }
    }

    /// The t of a slope; infinite at 1.
    pub(super) fn t_of_slope(&self, slope: f64) -> f64 {
        slope * self.root_df / ((1.0 - slope) * (1.0 + slope)).sqrt()
    }

    /// The exact log ratio at a slope, which may be ±1 (t infinite).
    pub(super) fn exact(&self, slope: f64, ncp: f64) -> f64 {
        let (at_mode, mode_squared) = self.at_mode(slope, ncp);
        at_mode + mode_integral(self.c, mode_squared).ln() - self.log_s0
    }

    /// Laplace's value of [`NoncentralT::exact`].
    pub(super) fn laplace(&self, slope: f64, ncp: f64) -> f64 {
        let (at_mode, mode_squared) = self.at_mode(slope, ncp);
        at_mode + laplace_log_integral(self.c, mode_squared) - self.laplace_s0
    }

    /// The log ratio of the integrands at their modes, and m².
    fn at_mode(&self, slope: f64, ncp: f64) -> (f64, f64) {
        let a = ncp * slope;
        let x = 0.5 * a / self.root_c;
        let root = (1.0 + x * x).sqrt();
        // asinh without cancellation on either side of zero.
        let theta = (x.abs() + x * x / (1.0 + root)).ln_1p().copysign(x);
        let mode = self.root_c * if x < 0.0 { 1.0 / (root - x) } else { root + x };
        (0.5 * (a * mode - ncp * ncp) + self.c * theta, mode * mode)
    }
}

/// S(a), given m².
fn mode_integral(c: f64, mode_squared: f64) -> f64 {
    let width = 1.0 / (mode_squared + c).sqrt();
    trapezium(c, mode_squared, (WIDTHS_A_STEP * width).min(LONGEST_STEP))
}

// The rule's error falls like exp(−2π·d/step) for an integrand that is analytic and decays within d of the real
// line (Trefethen and Weideman 2014); d is about π/4 here, from the square of eᵛ. Both steps are measured: the
// error is lost in rounding from df 0.01 on.
/// Step of the trapezium rule in widths of the mode.
const WIDTHS_A_STEP: f64 = 0.4;
/// Its longest step, for the wide modes of few degrees of freedom.
const LONGEST_STEP: f64 = 0.08;
/// Where a term of the sum is lost beside 1: e⁻⁴⁵.
const NEGLIGIBLE: f64 = 45.0;

/// The trapezium rule over both flanks of the mode, which converges exponentially for such an integrand.
///
/// With p = eᵛ − 1 both terms of the exponent are positive, and p follows from its neighbour by products and sums
/// of one sign, so that a point costs one exponential and no digits.
fn trapezium(c: f64, mode_squared: f64, step: f64) -> f64 {
    let flank = |step: f64| {
        let first = step.exp_m1();
        let (mut v, mut p, mut total) = (0.0, 0.0, 0.0);
        // The exponent grows at least linearly in the number of steps; the cap is far beyond its reach.
        for _ in 0..4000 {
            p += first * (1.0 + p);
            v += step;
            let exponent = c * (p - v) + 0.5 * mode_squared * p * p;
            if exponent > NEGLIGIBLE {
                break;
            }
            total += (-exponent).exp();
        }
        total
    };
    (1.0 + flank(step) + flank(-step)) * step
}

/// Laplace's log S of second order, up to a constant that cancels in a ratio.
fn laplace_log_integral(c: f64, mode_squared: f64) -> f64 {
    // Second, third and fourth derivative of the exponent at the mode: k2, 3m² + c, 7m² + c.
    let k2 = mode_squared + c;
    let inverse = 1.0 / k2;
    let k3 = 3.0 * mode_squared + c;
    let k4 = 7.0 * mode_squared + c;
    -0.5 * k2.ln() - 0.125 * k4 * inverse * inverse
        + (5.0 / 24.0) * k3 * k3 * inverse * inverse * inverse
}

/// log Γ(x) − (x − ½)·log x + x − ½·log 2π: what Stirling's formula leaves out.
///
/// Its asymptotic series (Abramowitz and Stegun 6.1.40) from 10 on, reached by the recurrence of Γ.
fn stirling_remainder(x: f64) -> f64 {
    let (mut x, mut sum) = (x, 0.0);
    while x < 10.0 {
        sum += (x + 0.5) * (1.0 / x).ln_1p() - 1.0;
        x += 1.0;
    }
    let inverse = 1.0 / x;
    let square = inverse * inverse;
    let terms = [
        1.0 / 12.0,
        -1.0 / 360.0,
        1.0 / 1260.0,
        -1.0 / 1680.0,
        1.0 / 1188.0,
        -691.0 / 360_360.0,
        1.0 / 156.0,
    ];
    sum + inverse * terms.iter().rev().fold(0.0, |series, term| series * square + term)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_closed_form_of_s0_is_its_integral() {
        for df in [0.3, 1.0, 2.5, 7.0, 19.0, 60.0, 400.0, 1e6] {
            let law = NoncentralT::new(df);
            let quadrature = mode_integral(law.c, law.c).ln();
            assert!(
                (law.log_s0 - quadrature).abs() < 3e-13,
                "df {df}: {} {quadrature}",
                law.log_s0
            );
        }
    }

    #[test]
    fn a_finer_step_changes_nothing() {
        for c in [1.01, 1.5, 2.0, 4.0, 9.0, 30.0, 400.0, 1e6] {
            for mode_over_root_c in [0.01, 0.2, 0.7, 1.0, 1.5, 4.0, 30.0] {
                let mode_squared = c * mode_over_root_c * mode_over_root_c;
                let fine = trapezium(c, mode_squared, 0.05 / (mode_squared + c).sqrt());
                let change = (mode_integral(c, mode_squared) / fine - 1.0).abs();
                assert!(
                    change < 1e-13 + 3e-16 * c.sqrt(),
                    "c {c} m/√c {mode_over_root_c}: {change:e}"
                );
            }
        }
    }

    #[test]
    fn laplace_errs_no_more_than_the_screen_of_running_maxima_allows() {
        for df in [8.0, 9.3, 14.0, 40.0, 200.0] {
            let law = NoncentralT::new(df);
            for ncp in [0.1, 0.7, 2.0, 5.0, 12.0, 30.0] {
                for step in -20..=20 {
                    let slope = f64::from(step) / 20.0;
                    let error = (law.laplace(slope, ncp) - law.exact(slope, ncp)).abs();
                    assert!(error < 4.6e-4, "df {df} ncp {ncp} slope {slope}: {error}");
                }
            }
        }
    }

    #[test]
    fn a_slope_and_its_t_are_inverse() {
        let law = NoncentralT::new(12.5);
        for t in [-30.0, -0.2, 0.0, 1.0, 9.0] {
            assert!((law.t_of_slope(law.slope(t)) - t).abs() < 1e-12);
        }
    }
}
