//! What stands beside the criteria of a brief and rests on a model of flight: the launch below which a
//! weak strike falls short, and the carry that is kept into a wind.
//!
//! Neither is evidence. A floor that moves with the shots that it judges would break what makes verdicts
//! watchable, and nobody measured a wind: both can only hold back a verdict where the brief asks for them,
//! never make one. [`held_back`] is the one list of what does.

mod floor;
mod lacking;
mod wind;

use serde::Serialize;
use utoipa::ToSchema;

use super::answer::{CriterionAnswer, CriterionState, Figure};
use crate::{
    bag::{
        Brief, CalibrationSource, Criterion, Fits, Interval, Metric, PairOfBuilds,
        conditions::{Struck, models, struck},
        flown::typical,
        given_up::Two,
    },
    flight::{CAUTION, Launch, Model},
    shot::Measure,
    stats::{self, Cell, MIN_SHOTS, Open, Verdict},
};

pub use floor::ComputedFloor;
pub use wind::to_fit;

use floor::{Floor, Use, Wanted, above_floor};
use lacking::{Lacking, Role};
use wind::carry_kept_in_wind;

/// The newest strikes of a club that this looks at: a typical and a weak one need no more.
const STRIKES: usize = 200;
/// Candidates for which a floor is computed unasked, as many as a trial takes: of more, whoever wants to know
/// asks for it, for every floor is dozens of flights under a question.
const FLOORS_OF: usize = 6;

/// What a computed criterion rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ComputedBy {
    /// The main model of drag and lift.
    pub aerodynamics: &'static str,
    /// The model that makes the range, with as much drag as lets a typical strike carry as far in still air.
    pub range_of: &'static str,
    /// Whether the main model is fitted to the candidate's own tracked shots.
    pub candidate: CalibrationSource,
    /// The same of the incumbent; null where it is not flown.
    pub incumbent: Option<CalibrationSource>,
    /// The same in a sentence.
    pub words: String,
    /// What has to stand beside every computed flight.
    pub caution: &'static str,
}

/// What is computed beside a candidate's criteria.
pub(super) struct Beside {
    floor: Option<ComputedFloor>,
    /// What the brief asks for.
    asked: Vec<CriterionAnswer>,
}

impl Beside {
    /// Computes it.
    pub(super) fn of(
        two: &Two<'_>,
        (pair, candidates): (&PairOfBuilds, usize),
        brief: &Brief,
        fits: &mut Fits,
    ) -> Self {
        let asks_floor = brief.launch_floor_computed;
        let wants_floor = asks_floor || candidates <= FLOORS_OF;
        if !wants_floor && brief.carry_kept_in_wind_by_m.is_none() {
            return Self { floor: None, asked: Vec::new() };
        }
        let struck = |build| struck(two.player, (pair, two.gathered), (build, STRIKES));
        let candidate = struck(pair.candidate);
        let of_use = if asks_floor { Use::Asked } else { Use::Shown };
        let floor = wants_floor.then(|| {
            let floor = Floor::of(&candidate, wanted(two, brief))?;
            let told = floor.told(of_use);
            Ok((floor, told))
        });
        let mut asked = Vec::new();
        if let Some(by_m) = brief.carry_kept_in_wind_by_m {
            let clubs = [(pair.candidate, &candidate), (pair.incumbent, &struck(pair.incumbent))];
            asked.push(carry_kept_in_wind(two.player, (clubs, &pair.evidence), by_m, fits));
        }
        if let Some(floor) = floor.as_ref().filter(|_| asks_floor) {
            asked.push(above_floor(floor));
        }
        Self { floor: floor.and_then(Result::ok).map(|(_, told)| told), asked }
    }

