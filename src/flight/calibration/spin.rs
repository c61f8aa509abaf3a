//! A spin that was not measured, from what was tracked of the flight.

use super::observed::Observed;
use crate::flight::lanes::fly_all;
use crate::flight::launch::Trajectory;

/// The spins that are tried, rpm: what the trade calls usual, in even steps.
const LEAST_RPM: f64 = 300.0;
const STEP_RPM: f64 = 50.0;
const SPINS: u16 = 275;

/// How many times a device's error a flown shot is off, the model's own error included: the default
/// model was off by 2.1 yd of carry, 1.0 yd of apex and 1.5° of descent (rms) over the bag that it was
/// fitted to.
const MODEL_DOUBT: f64 = 2.0;

/// A spin that would explain a flight, and how far it might be off. Never a measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpinEstimate {
    /// The one that explains it best, rpm.
    pub spin_rate_rpm: f64,
    /// With a chance of 95 % it is not below, rpm.
    pub low_rpm: f64,
    /// With a chance of 95 % it is not above, rpm.
    pub high_rpm: f64,
}

/// The spin of a launch whose own spin is not known (it is not looked at), from what was tracked of its
/// flight; `None` where nothing was. All usual spins are held for equally likely beforehand. Carry
/// alone often fits a low and a high spin: then the interval holds both.
#[must_use]
pub fn missing_spin(shot: &Observed) -> Option<SpinEstimate> {
    let spins: Vec<f64> = (0..SPINS).map(|at| LEAST_RPM + STEP_RPM * f64::from(at)).collect();
    let tried: Vec<Trajectory> =
        spins.iter().map(|&spin| shot.trajectory.with_spin(spin)).collect();
    let misfits: Vec<Option<f64>> = fly_all(&tried)
        .iter()
        .map(|flown| {
            let residuals = shot.tracked.residuals(flown.as_ref().ok()?);
            let squares =
                residuals.iter().flatten().map(|residual| (residual / MODEL_DOUBT).powi(2));
            squares.reduce(|sum, square| sum + square)
        })
        .collect();
    let least = misfits.iter().flatten().copied().reduce(f64::min)?;
    let chances: Vec<f64> = misfits
        .iter()
        .map(|misfit| misfit.map_or(0.0, |misfit| (0.5 * (least - misfit)).exp()))
        .collect();
    let whole: f64 = chances.iter().sum();
    let quantile = |share: f64| {
        let mut left = share * whole;
        for (spin, chance) in spins.iter().zip(&chances) {
            if left <= *chance {
                // Each spin stands for the step around it.
                return spin + STEP_RPM * (left / chance - 0.5);
            }
            left -= chance;
        }
        LEAST_RPM + STEP_RPM * f64::from(SPINS - 1)
    };
    let best = misfits.iter().position(|misfit| *misfit == Some(least))?;
    let spin_rate_rpm = spins[best];
    let (low_rpm, high_rpm) =
        (quantile(0.05).min(spin_rate_rpm), quantile(0.95).max(spin_rate_rpm));
    Some(SpinEstimate { spin_rate_rpm, low_rpm, high_rpm })
}
