//! Air: its density, viscosity and speed of sound from what a weather station tells.

use super::atmosphere::{standard_pressure_hpa, station_pressure_hpa};
use super::bounds::{Bound, Faults, OutOfRange};

const TEMPERATURE: Bound = Bound::new("temperature_c", -40.0, 60.0);
const PRESSURE: Bound = Bound::new("pressure_hpa", 400.0, 1_100.0);
const SEA_LEVEL_PRESSURE: Bound = Bound::new("sea_level_pressure_hpa", 400.0, 1_100.0);
const ALTITUDE: Bound = Bound::new("altitude_m", -500.0, 6_000.0);
const HUMIDITY: Bound = Bound::new("humidity_pct", 0.0, 100.0);

/// How the pressure at the tee is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pressure {
    /// Measured at the place, hPa.
    Station(f64),
    /// Reduced to sea level, as weather services give it, with the altitude to take it back to.
    SeaLevel {
        /// hPa.
        hpa: f64,
        /// Altitude of the place, m.
        altitude_m: f64,
    },
    /// Not known: the standard atmosphere's at this altitude, m.
    Standard(f64),
}

/// What is known of the air at the tee. It stays the same over the whole flight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// Temperature, °C, −40 to 60.
    pub temperature_c: f64,
    /// Pressure, 400 to 1,100 hPa, or an altitude from −500 to 6,000 m.
    pub pressure: Pressure,
    /// Relative humidity, 0 to 100 %.
    pub humidity_pct: f64,
}

impl Weather {
    /// The air that flights are compared in: 20 °C, 1,013.25 hPa, 50 %.
    pub const REFERENCE: Self =
        Self { temperature_c: 20.0, pressure: Pressure::Standard(0.0), humidity_pct: 50.0 };

    pub(super) fn faults(&self) -> impl Iterator<Item = OutOfRange> {
        let pressure = match self.pressure {
            Pressure::Station(hpa) => [PRESSURE.fault(hpa), None],
            Pressure::SeaLevel { hpa, altitude_m } => {
                [SEA_LEVEL_PRESSURE.fault(hpa), ALTITUDE.fault(altitude_m)]
            }
            Pressure::Standard(altitude_m) => [ALTITUDE.fault(altitude_m), None],
        };
        let temperature = TEMPERATURE.fault(self.temperature_c);
        let humidity = HUMIDITY.fault(self.humidity_pct);
        [temperature].into_iter().chain(pressure).chain([humidity]).flatten()
    }
}

impl Default for Weather {
    fn default() -> Self {
        Self::REFERENCE
    }
}

/// The air at the tee.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Pressure at the place, hPa.
    pub pressure_hpa: f64,
    /// Density, kg/m³.
    pub density_kgpm3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pas: f64,
    /// Speed of sound, m/s.
    pub speed_of_sound_mps: f64,
}

impl Air {
    /// The air that the weather makes.
    ///
    /// # Errors
    /// Every number outside its range.
    pub fn new(weather: &Weather) -> Result<Self, Faults> {
        Faults::none_of(weather.faults())?;
        let pressure_hpa = match weather.pressure {
            Pressure::Station(hpa) => hpa,
            Pressure::SeaLevel { hpa, altitude_m } => station_pressure_hpa(hpa, altitude_m),
            Pressure::Standard(altitude_m) => standard_pressure_hpa(altitude_m),
        };
        let (t, p) = (weather.temperature_c, 100.0 * pressure_hpa);
        let vapour = vapour_share(t, p, weather.humidity_pct / 100.0);
        Ok(Self {
            pressure_hpa,
            density_kgpm3: density(t, p, vapour),
            viscosity_pas: viscosity(t),
            speed_of_sound_mps: speed_of_sound(t, p, vapour),
        })
    }
}

/// 0 °C in kelvins.
const ZERO_C_K: f64 = 273.15;

/// Saturation pressure of water vapour at a temperature in °C, Pa. CIPM-2007 (Picard, Davis,
/// Gläser, Fujii, Metrologia 45, 2008, A.1.1).
fn saturation_pressure(t: f64) -> f64 {
    let k = t + ZERO_C_K;
    (1.237_884_7e-5 * k * k - 1.912_131_6e-2 * k + 33.937_110_47 - 6.343_164_5e3 / k).exp()
}

/// Mole share of water vapour. CIPM-2007, A.1.2.
fn vapour_share(t: f64, p: f64, humidity: f64) -> f64 {
    let enhancement = 1.000_62 + 3.14e-8 * p + 5.6e-7 * t * t;
    humidity * enhancement * saturation_pressure(t) / p
}

/// Density of moist air, kg/m³, at °C, Pa and a mole share of vapour. CIPM-2007, equation 1, with
/// 400 ppm of carbon dioxide.
fn density(t: f64, p: f64, vapour: f64) -> f64 {
    let (per_k, v) = (p / (t + ZERO_C_K), vapour);
    let first = 1.581_23e-6 - 2.933_1e-8 * t
        + 1.104_3e-10 * t * t
        + (5.707e-6 - 2.051e-8 * t) * v
        + (1.989_8e-4 - 2.376e-6 * t) * v * v;
    let compressibility = 1.0 - per_k * first + per_k * per_k * (1.83e-11 - 0.765e-8 * v * v);
    let (gas, dry, water) = (8.314_472, 28.965_46e-3, 18.015_28e-3);
    per_k * dry / (compressibility * gas) * (1.0 - v * (1.0 - water / dry))
}

/// Dynamic viscosity, Pa s. Sutherland's law with the constants of the US Standard Atmosphere 1976;
/// humidity is left out.
fn viscosity(t: f64) -> f64 {
    let k = t + ZERO_C_K;
    1.458e-6 * k * k.sqrt() / (k + 110.4)
}

/// Speed of sound in moist air, m/s, at °C, Pa and a mole share of vapour. Cramer, J. Acoust. Soc.
/// Am. 93, 1993, equation 15, with 400 ppm of carbon dioxide; made for 0 to 30 °C and 750 to
/// 1,020 hPa, and within 0.1 % of an ideal gas over all of this room's ranges below 40 °C.
fn speed_of_sound(t: f64, p: f64, vapour: f64) -> f64 {
    let (v, c) = (vapour, 400e-6);
    331.502_4 + 0.603_055 * t - 0.000_528 * t * t
        + (51.471_935 + 0.149_587_4 * t - 0.000_782 * t * t) * v
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t * t) * p
        + (-85.209_31 - 0.228_525 * t + 5.91e-5 * t * t) * c
        - 2.835_149 * v * v
        - 2.15e-13 * p * p
        + 29.179_762 * c * c
        + 0.000_486 * v * p * c
}
