//! The ball, and the pull on it.

use std::f64::consts::PI;

/// Mass, kg: the most that the Rules of Golf allow, 1.620 oz, rounded.
pub const MASS_KG: f64 = 0.045_93;
/// Diameter, m: the least that the Rules of Golf allow, 1.680 in, rounded.
pub const DIAMETER_M: f64 = 0.042_67;
/// Radius, m.
pub const RADIUS_M: f64 = DIAMETER_M / 2.0;
/// Area that the air meets, m².
pub const AREA_M2: f64 = PI * RADIUS_M * RADIUS_M;
/// Standard gravity, m/s² (ISO 80000-3), at every place and height.
pub const GRAVITY_MPS2: f64 = 9.806_65;
/// Spin decays at this times spin × speed / radius. Form of Smits and Ogg 2004; the constant is
/// the reference's: about 6 % a second at 65 m/s.
pub const SPIN_DECAY: f64 = 2e-5;

/// Turns a minute into radians a second.
pub(super) const RADPS_PER_RPM: f64 = 2.0 * PI / 60.0;
