//! How a ball leaves the club, and the flight that this begins.

use super::aerodynamics::{Scales, ScalesOf};
use super::ball::{RADIUS_M, RADPS_PER_RPM};
use super::bounds::{Bound, Faults, OutOfRange};
use super::motion::{Forces, State};
use super::scene::Scene;

const BALL_SPEED: Bound = Bound::new("ball_speed_mps", 1.0, 110.0);
const LAUNCH_ANGLE: Bound = Bound::new("launch_angle_deg", -20.0, 80.0);
const LAUNCH_DIRECTION: Bound = Bound::new("launch_direction_deg", -90.0, 90.0);
const SPIN_RATE: Bound = Bound::new("spin_rate_rpm", 0.0, 20_000.0);
const SPIN_AXIS: Bound = Bound::new("spin_axis_deg", -90.0, 90.0);

/// Below this Reynolds number at the tee the aerodynamics were fitted to nothing (chips, part wedges).
const LEAST_REYNOLDS: f64 = 6e4;
/// Above this spin ratio at the tee they were fitted to nothing.
const MOST_SPIN_RATIO: f64 = 0.5;

/// How a ball leaves the club.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Launch {
    /// Ball speed, 1 to 110 m/s.
    pub ball_speed_mps: f64,
    /// Up from level, −20 to 80°.
    pub launch_angle_deg: f64,
    /// Right of the target line, −90 to 90°.
    pub launch_direction_deg: f64,
    /// Whole spin, 0 to 20,000 rpm.
    pub spin_rate_rpm: f64,
    /// Tilt of the spin axis about the normal of the launch velocity, −90 to 90°: positive curves
    /// right. A launch has no rifle spin.
    pub spin_axis_deg: f64,
}

impl Launch {
    /// Every number outside its range, in the order of the members.
    pub fn faults(&self) -> impl Iterator<Item = OutOfRange> {
        let faults = [
            BALL_SPEED.fault(self.ball_speed_mps),
            LAUNCH_ANGLE.fault(self.launch_angle_deg),
            LAUNCH_DIRECTION.fault(self.launch_direction_deg),
            SPIN_RATE.fault(self.spin_rate_rpm),
            SPIN_AXIS.fault(self.spin_axis_deg),
        ];
        faults.into_iter().flatten()
    }

    /// The nearest launch that lies within all ranges.
    #[must_use]
    pub fn within_bounds(self) -> Self {
        Self {
            ball_speed_mps: BALL_SPEED.nearest(self.ball_speed_mps),
            launch_angle_deg: LAUNCH_ANGLE.nearest(self.launch_angle_deg),
            launch_direction_deg: LAUNCH_DIRECTION.nearest(self.launch_direction_deg),
            spin_rate_rpm: SPIN_RATE.nearest(self.spin_rate_rpm),
            spin_axis_deg: SPIN_AXIS.nearest(self.spin_axis_deg),
        }
    }
}

/// A checked launch in checked conditions: all that decides a flight.
#[derive(Clone, Copy, Debug)]
pub struct Trajectory {
    pub(super) start: State<f64>,
    pub(super) forces: Forces<f64>,
    /// Sine of the launch direction: where it alone would have put the ball, for each metre.
    pub(super) aim: f64,
    reynolds: f64,
    spin_ratio: f64,
}

impl Scene {
    /// Checks a launch in these conditions.
    ///
    /// # Errors
    /// Every number outside its range.
    pub fn launch(&self, launch: &Launch) -> Result<Trajectory, Faults> {
        Faults::none_of(launch.faults())?;
        let (aim, ahead) = launch.launch_direction_deg.to_radians().sin_cos();
        let (rise, level) = launch.launch_angle_deg.to_radians().sin_cos();
        let (tilt, untilted) = launch.spin_axis_deg.to_radians().sin_cos();
        let speed = launch.ball_speed_mps;
        let spin = launch.spin_rate_rpm * RADPS_PER_RPM;
        let (right, up) = ([-aim, ahead, 0.0], [-rise * ahead, -rise * aim, level]);
        let axis = std::array::from_fn(|i| untilted * right[i] - tilt * up[i]);
        Ok(Trajectory {
            start: State {
                position: [0.0; 3],
                velocity: [level * ahead, level * aim, rise].map(|part| speed * part),
                spin,
            },
            forces: Forces::new(self, axis),
            aim,
            reynolds: speed * self.reynolds_per_mps,
            spin_ratio: RADIUS_M * spin / speed,
        })
    }
}

impl Trajectory {
    /// Reynolds number at the tee, in still air.
    #[must_use]
    pub const fn reynolds(&self) -> f64 {
        self.reynolds
    }

    /// Spin ratio r ω/v at the tee, in still air.
    #[must_use]
    pub const fn spin_ratio(&self) -> f64 {
        self.spin_ratio
    }

    /// Whether the launch lies where no model was fitted: below Re 6e4 or above S 0.5.
    #[must_use]
    pub fn extrapolates(&self) -> bool {
        self.reynolds < LEAST_REYNOLDS || self.spin_ratio > MOST_SPIN_RATIO
    }

    /// The same launch with other factors on lift and drag.
    pub(super) const fn with(mut self, scales: Scales) -> Self {
        self.forces.scales = ScalesOf::one(scales);
        self
    }

    /// The same launch with another spin, rpm.
    pub(super) fn with_spin(mut self, spin_rate_rpm: f64) -> Self {
        let [x, y, z] = self.start.velocity;
        self.start.spin = spin_rate_rpm * RADPS_PER_RPM;
        self.spin_ratio = RADIUS_M * self.start.spin / (x * x + y * y + z * z).sqrt();
        self
    }
}
