//! The launch below which a candidate's weak strike falls short on soaked ground.

use serde::Serialize;
use utoipa::ToSchema;

use super::{Lacking, Role, Strikes, computed_by, unknown};
use crate::{
    bag::{
        CalibrationSource, CarryAir, Criterion, Interval, ModelRange, WeakLaunch, WeakOrigin,
        conditions::{Models, Struck, Weak},
        replacement::answer::{CriterionAnswer, CriterionState},
    },
    flight::{Aerodynamics, CAUTION, Conditions, Ground, Launch, Scene},
    shot::{Measure, Units, spoken},
};

/// How far short of the low edge a weak strike may stay, m. Assumption: about the carry margin.
const GIVE_M: f64 = 5.0;
/// Launches of the weak strike that are tried, degrees: further up no club's carry still grows.
const TRIED_DEG: [f64; 2] = [0.0, 30.0];
const STEPS: u32 = 10;
/// Halvings of a step of three degrees: then the floor is good to a hundredth.
const HALVINGS: u32 = 9;

/// The launch below which a candidate's weak strike no longer reaches the low edge of the slot, less a
/// give, on soaked ground, by the main model. An estimate: in no verdict, unless the brief asks for it; then it can
/// only hold one back, as `above_computed_floor`.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ComputedFloor {
    /// The lowest typical launch that is high enough, degrees; null where none is.
    pub launch_angle_deg: Option<f64>,
    /// The candidate's typical launch as it is, degrees.
    pub typical_deg: f64,
    /// What a weak strike must still reach, m: the slot's low edge, else the incumbent's mean carry less the
    /// carry margin, each less the give.
    pub reach_m: f64,
    /// The give, m.
    pub give_m: f64,
    /// Where the weak strike is from.
    pub weak_origin: WeakOrigin,
    /// How it starts.
    pub weak_launch: WeakLaunch,
    /// The same in a sentence.
    pub words: String,
    /// What has to stand beside every computed flight.
    pub caution: &'static str,
}

/// What a candidate's strikes must reach, and how its figures are said.
pub(super) struct Wanted {
    /// The slot's low edge, m.
    pub(super) edge_m: f64,
    /// The candidate's mean carry, m.
    pub(super) carry_m: f64,
    /// The air that both are in.
    pub(super) air: CarryAir,
    /// The units of sentences.
    pub(super) units: Units,
}

/// What a computed floor is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    /// It is shown, to be given in a brief.
    Shown,
    /// The brief asks for it, and it can hold a verdict back.
    Asked,
}

/// A candidate's strikes, ready to tell its floor.
pub(super) struct Floor {
    typical: Launch,
    weak_origin: WeakOrigin,
    starts: WeakLaunch,
    reach_m: f64,
    /// The mean carry over the modelled one of the typical strike, which keeps the player's own ball, the
    /// device's own bias, and the air that carries are in.
    bias: f64,
    air: CarryAir,
    units: Units,
}

impl Floor {
    /// Why there is none where too little of its strikes is known, or of what they must reach.
    pub(super) fn of(
        struck: &Struck,
        wanted: Result<Wanted, &'static str>,
    ) -> Result<Self, &'static str> {
        let why = |lacking: Lacking| lacking.of(Role::Candidate);
        let strikes = Strikes::of(struck).map_err(why)?;
        let wanted = wanted?;
        let weak = Weak::of(&strikes.all, &strikes.typical);
        // As it is, without factors of the club's own: the carry as measured stands for those.
        let launched = still(Aerodynamics::default())
            .and_then(|still| still.launch(&strikes.typical).ok())
            .and_then(|launched| launched.fly().ok());
        let flight = launched.ok_or(why(Lacking::Landing))?;
        Ok(Self {
            typical: strikes.typical,
            weak_origin: weak.origin,
            starts: weak.launch(),
            reach_m: wanted.edge_m - GIVE_M,
            bias: wanted.carry_m / flight.carry_m,
            air: wanted.air,
            units: wanted.units,
        })
    }

    /// The lowest typical launch that is high enough by a model, degrees, if any is.
    fn by(&self, aerodynamics: Aerodynamics) -> Option<f64> {
        let still = still(aerodynamics)?;
        let reaches = |angle: f64| {
            let launch = Launch {
                ball_speed_mps: self.starts.ball_speed_mps,
                launch_angle_deg: angle,
                spin_rate_rpm: self.starts.spin_rate_rpm,
                ..self.typical
            };
            let flight = still.launch(&launch).ok().and_then(|launch| launch.fly().ok());
            let total = flight.map(|flight| Ground::Soaked.run(&flight).total_m);
            total.is_some_and(|total| self.bias * total >= self.reach_m)
        };
        let lower = self.typical.launch_angle_deg - self.starts.launch_angle_deg;
        lowest(reaches).map(|weak| weak + lower)
    }

    /// The floor by the main model, as it is told.
    pub(super) fn told(&self, of_use: Use) -> ComputedFloor {
        let mut floor = ComputedFloor {
            launch_angle_deg: self.by(Aerodynamics::default()),
            typical_deg: self.typical.launch_angle_deg,
            reach_m: self.reach_m,
            give_m: GIVE_M,
            weak_origin: self.weak_origin,
            weak_launch: self.starts,
            words: String::new(),
            caution: CAUTION,
        };
        floor.words = floor.said(of_use, (self.air, self.units));
        floor
    }
}

