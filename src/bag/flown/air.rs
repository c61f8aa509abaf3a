//! The air that balls are flown in, as answers tell it.

use serde::Serialize;
use utoipa::ToSchema;

use crate::flight::{Conditions, Pressure, Scene, Wind};

/// The air that balls are flown in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct AirFlown {
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Pressure on the spot, hPa.
    pub pressure_hpa: f64,
    /// How that is known.
    pub pressure_origin: PressureOrigin,
    /// Relative humidity, per cent.
    pub humidity_pct: f64,
    /// Density, kg/m³.
    pub density_kgpm3: f64,
}

/// How a pressure is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PressureOrigin {
    /// Measured on the spot.
    Station,
    /// Brought back from sea level to the altitude.
    SeaLevel,
    /// The standard atmosphere's at the altitude, that of the sea unless one was given.
    Altitude,
}

/// The wind that balls are flown in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WindFlown {
    /// Speed at its height, m/s.
    pub speed_mps: f64,
    /// Where it comes from against the target line, degrees: 0 into the face, 90 from the right.
    pub from_deg: f64,
    /// The height above ground of that speed, m.
    pub height_m: f64,
}

impl AirFlown {
    /// The air of some conditions, as their scene has it.
    #[must_use]
    pub fn of(conditions: &Conditions, scene: &Scene) -> Self {
        let weather = &conditions.weather;
        Self {
            temperature_c: weather.temperature_c,
            pressure_hpa: scene.air().pressure_hpa,
            pressure_origin: match weather.pressure {
                Pressure::Station(_) => PressureOrigin::Station,
                Pressure::SeaLevel { .. } => PressureOrigin::SeaLevel,
                Pressure::Standard(_) => PressureOrigin::Altitude,
            },
            humidity_pct: weather.humidity_pct,
            density_kgpm3: scene.air().density_kgpm3,
        }
    }
}

impl WindFlown {
    /// A wind.
    #[must_use]
    pub const fn of(wind: &Wind) -> Self {
        Self { speed_mps: wind.speed_mps, from_deg: wind.from_deg, height_m: wind.height_m }
    }
}
