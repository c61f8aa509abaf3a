//! Three factors on a model, fitted to a club's or a ball's own shots.

use super::observed::Observed;
use super::solve::{Normal, Shared};
use crate::flight::aerodynamics::Scales;
use crate::flight::landed::{Flight, StillFlying};
use crate::flight::lanes::fly_all;
use crate::flight::launch::Trajectory;

/// Shots with a tracked carry below which nothing is fitted. Assumption.
pub const LEAST_SHOTS: usize = 10;

/// What may be believed of the factors before any shot: 1, give or take this (one standard
/// deviation each of drag, lift and spin-drag). Assumption, from how far balls and models differ.
const PRIOR_SD: [f64; 3] = [0.06, 0.1, 0.25];
/// Huber's tuning constant: 95 % efficiency on normal data (Huber 1964; the figure from memory).
const HUBER_K: f64 = 1.345;
/// Steps of Gauss and Newton; from the prior four are enough.
const MOST_STEPS: u32 = 8;
/// A change of the factors below this ends them: worth a few centimetres of carry.
const SETTLED: f64 = 2e-4;
/// Change of a factor by which slopes are taken.
const PROBE: f64 = 0.01;
/// A fit that gains less on unseen shots gains nothing, m: many flights at once are good to that.
const LEAST_GAIN_M: f64 = 0.05;
/// Parts that the shots are cut into for the check on shots that a fit has not seen: one after the other, so
/// that a visit is not on both sides.
const FOLDS: usize = 4;

/// How a calibration stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// Nothing was to be fitted: the model as it is.
    NotAsked,
    /// Fitted, and better on shots that the fit had not seen.
    Fitted,
    /// Fewer than [`LEAST_SHOTS`] tracked carries: the model as it is.
    TooFewShots,
    /// The fit was no better on shots that it had not seen: the model as it is.
    NoBetter,
}

/// Factors on a model, and what they are worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// The factors; [`Scales::NONE`] unless fitted.
    pub scales: Scales,
    /// How it stands.
    pub fit: Fit,
    /// Shots with a tracked carry.
    pub shots: usize,
    /// Mean size of the carry's error of the model as it is, m; `None` with too few shots.
    pub plain_error_m: Option<f64>,
    /// The same of fitted factors on shots that the fit had not seen, m; `None` with too few shots.
    pub fitted_error_m: Option<f64>,
}

impl Calibration {
    /// The model as it is, no shot looked at.
    pub const NONE: Self = Self {
        scales: Scales::NONE,
        fit: Fit::NotAsked,
        shots: 0,
        plain_error_m: None,
        fitted_error_m: None,
    };
}

