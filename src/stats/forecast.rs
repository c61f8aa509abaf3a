//! How many shots are still needed: a plan, not a promise.

use super::blocked::Estimate;
use super::measure::{Prior, Side, Test};
use super::nct::NoncentralT;
use super::safe_t::{DELTAS, log_mean_exp, proof};

/// Forecasts stop here: "more than 500".
pub const MAX_FURTHER: u32 = 500;
/// Shots a club in a session to come, unless told otherwise.
pub const SHOTS_PER_SESSION: u32 = 15;

/// What a forecast assumes of the sessions to come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// Prior of the quantity, `None` for a flat one: see
    /// [`Quantity::forecast_prior`](super::Quantity::forecast_prior).
    pub prior: Option<Prior>,
    /// The sd of the run effect (one club's, or the day's for a mean) as a share of the estimate's `s`.
    pub run_ratio: f64,
    /// Shots of each club in a session; 0 is taken as 1.
    pub shots_per_session: u32,
}

impl Forecast {
    /// Further shots of each club until `test` is expected to be proven.
    ///
    /// Future shots are assumed to average the estimate shrunk to the prior (an early mean is mostly noise, and a
    /// club is tried because it is thought near), with s unchanged. 0 where `running_log_e` proves it already;
    /// `None` where the shrunk estimate lies on the wrong side, or beyond [`MAX_FURTHER`].
    #[must_use]
    pub fn further_shots(
        &self,
        estimate: &Estimate,
        test: &Test,
        running_log_e: f64,
    ) -> Option<u32> {
        self.further_shots_at(0.0, estimate, (test, running_log_e))
    }

    /// The same where future shots average something else: so many sds of what is believed away from the shrunk
    /// estimate.
    #[must_use]
    pub fn further_shots_at(
        &self,
        sds_away: f64,
        estimate: &Estimate,
        (test, running_log_e): (&Test, f64),
    ) -> Option<u32> {
        if running_log_e >= proof() {
            return Some(0);
        }
        let (mean, sd) = self.believed(estimate);
        let future = mean + sds_away * sd;
        let above = test.side.sign() * (future - test.bound);
        // What is no number lies on no side.
        if above.is_nan() || above <= 0.0 {
            return None;
        }
        let plan = Projection::new(self, estimate, future);
        let proven = |shots| plan.log_e(shots, test.bound, test.side) >= proof();
        let (mut short, mut enough) = (0, 1);
        while !proven(enough) {
            (short, enough) = (enough, enough * 2);
            if short >= MAX_FURTHER {
                return None;
            }
        }
        while enough - short > 1 {
            let middle = u32::midpoint(short, enough);
            if proven(middle) {
                enough = middle;
            } else {
                short = middle;
            }
        }
        (enough <= MAX_FURTHER).then_some(enough)
    }

    /// Mean and sd of what is believed of the true value: the estimate shrunk to the prior.
    fn believed(&self, estimate: &Estimate) -> (f64, f64) {
        let Some(prior) = self.prior else { return (estimate.centre, estimate.se) };
        let data = 1.0 / (estimate.se * estimate.se);
        let belief = 1.0 / (prior.sd * prior.sd);
        let mean = (estimate.centre * data + prior.mean * belief) / (data + belief);
        (mean, 1.0 / (data + belief).sqrt())
    }
}

/// An estimate continued into sessions to come.
struct Projection<'a> {
    now: &'a Estimate,
    future: f64,
    clubs: f64,
    /// Variance of the run effect of one session's value, in shot variances.
    run_variance_ratio: f64,
    shots_per_session: u32,
}

impl<'a> Projection<'a> {
    fn new(forecast: &Forecast, now: &'a Estimate, future: f64) -> Self {
        let clubs = f64::from(now.shots.clubs());
        Self {
            now,
            future,
            clubs,
            run_variance_ratio: clubs * forecast.run_ratio * forecast.run_ratio,
            shots_per_session: forecast.shots_per_session.max(1),
        }
    }

    /// The effective shots that a session of `shots` a club adds.
    fn session_h(&self, shots: u32) -> f64 {
        if shots == 0 {
            0.0
        } else {
            1.0 / (self.clubs / f64::from(shots) + self.run_variance_ratio)
        }
    }

    /// The log e expected after `shots` more of each club.
    fn log_e(&self, shots: u32, bound: f64, side: Side) -> f64 {
        let (full, rest) = (shots / self.shots_per_session, shots % self.shots_per_session);
        let added = f64::from(full) * self.session_h(self.shots_per_session) + self.session_h(rest);
        let h = self.now.h + added;
        let centre = (self.now.h * self.now.centre + added * self.future) / h;
        let df =
            self.now.df + self.clubs * f64::from(shots) - f64::from(full + u32::from(rest > 0));
        let law = NoncentralT::new(df);
        let slope = law.slope(side.sign() * (centre - bound) * h.sqrt() / self.now.s);
        log_mean_exp(DELTAS.iter().map(|delta| law.exact(slope, delta * h.sqrt())))
    }
}
