//! Which other club of the bag does a job that a swap would lose.

use serde::Serialize;
use utoipa::ToSchema;

use super::Two;
use crate::{
    bag::{
        ladder::WIDE_GAP_M,
        measure::METRES_PER_YARD,
        metric::{ByMetric, Interval, Metric, by_metric, number_by_metric},
        pair::run_effect,
        rate::Rate,
        survey::{Group, Job, Met},
        words::{Said, counted, share},
        workability::{self, Meant, Worked},
    },
    shot::{ClubId, Measure},
    stats::{OUTLOOK_MIN_SHOTS, Of},
};

/// Counted shots at a job before a club is said to do it: those that an early answer needs.
const SHOTS_FROM: usize = OUTLOOK_MIN_SHOTS as usize;

const CARRY: Metric = Metric::Measured(Measure::Carry);
/// What is told of a club that covers a job.
const METRICS: [Metric; 5] = [
    CARRY,
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::Descent),
];

/// The club of the bag, other than the two, that comes nearest to the incumbent's carry at a job.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CoveredBy {
    /// The club; null where none comes near enough to leave no wide gap.
    pub club: Option<ClubId>,
    /// Its counted shots at that job.
    pub shots: usize,
    /// Their means, SI.
    #[schema(schema_with = number_by_metric)]
    pub means: ByMetric<f64>,
    /// That club less the incumbent at that job, within visits that hold both, SI; empty where there
    /// is none.
    #[schema(schema_with = by_metric::<Interval>)]
    pub differences: ByMetric<Interval>,
    /// The share of its shots that went as meant, where the job is a flight that is meant.
    pub success: Option<Rate>,
    /// The same in a sentence; why there is none, where there is none.
    pub words: String,
}

/// A job that a swap would lose.
#[derive(Debug, Clone, Copy)]
pub(super) struct LostJob {
    /// What it is.
    pub job: Job,
    /// The flight that is meant, where the job is one.
    pub meant: Option<Meant>,
    /// As a sentence says it: `from sand`, `flighted down`.
    pub said: &'static str,
}

/// Another club at the job.
struct Other<'s> {
    club: u32,
    shots: usize,
    met: Met<'s>,
    /// Its carry less the incumbent's, metres: like for like where there is that, else of the means.
    apart_m: f64,
    success: Option<Rate>,
}

/// Finds the club that covers a lost job.
pub(super) fn cover(two: &Two<'_>, lost: LostJob) -> CoveredBy {
    let apart = |club: &&u32| **club != two.candidate && **club != two.incumbent;
    let others = two.bag.iter().filter(apart);
    let mut others: Vec<Other<'_>> = others.filter_map(|club| other(two, *club, lost)).collect();
    let id = |other: &Other<'_>| two.id(other.club);
    others
        .sort_by(|a, b| a.apart_m.abs().total_cmp(&b.apart_m.abs()).then_with(|| id(a).cmp(id(b))));
    let Some(nearest) = others.first() else {
        return nobody(format!(
            "No other club of the bag was{} {} at least {SHOTS_FROM} times.",
            two.survey.scope(),
            hit(lost)
        ));
    };
    let gap = Said { metric: CARRY, units: two.units }.size(nearest.apart_m);
    let way = if nearest.apart_m < 0.0 { "shorter" } else { "longer" };
    if nearest.apart_m.abs() > WIDE_GAP_M {
        let club = two.name(nearest.club);
        return nobody(format!(
            "No other club stands in {}: {club}, the nearest, carries {gap} {way}.",
            lost.said
        ));
    }
    let job = lost.job;
    let mean = |metric: &Metric| {
        let cell = two.survey.cell(two.survey.doing(nearest.club, job), *metric);
        (!cell.is_empty()).then(|| (*metric, metric.in_si(cell.mean())))
    };
    let success = nearest
        .success
        .and_then(|rate| rate.share)
        .map_or_else(String::new, |own| format!(", and {} of its shots go as meant", share(own)));
    CoveredBy {
        club: Some(id(nearest).clone()),
        shots: nearest.shots,
        means: ByMetric(METRICS.iter().filter_map(mean).collect()),
        differences: ByMetric(carry_difference(nearest).into_iter().collect()),
        success: nearest.success,
        words: format!(
            "{} stands in {}: it carries {gap} {way} there than {}, over {}{success}.",
            two.name(nearest.club),
            lost.said,
            two.names()[1],
            counted(nearest.shots, "shot")
        ),
    }
}

fn hit(lost: LostJob) -> String {
    match lost.meant {
        Some(_) => lost.said.to_owned(),
        None => format!("hit {}", lost.said),
    }
}

fn nobody(words: String) -> CoveredBy {
    CoveredBy {
        club: None,
        shots: 0,
        means: ByMetric(Vec::new()),
        differences: ByMetric(Vec::new()),
        success: None,
        words,
    }
}

fn other<'s>(two: &'s Two<'_>, club: u32, lost: LostJob) -> Option<Other<'s>> {
    let survey = two.survey;
    let shots: usize = survey.doing(club, lost.job).map(Group::shots).sum();
    if shots < SHOTS_FROM {
        return None;
    }
    let success = lost.meant.map(|meant| {
        let worked = Worked { club, hand: two.player.hand, units: two.units };
        workability::one(survey, worked, meant).success
    });
    // A flight that does not come off covers nothing.
    if success.and_then(|rate| rate.share).is_some_and(|own| own < 0.5) {
        return None;
    }
    let met = survey.met((club, lost.job), (two.incumbent, lost.job));
    let mean = |club| {
        let cell = survey.cell(survey.doing(club, lost.job), CARRY);
        (!cell.is_empty()).then(|| cell.mean())
    };
    let like_for_like = met.difference(CARRY, floor()).ok().map(|found| found.centre);
    let apart = like_for_like.or_else(|| Some(mean(club)? - mean(two.incumbent)?))?;
    Some(Other { club, shots, met, apart_m: apart * METRES_PER_YARD, success })
}

fn carry_difference(other: &Other<'_>) -> Option<(Metric, Interval)> {
    let interval = CARRY.interval(&other.met.difference(CARRY, floor()).ok()?)?;
    Some((CARRY, Interval { inferred: other.met.is_inferred(CARRY), ..interval }))
}

/// The run effect of a pair whose history was not looked into.
fn floor() -> crate::stats::RunEffect {
    run_effect(CARRY.quantity(Of::Difference), None)
}
