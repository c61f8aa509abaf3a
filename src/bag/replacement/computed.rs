//! What stands beside the criteria of a brief and rests on a model of flight: the launch below which a
//! weak strike falls short, and the carry that is kept into a wind.
//!
//! Neither is evidence. A floor that moves with the shots that it judges would break what makes verdicts
//! watchable, so the computed one is shown, to be given in a brief as `launch_floor_deg` before the shots;
//! and what is kept into a wind can only hold back a verdict, never make one.

use serde::Serialize;
use utoipa::ToSchema;

use super::answer::{CriterionAnswer, CriterionState, Figure};
use crate::{
    bag::{
        Brief, Criterion, Interval, Metric, PairOfBuilds, WeakLaunch, WeakOrigin,
        conditions::{Struck, Weak, kept_into_wind, struck},
        flown::typical,
        given_up::Two,
    },
    flight::{CAUTION, Conditions, Ground, Launch, Scene},
    shot::{Measure, Units, spoken},
    stats::{self, Cell, MIN_SHOTS, Open, Verdict},
};

/// The newest strikes of a club that this looks at: a typical and a weak one need no more.
const STRIKES: usize = 200;
/// Candidates for which a floor is computed, as many as a trial takes: of more, whoever wants to know names
/// fewer, for every floor is dozens of flights under a question.
const FLOORS_OF: usize = 6;
/// How far short of the low edge a weak strike may stay, m. Assumption: about the carry margin.
const GIVE_M: f64 = 5.0;
/// Launches of the weak strike that are tried, degrees: further up no club's carry still grows.
const TRIED_DEG: [f64; 2] = [0.0, 30.0];
const STEPS: u32 = 10;
/// Halvings of a step of three degrees: then the floor is good to a hundredth.
const HALVINGS: u32 = 9;

/// The launch below which a candidate's weak strike no longer reaches the low edge of the slot, less a
/// give, on soaked ground. An estimate, in no verdict.
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

/// What is computed beside a candidate's criteria.
pub(super) struct Beside {
    floor: Option<ComputedFloor>,
    /// Where the brief asks for it.
    kept: Option<CriterionAnswer>,
}

impl Beside {
    /// Computes it.
    pub(super) fn of(
        two: &Two<'_>,
        (pair, candidates): (&PairOfBuilds, usize),
        brief: &Brief,
    ) -> Self {
        let wants_floor = candidates <= FLOORS_OF;
        if !wants_floor && brief.carry_kept_in_wind_by_m.is_none() {
            return Self { floor: None, kept: None };
        }
        let struck = |build| struck(two.player, (pair, two.gathered), (build, STRIKES));
        let candidate = struck(pair.candidate);
        let metric = Metric::Measured(Measure::Carry);
        let [own, other] = two.gathered.cells(metric, None);
        let mean = |cell: &Cell| (!cell.is_empty()).then(|| metric.in_si(cell.mean()));
        let edge_m = brief.slot_low_m.or_else(|| Some(mean(&other)? - brief.carry_margin_m));
        let wanted = edge_m.zip(mean(&own)).map(|(edge_m, carry_m)| Wanted {
            edge_m,
            carry_m,
            units: two.units,
        });
        Self {
            floor: wanted
                .filter(|_| wants_floor)
                .and_then(|wanted| computed_floor(&candidate, &wanted)),
            kept: brief
                .carry_kept_in_wind_by_m
                .map(|by_m| carry_kept_in_wind([&candidate, &struck(pair.incumbent)], by_m)),
        }
    }

    /// What is proven stays undecided where the models do not both say what the brief asks of them.
    pub(super) fn hold_back(&self, verdict: Verdict) -> Verdict {
        match (verdict, &self.kept) {
            (Verdict::Replaces, Some(kept)) if kept.state != CriterionState::MetByModels => {
                Verdict::Undecided(Open::Computed)
            }
            (verdict, _) => verdict,
        }
    }

    /// The criteria with it.
    pub(super) fn told(self, mut criteria: Vec<CriterionAnswer>) -> Vec<CriterionAnswer> {
        let launch = Measure::LaunchAngle.si_name();
        let of_launch =
            |one: &&mut CriterionAnswer| one.name == Criterion::NotTooLow && one.metric == launch;
        if let Some(one) = criteria.iter_mut().find(of_launch) {
            one.computed_floor = self.floor;
        }
        criteria.extend(self.kept);
        criteria
    }
}

