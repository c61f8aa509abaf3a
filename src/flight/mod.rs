//! The room of flight: what a launch does in given air, wind and ground.
//!
//! In come a [`Launch`] and the [`Conditions`] it is hit in, as plain numbers in the units that
//! their names carry. [`Scene::new`] and [`Scene::launch`] check them and make a [`Trajectory`],
//! which can be flown by itself ([`Trajectory::fly`]), with its path ([`Trajectory::path`]), or
//! with thousands of others ([`fly_all`]). Out comes a [`Flight`]; [`Ground::run`] says what the
//! ball does after it. [`calibrate`] fits the aerodynamics to shots of one's own, and
//! [`missing_spin`] finds a spin that was not measured. The room knows no shot, club, store or
//! clock, and does no I/O.
//!
//! Axes: x from the ball to the target, y to the right, z up; the triple is left-handed, for the
//! golfer's signs. The ball starts at the origin and lands at z = 0.
//!
//! Everything computed here is an estimate: see [`CAUTION`].

mod aerodynamics;
mod air;
mod atmosphere;
mod ball;
mod bounds;
mod calibration;
mod fly;
mod ground;
mod landed;
mod lanes;
mod launch;
mod motion;
mod real;
mod scene;
mod step;
mod wind;

pub use aerodynamics::{Aerodynamics, Model, ModelError, Scales};
pub use air::{Air, Pressure, Weather};
pub use atmosphere::{standard_pressure_hpa, standard_temperature_c, station_pressure_hpa};
pub use ball::{AREA_M2, DIAMETER_M, GRAVITY_MPS2, MASS_KG, RADIUS_M, SPIN_DECAY};
pub use bounds::{Bound, Faults, OutOfRange};
pub use calibration::{
    Calibration, Fit, LEAST_SHOTS, Observed, SpinEstimate, Tracked, calibrate, missing_spin,
};
pub use fly::{LONGEST_FLIGHT_S, PathPoint};
pub use ground::{Ground, RUN_BAND, Run};
pub use landed::{Flight, StillFlying};
pub use lanes::fly_all;
pub use launch::{Launch, Trajectory};
pub use scene::{Conditions, Scene};
pub use wind::{ROUGHNESS_M, Wind};

/// What has to stand beside every computed flight.
pub const CAUTION: &str = "Computed flights are estimates. They are not for designing nets, \
     screens, fences or safe distances: there local codes and licensed practice decide.";
