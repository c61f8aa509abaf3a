//! The conditions that shots are flown in, checked once for many of them.

use super::aerodynamics::{Aerodynamics, Model, ScalesOf};
use super::air::{Air, Weather};
use super::ball::{AREA_M2, DIAMETER_M, MASS_KG, RADIUS_M, SPIN_DECAY};
use super::bounds::{Faults, OutOfRange};
use super::wind::Wind;

/// Air, wind and aerodynamics. The default is the reference air, still, with the default model.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conditions {
    /// The air at the tee.
    pub weather: Weather,
    /// The wind.
    pub wind: Wind,
    /// The ball's lift and drag.
    pub aerodynamics: Aerodynamics,
}

impl Conditions {
    /// Every number outside its range, in the order of the members.
    pub fn faults(&self) -> impl Iterator<Item = OutOfRange> {
        let Self { weather, wind, aerodynamics } = self;
        weather.faults().chain(wind.faults()).chain(aerodynamics.scales.faults())
    }
}

/// Checked conditions, in the form that the equations need.
#[derive(Clone, Copy, Debug)]
pub struct Scene {
    air: Air,
    pub(super) model: Model,
    /// Wind for each unit of the log law, m/s; `None` in still air.
    pub(super) wind: Option<[f64; 2]>,
    pub(super) scales: ScalesOf<f64>,
    /// Air force over mass for each (m/s)² and unit of a coefficient, 1/m.
    pub(super) force_per_mass: f64,
    /// Reynolds number for each m/s.
    pub(super) reynolds_per_mps: f64,
    /// Share of the spin lost for each metre of way through the air.
    pub(super) decay_per_m: f64,
}

impl Scene {
    /// Checks the conditions.
    ///
    /// # Errors
    /// Every number outside its range.
    pub fn new(conditions: &Conditions) -> Result<Self, Faults> {
        Faults::none_of(conditions.faults())?;
        let air = Air::new(&conditions.weather)?;
        let Aerodynamics { model, scales } = conditions.aerodynamics;
        let airless = model == Model::Vacuum;
        let in_air = |value: f64| if airless { 0.0 } else { value };
        Ok(Self {
            air,
            model,
            wind: conditions.wind.growth().filter(|_| !airless),
            scales: ScalesOf::one(scales),
            force_per_mass: in_air(0.5 * air.density_kgpm3 * AREA_M2 / MASS_KG),
            reynolds_per_mps: DIAMETER_M * air.density_kgpm3 / air.viscosity_pas,
            decay_per_m: in_air(SPIN_DECAY / RADIUS_M),
        })
    }

    /// The air at the tee.
    #[must_use]
    pub const fn air(&self) -> &Air {
        &self.air
    }
}
