//! Wind over short grass.

use super::bounds::{Bound, OutOfRange};

/// Aerodynamic roughness of short grass, m. Common tables of boundary-layer meteorology; the wind
/// at 2 m then is 0.725 of that at 10 m (FAO Irrigation and Drainage Paper 56: 0.748).
pub const ROUGHNESS_M: f64 = 0.03;

const SPEED: Bound = Bound::new("wind_speed_mps", 0.0, 60.0);
const FROM: Bound = Bound::new("wind_from_deg", 0.0, 360.0);
const HEIGHT: Bound = Bound::new("wind_height_m", 0.5, 100.0);

/// A steady level wind, as measured at one height; a log law gives it at the others, and none at
/// the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wind {
    /// Speed at `height_m`, 0 to 60 m/s.
    pub speed_mps: f64,
    /// Where it comes from, 0 to 360°: 0 into the player's face, 90 from the right, 180 from behind.
    pub from_deg: f64,
    /// Height of the measurement, 0.5 to 100 m.
    pub height_m: f64,
}

impl Wind {
    /// No wind.
    pub const STILL: Self = Self { speed_mps: 0.0, from_deg: 0.0, height_m: 10.0 };

    pub(super) fn faults(&self) -> impl Iterator<Item = OutOfRange> {
        let faults =
            [SPEED.fault(self.speed_mps), FROM.fault(self.from_deg), HEIGHT.fault(self.height_m)];
        faults.into_iter().flatten()
    }

    /// Velocity (x, y), m/s, for each unit of ln((z + z0)/z0); `None` in still air.
    pub(super) fn growth(&self) -> Option<[f64; 2]> {
        if self.speed_mps == 0.0 {
            return None;
        }
        let unit = self.speed_mps / ((self.height_m + ROUGHNESS_M) / ROUGHNESS_M).ln();
        let (sin, cos) = self.from_deg.to_radians().sin_cos();
        Some([-unit * cos, -unit * sin])
    }
}

impl Default for Wind {
    fn default() -> Self {
        Self::STILL
    }
}
