//! The answer: what a launch did until it landed.

use thiserror::Error;

use super::ball::RADPS_PER_RPM;
use super::launch::Trajectory;
use super::motion::State;

/// A flight that is still in the air after [`super::LONGEST_FLIGHT_S`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("the ball is still in the air after 30 s: no shot flies as long")]
pub struct StillFlying;

/// What a launch did until it landed at the height of the ball. An estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flight {
    /// Straight from the ball to where it first lands, m.
    pub carry_m: f64,
    /// The part of the carry along the target line, m; negative where the wind blew the ball back.
    pub downrange_m: f64,
    /// The part across the target line, m; positive to the right.
    pub side_m: f64,
    /// The side less where the launch direction alone would have put a ball of this carry, m.
    pub curve_m: f64,
    /// Greatest height, m.
    pub apex_m: f64,
    /// Where along the target line that was, m.
    pub apex_downrange_m: f64,
    /// When that was, s.
    pub apex_time_s: f64,
    /// Time in the air, s.
    pub hang_time_s: f64,
    /// Angle of landing, degrees, positive down.
    pub descent_angle_deg: f64,
    /// Speed at landing, m/s.
    pub landing_speed_mps: f64,
    /// Direction of landing, degrees: 0 to the target, positive right, 180 blown back.
    pub landing_direction_deg: f64,
    /// Whole spin at landing, rpm.
    pub landing_spin_rpm: f64,
    /// The part of it that acts against the direction of landing, rpm; negative is topspin.
    pub landing_backspin_rpm: f64,
}

/// The top of a flight.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Apex {
    pub(super) height_m: f64,
    pub(super) downrange_m: f64,
    pub(super) time_s: f64,
}

impl Flight {
    pub(super) fn new(
        trajectory: &Trajectory,
        apex: Apex,
        hang_time_s: f64,
        landing: &State<f64>,
    ) -> Self {
        let [x, y, _] = landing.position;
        let [vx, vy, vz] = landing.velocity;
        let level = (vx * vx + vy * vy).sqrt();
        let carry_m = (x * x + y * y).sqrt();
        let [ex, ey, _] = trajectory.forces.axis;
        // The level axis to the right of the way that the ball goes on.
        let along = if level > 0.0 { (ey * vx - ex * vy) / level } else { 0.0 };
        let spin = landing.spin / RADPS_PER_RPM;
        Self {
            carry_m,
            downrange_m: x,
            side_m: y,
            curve_m: y - carry_m * trajectory.aim,
            apex_m: apex.height_m,
            apex_downrange_m: apex.downrange_m,
            apex_time_s: apex.time_s,
            hang_time_s,
            descent_angle_deg: (-vz).atan2(level).to_degrees(),
            landing_speed_mps: (level * level + vz * vz).sqrt(),
            landing_direction_deg: vy.atan2(vx).to_degrees(),
            landing_spin_rpm: spin,
            landing_backspin_rpm: spin * along,
        }
    }
}
