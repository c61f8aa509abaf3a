//! What a player's own measured shots say: about the ball's drag and lift, and about a spin that was
//! not measured.
//!
//! [`calibrate`] fits three factors on a model to what was tracked of a club's or a ball's shots;
//! [`missing_spin`] finds the spins that explain what was tracked of one. Neither is ever a
//! measurement.

mod fit;
mod observed;
mod solve;
mod spin;

pub use fit::{Calibration, Fit, LEAST_SHOTS, calibrate};
pub use observed::{Observed, Tracked};
pub use spin::{SpinEstimate, missing_spin};
