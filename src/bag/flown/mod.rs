//! Shots as the flight room takes them: how they were launched, what they flew in, and what was
//! tracked of them.
//!
//! [`Flown::of`] reads one row. [`club_flown`] gathers a club's counted shots, quickly, under a
//! question; all that costs flights ([`ClubFlown::launches`], [`ClubFlown::calibration`],
//! [`sample`]) works on what was gathered and needs the player no more. [`ClubToFly::fly`] answers from
//! all of it.

mod air;
mod answer;
mod club;
mod fits;
mod sample;
mod seen;
mod solved;
mod spread;

pub use air::{AirFlown, PressureOrigin, WindFlown};
pub(super) use answer::typical;
pub use answer::{
    Calibrated, CalibrationSource, CalibrationTold, ClubFlight, ClubToFly, ConditionsFlown,
    OtherModel, TypicalLaunch, club_to_fly,
};
pub(super) use club::club_flown_from;
pub use club::{ClubFlown, Launches, club_flown};
pub use fits::{Fits, Fitted, ToFit};
pub(super) use sample::sample_of;
pub use sample::{LEAST_FLIGHTS, sample};
pub use seen::{Airborne, ClubToSee, FlightsSeen, pair_to_see};
pub use solved::SolvedSpin;
pub use spread::{FlightSpread, FlownThere, Quantiles, TypicalFlight};

use super::row::Row;
use crate::{
    flight::{
        Aerodynamics, Conditions, Launch, Observed, Pressure, Scene, Tracked, Trajectory, Weather,
        Wind,
    },
    shot::{FlightOrigin, Measure, Measures, Sequence, SpinOrigin, Surroundings},
};

/// A shot that has a launch: ball speed and launch angle at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flown {
    /// Which shot.
    pub sequence: Sequence,
    /// Ball speed, m/s.
    pub ball_speed_mps: f64,
    /// Up from level, degrees.
    pub launch_angle_deg: f64,
    /// Right of the target line, degrees.
    pub launch_direction_deg: Option<f64>,
    /// Whole spin, rpm.
    pub spin_rate_rpm: Option<f64>,
    /// Whether the device measured that spin; one without a word of its origin counts as measured.
    pub spin_measured: bool,
    /// Tilt of the spin's axis, degrees.
    pub spin_axis_deg: Option<f64>,
    /// Air and wind, with the reference air's value for what nobody said.
    pub conditions: Conditions,
    /// What was tracked; nothing of a flight that the device modelled or adjusted for anything.
    pub tracked: Option<Tracked>,
}

impl Flown {
    /// Reads a row; `None` without a launch, and of topspin, which is kept and not flown.
    #[must_use]
    pub fn of(row: &Row) -> Option<Self> {
        let get = |measure| row.measures.get(measure);
        let spin_axis_deg = get(Measure::SpinAxis);
        if spin_axis_deg.is_some_and(|axis| axis.abs() > 90.0) {
            return None;
        }
        let around = row.surroundings.as_deref().copied().unwrap_or_default();
        let is_tracked = row.flight_origin == Some(FlightOrigin::Tracked);
        Some(Self {
            sequence: row.sequence,
            ball_speed_mps: get(Measure::BallSpeed)?,
            launch_angle_deg: get(Measure::LaunchAngle)?,
            launch_direction_deg: get(Measure::LaunchDirection),
            spin_rate_rpm: get(Measure::SpinRate),
            spin_measured: row.spin_origin.is_none_or(|origin| origin == SpinOrigin::Measured),
            spin_axis_deg,
            conditions: conditions(&around),
            tracked: (is_tracked && around.adjusted_for.is_empty() && is_wind_known(&around))
                .then(|| tracked(&row.measures))
                .flatten(),
        })
    }

    /// The launch with a spin; straight at the target and without tilt where nobody said.
    #[must_use]
    pub fn launch_with(&self, spin_rate_rpm: f64) -> Launch {
        Launch {
            ball_speed_mps: self.ball_speed_mps,
            launch_angle_deg: self.launch_angle_deg,
            launch_direction_deg: self.launch_direction_deg.unwrap_or(0.0),
            spin_rate_rpm,
            spin_axis_deg: self.spin_axis_deg.unwrap_or(0.0),
        }
    }

    /// The launch with its own spin; `None` where that is missing.
    #[must_use]
    pub fn launch(&self) -> Option<Launch> {
        self.spin_rate_rpm.map(|spin| self.launch_with(spin))
    }

    /// The shot in the air and wind that it flew in, with a spin.
    #[must_use]
    pub fn trajectory(&self, spin_rate_rpm: f64, aerodynamics: Aerodynamics) -> Option<Trajectory> {
        let scene = Scene::new(&Conditions { aerodynamics, ..self.conditions }).ok()?;
        scene.launch(&self.launch_with(spin_rate_rpm)).ok()
    }

    /// The shot with what was tracked of it: what a calibration or a missing spin rests on.
    fn observed(&self, spin_rate_rpm: f64, aerodynamics: Aerodynamics) -> Option<Observed> {
        Observed::new(self.trajectory(spin_rate_rpm, aerodynamics)?, self.tracked?).ok()
    }
}

/// Whether a wind that was told can be flown in: nobody can say what one from nowhere did.
pub(in crate::bag) fn is_wind_known(around: &Surroundings) -> bool {
    let wind = &around.wind;
    wind.speed_mps.is_none_or(|speed| speed <= 0.0) || wind.from_deg.is_some()
}

/// Air and wind in the flight room's terms. A sea-level pressure without an altitude is not used.
fn conditions(around: &Surroundings) -> Conditions {
    let air = &around.air;
    let altitude_m = air.altitude_m.unwrap_or(0.0);
    let pressure = match (air.pressure_hpa, air.sea_level_pressure_hpa.zip(air.altitude_m)) {
        (Some(hpa), _) => Pressure::Station(hpa),
        (None, Some((hpa, altitude_m))) => Pressure::SeaLevel { hpa, altitude_m },
        (None, None) => Pressure::Standard(altitude_m),
    };
    let weather = Weather {
        temperature_c: air.temperature_c.unwrap_or(Weather::REFERENCE.temperature_c),
        pressure,
        humidity_pct: air.humidity_pct.unwrap_or(Weather::REFERENCE.humidity_pct),
    };
    let known = around.wind.speed_mps.zip(around.wind.from_deg);
    let wind = known.map_or(Wind::STILL, |(speed_mps, from_deg)| Wind {
        speed_mps,
        from_deg,
        height_m: around.wind.height_m.unwrap_or(Wind::STILL.height_m),
    });
    Conditions { weather, wind, aerodynamics: Aerodynamics::default() }
}

fn tracked(measures: &Measures) -> Option<Tracked> {
    let tracked = Tracked {
        carry_m: measures.get(Measure::Carry),
        apex_m: measures.get(Measure::Apex),
        descent_angle_deg: measures.get(Measure::Descent),
        hang_time_s: measures.get(Measure::HangTime),
    };
    (tracked != Tracked::default()).then_some(tracked)
}
