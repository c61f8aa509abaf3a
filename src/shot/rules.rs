//! What members must or must not stand together; read by the parser and by the schema.

use super::measure::Measure;
use super::quantity::Quantity;

const SPIN_RATE: Quantity = Quantity::of(Measure::SpinRate);
const SPIN_AXIS: Quantity = Quantity::of(Measure::SpinAxis);

/// Quantities that say one thing in two ways, and never stand together.
pub(crate) static EXCLUSIVE: [(Quantity, Quantity); 6] = [
    (SPIN_RATE, Quantity::BACKSPIN),
    (SPIN_RATE, Quantity::SIDESPIN),
    (SPIN_AXIS, Quantity::BACKSPIN),
    (SPIN_AXIS, Quantity::SIDESPIN),
    (Quantity::PRESSURE, Quantity::SEA_LEVEL_PRESSURE),
    (Quantity::WIND_FROM, Quantity::WIND_COMPASS_FROM),
];

/// Quantities that mean nothing without another.
pub(crate) static NEEDS: [(Quantity, Quantity); 3] = [
    (SPIN_AXIS, SPIN_RATE),
    (Quantity::BACKSPIN, Quantity::SIDESPIN),
    (Quantity::SIDESPIN, Quantity::BACKSPIN),
];

/// What `spin_origin` tells the origin of: one of these.
pub(crate) static SPIN: [Quantity; 2] = [SPIN_RATE, Quantity::BACKSPIN];

/// What `speed_origin` tells the origin of.
pub(crate) static HEAD_SPEED: [Quantity; 1] = [Quantity::of(Measure::ClubheadSpeed)];

/// A shot has all of the first, or the second.
pub(crate) static LAUNCH: [Quantity; 2] =
    [Quantity::of(Measure::BallSpeed), Quantity::of(Measure::LaunchAngle)];

/// See [`LAUNCH`].
pub(crate) const CARRY: Quantity = Quantity::of(Measure::Carry);