/// Fits factors to shots of one player and one club or ball, all flown with the model to be fitted;
/// those without a tracked carry are left out. By Gauss and Newton, with a prior at 1 and Huber's
/// weights.
#[must_use]
pub fn calibrate<'s>(shots: &'s [Observed]) -> Calibration {
    let shots: Vec<&'s Observed> =
        shots.iter().filter(|shot| shot.tracked.carry_m.is_some()).collect();
    let plain = Calibration { fit: Fit::TooFewShots, shots: shots.len(), ..Calibration::NONE };
    if shots.len() < LEAST_SHOTS {
        return plain;
    }
    let fold = |kept: usize| {
        let (unseen, seen): (Vec<_>, Vec<_>) =
            shots.iter().enumerate().partition(|(at, _)| at * FOLDS / shots.len() == kept);
        let of = |part: Vec<(usize, &&'s Observed)>| -> Vec<&'s Observed> {
            part.into_iter().map(|(_, shot)| *shot).collect()
        };
        carry_errors_m(&of(unseen), fitted(&of(seen)))
    };
    let fitted_error_m = mean((0..FOLDS).flat_map(fold));
    let plain_error_m = mean(carry_errors_m(&shots, Scales::NONE).into_iter());
    let better = fitted_error_m < plain_error_m - LEAST_GAIN_M;
    Calibration {
        scales: if better { fitted(&shots) } else { Scales::NONE },
        fit: if better { Fit::Fitted } else { Fit::NoBetter },
        plain_error_m: Some(plain_error_m),
        fitted_error_m: Some(fitted_error_m),
        ..plain
    }
}

/// The factors that explain the shots best.
fn fitted(shots: &[&Observed]) -> Scales {
    let mut factors = [1.0; 3];
    for _ in 0..MOST_STEPS {
        let step = equations(shots, factors).step();
        let before = factors;
        for (factor, step) in factors.iter_mut().zip(step) {
            *factor += step;
        }
        factors = within(factors);
        if factors.iter().zip(before).all(|(now, before)| (now - before).abs() < SETTLED) {
            break;
        }
    }
    scales(factors)
}

/// The linear equations around some factors: the prior's and each shot's.
fn equations(shots: &[&Observed], factors: [f64; 3]) -> Normal {
    let mut normal = Normal::default();
    for (unknown, (factor, sd)) in factors.iter().zip(PRIOR_SD).enumerate() {
        let mut slopes = [0.0; 3];
        slopes[unknown] = 1.0;
        normal.add(1.0 / (sd * sd), 1.0 - factor, slopes);
    }
    let here = residuals(shots, factors);
    let probes = std::array::from_fn::<_, 3, _>(|unknown| {
        let mut probe = factors;
        probe[unknown] += PROBE;
        residuals(shots, probe)
    });
    let mut shared = [Shared::default(); 4];
    for (at, here) in here.into_iter().enumerate() {
        let probes = probes.each_ref().map(|probe| probe[at]);
        for (quantity, residual) in here.into_iter().enumerate() {
            let Some(residual) = residual else { continue };
            let slopes =
                probes.map(|probe| probe[quantity].map_or(0.0, |there| (residual - there) / PROBE));
            let weight = (HUBER_K / residual.abs()).min(1.0);
            normal.add(weight, residual, slopes);
            shared[quantity].add(weight, residual, slopes);
        }
    }
    // A device or the model is as much off in all shots alike as in one: many shots do not teach that
    // a flight's parts contradict each other.
    for quantity in &shared {
        normal.share_a_fault(quantity);
    }
    normal
}

/// All shots flown with some factors.
fn flown(shots: &[&Observed], scales: Scales) -> Vec<Result<Flight, StillFlying>> {
    let scaled: Vec<Trajectory> = shots.iter().map(|shot| shot.trajectory.with(scales)).collect();
    fly_all(&scaled)
}

/// Those of each shot; nothing of one that does not land.
fn residuals(shots: &[&Observed], factors: [f64; 3]) -> Vec<[Option<f64>; 4]> {
    let all = flown(shots, scales(factors)).into_iter().zip(shots);
    all.map(|(flown, shot)| flown.map_or([None; 4], |flown| shot.tracked.residuals(&flown)))
        .collect()
}

/// Sizes of the carry's errors with some factors, m; 0 for a shot without one.
fn carry_errors_m(shots: &[&Observed], scales: Scales) -> Vec<f64> {
    let error = |(flown, shot): (Result<Flight, StillFlying>, &&Observed)| match (
        shot.tracked.carry_m,
        flown,
    ) {
        (Some(carry), Ok(flown)) => (carry - flown.carry_m).abs(),
        _ => 0.0,
    };
    flown(shots, scales).into_iter().zip(shots).map(error).collect()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0.0, 0.0), |(count, sum), value| (count + 1.0, sum + value));
    sum / count
}

fn scales([drag, lift, spin_drag]: [f64; 3]) -> Scales {
    Scales { drag, lift, spin_drag }
}

fn within(factors: [f64; 3]) -> [f64; 3] {
    let bounds = [Scales::DRAG, Scales::LIFT, Scales::SPIN_DRAG];
    std::array::from_fn(|at| factors[at].clamp(bounds[at].low, bounds[at].high))
}
