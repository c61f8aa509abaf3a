//! A shot as it was measured: its launch, and what was tracked of its flight.

use crate::flight::bounds::{Bound, Faults};
use crate::flight::landed::Flight;
use crate::flight::launch::Trajectory;

const CARRY: Bound = Bound::new("carry_m", 0.0, 400.0);
const APEX: Bound = Bound::new("apex_m", 0.0, 120.0);
const DESCENT: Bound = Bound::new("descent_angle_deg", 0.0, 90.0);
const HANG_TIME: Bound = Bound::new("hang_time_s", 0.0, 20.0);

/// How far a good device and the model beside it may be off, one standard deviation each: assumed,
/// not measured. A carry's is the greater of a fixed part and a share.
const CARRY_SD_M: f64 = 1.0;
const CARRY_SD_SHARE: f64 = 0.01;
const APEX_SD_M: f64 = 0.7;
const DESCENT_SD_DEG: f64 = 1.0;
const HANG_TIME_SD_S: f64 = 0.1;

/// What was tracked of a flight; nothing that a device computed or adjusted belongs here.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tracked {
    /// Carry, 0 to 400 m.
    pub carry_m: Option<f64>,
    /// Apex, 0 to 120 m.
    pub apex_m: Option<f64>,
    /// Descent, 0 to 90°.
    pub descent_angle_deg: Option<f64>,
    /// Time in the air, 0 to 20 s.
    pub hang_time_s: Option<f64>,
}

/// A checked launch with what was tracked of it.
#[derive(Clone, Copy, Debug)]
pub struct Observed {
    pub(super) trajectory: Trajectory,
    pub(super) tracked: Tracked,
}

impl Observed {
    /// Checks what was tracked.
    ///
    /// # Errors
    /// Every number outside its range.
    pub fn new(trajectory: Trajectory, tracked: Tracked) -> Result<Self, Faults> {
        let faults = [
            (CARRY, tracked.carry_m),
            (APEX, tracked.apex_m),
            (DESCENT, tracked.descent_angle_deg),
            (HANG_TIME, tracked.hang_time_s),
        ];
        Faults::none_of(faults.into_iter().filter_map(|(bound, value)| bound.fault(value?)))?;
        Ok(Self { trajectory, tracked })
    }
}

impl Tracked {
    /// Measured less flown, each over its standard deviation; nothing for what was not tracked.
    pub(super) fn residuals(&self, flown: &Flight) -> [Option<f64>; 4] {
        let carry_sd = |carry: f64| CARRY_SD_M.max(CARRY_SD_SHARE * carry);
        [
            self.carry_m.map(|carry| (carry - flown.carry_m) / carry_sd(carry)),
            self.apex_m.map(|apex| (apex - flown.apex_m) / APEX_SD_M),
            self.descent_angle_deg
                .map(|descent| (descent - flown.descent_angle_deg) / DESCENT_SD_DEG),
            self.hang_time_s.map(|time| (time - flown.hang_time_s) / HANG_TIME_SD_S),
        ]
    }
}