/// A club's typical and weak strikes, of those with a measured spin.
struct Strikes {
    typical: Launch,
    all: Vec<Launch>,
}

impl Strikes {
    /// `None` with fewer counted ones than a verdict takes.
    fn of(struck: &Struck) -> Option<Self> {
        let measured = struck.strikes.shots.iter().filter(|shot| shot.spin_measured);
        let known = measured.filter_map(|shot| Some((shot.sequence, shot.launch()?)));
        let all: Vec<_> = known.map(|(shot, launch)| (shot, launch.within_bounds())).collect();
        let counts = all.iter().filter(|(shot, _)| struck.counts(*shot));
        let counted: Vec<Launch> = counts.map(|(_, launch)| *launch).collect();
        let typical = typical(&counted).filter(|_| counted.len() >= MIN_SHOTS as usize)?;
        Some(Self { typical, all: all.into_iter().map(|(_, launch)| launch).collect() })
    }
}

/// What a candidate's strikes must reach, and how its figures are said.
struct Wanted {
    /// The slot's low edge, m.
    edge_m: f64,
    /// The candidate's mean carry as measured, m.
    carry_m: f64,
    /// The units of sentences.
    units: Units,
}

/// The computed floor of a candidate; `None` where its spin is not measured often enough.
fn computed_floor(struck: &Struck, wanted: &Wanted) -> Option<ComputedFloor> {
    let strikes = Strikes::of(struck)?;
    let weak = Weak::of(&strikes.all, &strikes.typical);
    let (starts, reach_m) = (weak.launch(), wanted.edge_m - GIVE_M);
    let still = Scene::new(&Conditions::default()).ok()?;
    let flight = |launch: &Launch| still.launch(launch).ok()?.fly().ok();
    // The ratio keeps the player's own ball and the device's own bias, and the air of the shots.
    let bias = wanted.carry_m / flight(&strikes.typical)?.carry_m;
    let reaches = |angle: f64| {
        let launch = Launch {
            ball_speed_mps: starts.ball_speed_mps,
            launch_angle_deg: angle,
            spin_rate_rpm: starts.spin_rate_rpm,
            ..strikes.typical
        };
        let total = flight(&launch).map(|flight| Ground::Soaked.run(&flight).total_m);
        total.is_some_and(|total| bias * total >= reach_m)
    };
    let lower = strikes.typical.launch_angle_deg - starts.launch_angle_deg;
    let mut floor = ComputedFloor {
        launch_angle_deg: lowest(reaches).map(|weak| weak + lower),
        typical_deg: strikes.typical.launch_angle_deg,
        reach_m,
        give_m: GIVE_M,
        weak_origin: weak.origin,
        weak_launch: starts,
        words: String::new(),
        caution: CAUTION,
    };
    floor.words = floor.said(wanted.units);
    Some(floor)
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
    fn said(&self, units: Units) -> String {
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
        match self.launch_angle_deg {
            Some(floor) => format!(
                "On soaked ground, in the air it was hit in, where {strike}, it reaches {reach} if the club launches at {} or more; \
                 it launches at {}. Computed, in no verdict.",
                spoken::angle(floor),
                spoken::angle(self.typical_deg),
            ),
            None => format!(
                "On soaked ground, in the air it was hit in, where {strike}, it does not reach {reach} however high it starts. \
                 Computed, in no verdict."
            ),
        }
    }
}

/// Whether a candidate keeps so much more of its carry into 20 mph, m.
fn carry_kept_in_wind([candidate, incumbent]: [&Struck; 2], by_m: f64) -> CriterionAnswer {
    let strikes = Strikes::of(candidate).zip(Strikes::of(incumbent));
    let kept = strikes.and_then(|(candidate, incumbent)| {
        kept_into_wind([&candidate.typical, &incumbent.typical])
    });
    CriterionAnswer {
        name: Criterion::CarryKeptInWind,
        metric: Measure::Carry.si_name(),
        interval: Interval {
            estimate: kept.map(|kept| kept.estimate),
            low: kept.map(|kept| kept.low),
            high: kept.map(|kept| kept.high),
            inferred: true,
        },
        of: Figure::Computed,
        at_least: Some(by_m),
        at_most: None,
        state: match kept {
            Some(kept) if kept.low >= by_m => CriterionState::MetByModels,
            Some(kept) if kept.high < by_m => CriterionState::BrokenByModels,
            _ => CriterionState::UnclearByModels,
        },
        evidence: None,
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: kept.is_none().then_some("the spin of too few shots is measured"),
        computed_floor: None,
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
