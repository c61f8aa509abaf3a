//! Two clubs from one lie.

use serde::Serialize;
use utoipa::ToSchema;

use super::Two;
use crate::{
    bag::{
        dispersion::SpreadRatio,
        lie_group::LieGroup,
        like_for_like::ShotsOfPair,
        metric::{ByMetric, Interval, Metric, by_metric},
        rate::{ClubRate, Rate},
        survey::{self, Group},
        words::{Said, capital, counted, listed, share, times},
    },
    shot::Measure,
};

/// The differences that are told lie by lie.
const METRICS: [Metric; 5] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::Descent),
];

/// What two clubs did from one lie, candidate against incumbent.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FromLie {
    /// The lie.
    pub lie: LieGroup,
    /// Whether they can be compared there.
    pub state: LieState,
    /// All shots of each from there, mishits too, in any visit.
    pub hit: ShotsOfPair,
    /// Counted shots that are like for like: in one visit, from the same lie, with the same ball.
    pub shots: ShotsOfPair,
    /// Visits that hold both, like for like.
    pub sessions: usize,
    /// The differences, SI.
    #[schema(schema_with = by_metric::<Interval>)]
    pub differences: ByMetric<Interval>,
    /// The carry's spread, the candidate's over the incumbent's.
    pub spread: SpreadRatio,
    /// The candidate's share of mishits less the incumbent's.
    pub mishit_rate: Interval,
    /// Their shares: candidate, then incumbent.
    pub mishit_rates: [ClubRate; 2],
    /// What the candidate does less well, in a sentence.
    pub words: String,
}

/// Whether two clubs can be compared from a lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LieState {
    /// Both were hit from there in one visit, with the same ball.
    Compared,
    /// One of them was never hit from there.
    NotHit,
    /// Both were, but no good shots of the two are from one visit with the same ball.
    NotCompared,
}

impl FromLie {
    /// A difference; unknown where there is none.
    pub(super) fn difference(&self, measure: Measure) -> Interval {
        let found = self.differences.get(Metric::Measured(measure));
        found.copied().unwrap_or(Interval::UNKNOWN)
    }
}

/// Every lie that one of the clubs was hit from.
pub(in crate::bag) fn from_lies(two: &Two<'_>) -> Vec<FromLie> {
    let groups = |club| two.survey.doing(club, two.job(None));
    let both = groups(two.candidate).chain(groups(two.incumbent));
    let mut lies: Vec<LieGroup> = both.map(Group::lie).collect();
    lies.sort_unstable();
    lies.dedup();
    lies.into_iter().map(|lie| from_lie(two, lie)).collect()
}

fn from_lie(two: &Two<'_>, lie: LieGroup) -> FromLie {
    let groups = |club| two.survey.doing(club, two.job(Some(lie)));
    let hit = |club| groups(club).map(Group::all).sum();
    let hit = ShotsOfPair { incumbent: hit(two.incumbent), candidate: hit(two.candidate) };
    let shots = two.gathered.shots(Some(lie));
    let state = if hit.incumbent == 0 || hit.candidate == 0 {
        LieState::NotHit
    } else if shots.candidate == 0 {
        LieState::NotCompared
    } else {
        LieState::Compared
    };
    let rate = |club| survey::mishit_rate(groups(club));
    let rates = [rate(two.candidate), rate(two.incumbent)];
    let known = |metric: Metric| {
        let interval = two.gathered.interval(metric, Some(lie));
        interval.estimate.map(|_| (metric, interval))
    };
    let mut told = FromLie {
        lie,
        state,
        hit,
        shots,
        sessions: two.gathered.sessions(Some(lie)),
        differences: ByMetric(METRICS.into_iter().filter_map(known).collect()),
        spread: two.gathered.spread(METRICS[0], Some(lie)),
        mishit_rate: rates[0].less(&rates[1]),
        mishit_rates: two.rates(rates),
        words: String::new(),
    };
    told.words = sentence(two, &told, rates);
    told
}

fn sentence(two: &Two<'_>, told: &FromLie, rates: [Rate; 2]) -> String {
    let from = told.lie.from();
    let [candidate, incumbent] = two.names();
    match told.state {
        LieState::NotHit if told.hit.candidate == 0 => format!(
            "{candidate} was never hit {from}; {incumbent} was, {}: what is lost there is unknown.",
            times(told.hit.incumbent)
        ),
        LieState::NotHit => format!(
            "{incumbent} was never hit {from}; {candidate} was, {}.",
            times(told.hit.candidate)
        ),
        LieState::NotCompared => format!(
            "{} there are no good shots of both in one visit with the same ball: hit both to know.",
            capital(from)
        ),
        LieState::Compared => {
            let losses = losses(two, told, rates);
            if losses.is_empty() {
                let shots = counted(told.shots.candidate, "shot");
                return format!("{} {candidate} gives nothing up over {shots}.", capital(from));
            }
            format!("{} {candidate} {}.", capital(from), listed(&losses))
        }
    }
}

fn losses(two: &Two<'_>, told: &FromLie, [own, other]: [Rate; 2]) -> Vec<String> {
    let loss = |(measure, does, how): (Measure, [&str; 2], &str)| {
        let difference = told.difference(measure);
        difference.estimate.filter(|estimate| *estimate < 0.0)?;
        let said = Said { metric: Metric::Measured(measure), units: two.units };
        Some(format!("{} {}", seems(&difference, does), said.compared(&difference, how)))
    };
    let mut losses: Vec<String> = [
        (Measure::Carry, ["carries", "carry"], "less"),
        (Measure::Apex, ["flies", "fly"], "lower"),
        (Measure::Descent, ["lands", "land"], "flatter"),
    ]
    .into_iter()
    .filter_map(loss)
    .collect();
    if let Some((own, other)) = own.share.zip(other.share).filter(|(own, other)| own > other) {
        losses.push(format!(
            "{} wrong more often ({} against {})",
            seems(&told.mishit_rate, ["goes", "go"]),
            share(own),
            share(other)
        ));
    }
    losses
}

/// `carries` where the interval leaves no doubt which way, else `seems to carry`.
pub(super) fn seems(difference: &Interval, [does, bare]: [&str; 2]) -> String {
    if difference.proves_less() || difference.proves_more() {
        does.to_owned()
    } else {
        format!("seems to {bare}")
    }
}
