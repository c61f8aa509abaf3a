//! The flight room against flights computed elsewhere (`../data/flight/README.md`), against published
//! facts, each with its source, and against what its equations promise.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod calibration;
mod case;
mod lanes;
mod missing_spin;
mod properties;
mod published;
mod reference;
mod refusals;
mod replacement;