    /// What is proven stays undecided where the models do not both say what the brief asks of them.
    pub(super) fn hold_back(&self, verdict: Verdict) -> Verdict {
        match verdict {
            Verdict::Replaces if held_back(&self.asked).next().is_some() => {
                Verdict::Undecided(Open::Computed)
            }
            verdict => verdict,
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
        criteria.extend(self.asked);
        criteria
    }
}

/// The computed criteria that hold a verdict back, being not met by both models.
pub(super) fn held_back(criteria: &[CriterionAnswer]) -> impl Iterator<Item = &CriterionAnswer> {
    criteria
        .iter()
        .filter(|one| one.of == Figure::Computed && one.state != CriterionState::MetByModels)
}

/// What it lacks, as part of a sentence.
pub(super) fn shortfall(held: &CriterionAnswer) -> String {
    let [what, falls_short, unclear] = match held.name {
        Criterion::AboveComputedFloor => [
            "how high it must launch",
            "by the models of flight it launches lower than a weak strike on soaked ground allows",
            "the models of flight do not agree on whether it launches high enough for a weak strike on soaked \
             ground",
        ],
        _ => [
            "what it keeps of its carry into the wind",
            "by the models of flight it does not keep as much more of its carry into the wind as was asked",
            "the models of flight do not agree on whether it keeps as much more of its carry into the wind as \
             was asked",
        ],
    };
    match (held.hindered_by, held.state) {
        (Some(why), _) => format!("{what} could not be computed: {why}"),
        (None, CriterionState::BrokenByModels) => falls_short.to_owned(),
        (None, _) => unclear.to_owned(),
    }
}

/// A computed criterion that nothing is known of yet.
fn unknown((name, measure): (Criterion, Measure)) -> CriterionAnswer {
    CriterionAnswer {
        name,
        metric: measure.si_name(),
        interval: Interval { inferred: true, ..Interval::UNKNOWN },
        of: Figure::Computed,
        at_least: None,
        at_most: None,
        state: CriterionState::UnclearByModels,
        evidence: None,
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: None,
        computed_floor: None,
        floor_deg: None,
        computed_by: None,
    }
}

/// What a criterion rests on that is computed by the default model and the other one.
fn computed_by(candidate: CalibrationSource, incumbent: Option<CalibrationSource>) -> ComputedBy {
    let main = Model::default();
    let [aerodynamics, range_of] = [main, main.other()].map(Model::word);
    let fitted = [candidate, incumbent.unwrap_or(candidate)];
    let words = format!("Computed, not measured: {}.", models([aerodynamics, range_of], fitted));
    ComputedBy { aerodynamics, range_of, candidate, incumbent, words, caution: CAUTION }
}

/// What a candidate's strikes must reach; else which carry it takes.
fn wanted(two: &Two<'_>, brief: &Brief) -> Result<Wanted, &'static str> {
    let metric = Metric::Measured(Measure::Carry);
    let [own, other] = two.gathered.cells(metric, None);
    let mean = |cell: &Cell| (!cell.is_empty()).then(|| metric.in_si(cell.mean()));
    let carry_m = mean(&own).ok_or(Lacking::Carry.of(Role::Candidate))?;
    let edge_m = brief.slot_low_m.or_else(|| Some(mean(&other)? - brief.carry_margin_m));
    let edge_m = edge_m.ok_or(Lacking::Carry.of(Role::Incumbent))?;
    Ok(Wanted { edge_m, carry_m, air: two.player.air(), units: two.units })
}

/// A club's typical and weak strikes, of those with a measured spin.
struct Strikes {
    typical: Launch,
    all: Vec<Launch>,
}

impl Strikes {
    /// What lacks where fewer than a verdict takes are counted.
    fn of(struck: &Struck) -> Result<Self, Lacking> {
        let measured = struck.strikes.shots.iter().filter(|shot| shot.spin_measured);
        let known = measured.filter_map(|shot| Some((shot.sequence, shot.launch()?)));
        let all: Vec<_> = known.map(|(shot, launch)| (shot, launch.within_bounds())).collect();
        let counts = all.iter().filter(|(shot, _)| struck.counts(*shot));
        let counted: Vec<Launch> = counts.map(|(_, launch)| *launch).collect();
        let typical = typical(&counted).filter(|_| counted.len() >= MIN_SHOTS as usize);
        let typical = typical.ok_or_else(|| Lacking::in_strikes(struck))?;
        Ok(Self { typical, all: all.into_iter().map(|(_, launch)| launch).collect() })
    }
}