/// Still reference air with a model.
fn still(aerodynamics: Aerodynamics) -> Option<Scene> {
    Scene::new(&Conditions { aerodynamics, ..Conditions::default() }).ok()
}

/// Whether a candidate's typical launch is at or above its computed floor by both models.
pub(super) fn above_floor(floor: &Result<(Floor, ComputedFloor), &'static str>) -> CriterionAnswer {
    let unknown = unknown((Criterion::AboveComputedFloor, Measure::LaunchAngle));
    let (floor, told) = match floor {
        Ok((floor, told)) => (floor, told),
        Err(why) => return CriterionAnswer { hindered_by: Some(why), ..unknown },
    };
    let models = Models::of(Aerodynamics::default(), &floor.typical).ok();
    let floors = [told.launch_angle_deg, models.and_then(|models| floor.by(models.other))];
    let is_above = floors.map(|floor| floor.is_some_and(|floor| told.typical_deg >= floor));
    let [main, other] = floors;
    let floor_deg = main.zip(other).map(|(main, other)| ModelRange::of(main, other));
    CriterionAnswer {
        interval: Interval { estimate: Some(told.typical_deg), ..Interval::UNKNOWN },
        at_least: floor_deg.map(|floor| floor.high),
        state: match is_above {
            [true, true] => CriterionState::MetByModels,
            [false, false] => CriterionState::BrokenByModels,
            _ => CriterionState::UnclearByModels,
        },
        floor_deg,
        computed_by: Some(computed_by(CalibrationSource::Default, None)),
        ..unknown
    }
}

/// The lowest launch that reaches, if any does.
fn lowest(reaches: impl Fn(f64) -> bool) -> Option<f64> {
    let [from, to] = TRIED_DEG;
    let step = (to - from) / f64::from(STEPS);
    let tried = |at: u32| from + f64::from(at) * step;
    let first = (0..=STEPS).find(|at| reaches(tried(*at)))?;
    let (mut low, mut high) = (tried(first) - step, tried(first));
    if first == 0 {
        return Some(from);
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if reaches(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

impl ComputedFloor {
    fn said(&self, of_use: Use, (air, units): (CarryAir, Units)) -> String {
        let WeakLaunch { ball_speed_mps, launch_angle_deg, spin_rate_rpm } = self.weak_launch;
        let assumed = match self.weak_origin {
            WeakOrigin::Own => "",
            WeakOrigin::Assumed => ", which is assumed,",
        };
        let lower = self.typical_deg - launch_angle_deg;
        let strike = format!(
            "its weak strike{assumed} starts {} {}, at {} with {}",
            spoken::angle(lower.abs()),
            if lower < 0.0 { "higher" } else { "lower" },
            units.speed(ball_speed_mps),
            spoken::spin(spin_rate_rpm),
        );
        let reach = units.distance(self.reach_m);
        let air = match air {
            CarryAir::AsHit => "in the air it was hit in",
            CarryAir::Reference => "in still reference air",
        };
        let closing = match of_use {
            Use::Shown => "Computed, in no verdict.",
            Use::Asked => "Computed: it can only hold a verdict back.",
        };
        match self.launch_angle_deg {
            Some(floor) => format!(
                "On soaked ground, {air}, where {strike}, it reaches {reach} if the club launches at {} or more; \
                 it launches at {}. {closing}",
                spoken::angle(floor),
                spoken::angle(self.typical_deg),
            ),
            None => format!(
                "On soaked ground, {air}, where {strike}, it does not reach {reach} however high it starts. \
                 {closing}"
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lowest_launch_is_found_to_a_hundredth() {
        for floor in [0.3, 7.77, 12.0, 29.9] {
            let found = lowest(|angle| angle >= floor);
            assert!(found.is_some_and(|found| (found - floor).abs() < 0.01), "{floor}: {found:?}");
        }
        assert_eq!(lowest(|_| true), Some(0.0));
        assert_eq!(lowest(|_| false), None);
    }
}
