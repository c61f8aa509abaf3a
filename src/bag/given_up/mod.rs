//! What a player gives up with a swap: in no verdict, and never left unsaid.

mod cover;
mod flights;
mod from_lie;

use serde::Serialize;
use utoipa::ToSchema;

use self::cover::{LostJob, cover};
use super::{
    forgiveness::{Forgiveness, Strikes},
    lie_group::LieGroup,
    like_for_like::LikeForLike,
    metric::{Interval, Metric},
    player::Player,
    rate::{ClubRate, Rate},
    survey::{Job, Survey},
    words::{Said, share},
};
use crate::{
    shot::{ClubId, Intent, Lie, Measure, Units},
    stats::{self, MIN_SHOTS},
};

pub use cover::CoveredBy;
pub use flights::ClubWorkability;
pub use from_lie::{FromLie, LieState};

pub(super) use from_lie::from_lies;
use from_lie::seems;

/// One thing that the candidate does less well, or that nobody has measured.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GivenUp {
    /// What kind of loss it is.
    pub kind: Loss,
    /// The measure; `mishit_rate`, or `mishit_cost_m` for what a mishit costs.
    pub metric: &'static str,
    /// Candidate minus incumbent.
    #[serde(flatten)]
    pub difference: Interval,
    /// What it means for the player, in a sentence.
    pub words: String,
    /// The two clubs' own shares, where the metric is a share: candidate, then incumbent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub rates: Option<[ClubRate; 2]>,
    /// What the two clubs forgive, where it is about mishits: candidate, then incumbent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub forgiveness: Option<[ClubForgiveness; 2]>,
    /// All that is known from the lie, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub from_lie: Option<FromLie>,
    /// What the two clubs do with a flight that is meant, where it is about one: candidate, then
    /// incumbent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub workability: Option<[ClubWorkability; 2]>,
    /// Which other club of the bag does the job instead; null where no job is lost.
    pub covered_by: Option<CoveredBy>,
}

/// A kind of loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Loss {
    /// Height, a steep landing, or ball speed, from all lies together.
    Flight,
    /// More strikes go wrong, or one costs more.
    Forgiveness,
    /// From one lie; also one that the candidate was never hit from.
    Lie,
    /// A flight that is meant; also one that was never tried.
    Workability,
}

/// What one club forgives.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubForgiveness {
    /// The club.
    pub club: ClubId,
    /// What it forgives.
    #[serde(flatten)]
    pub forgiveness: Forgiveness,
}

/// Two clubs, with all that was gathered of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Two<'s> {
    /// Whose.
    pub player: Player<'s>,
    /// All the player's shots, sorted.
    pub survey: &'s Survey<'s>,
    /// The club that is tried.
    pub candidate: u32,
    /// The club whose place is wanted.
    pub incumbent: u32,
    /// The flight that the question is about.
    pub intent: Intent,
    /// The lie that the question is about, if it is about one.
    pub lie: Option<Lie>,
    /// Their shots like for like.
    pub gathered: &'s LikeForLike,
    /// The clubs of the bag; the two may be among them.
    pub bag: &'s [u32],
    /// How much carries may differ, metres.
    pub margin_m: f64,
    /// The reader's units.
    pub units: Units,
}

impl Two<'_> {
    /// A club's id.
    pub(super) fn id(&self, club: u32) -> &ClubId {
        &self.player.clubs[club as usize].id
    }

    /// What a club is called, as sentences say it.
    pub(super) fn name(&self, club: u32) -> &str {
        &self.player.clubs[club as usize].document.name
    }

    /// The names of candidate and incumbent.
    pub(super) fn names(&self) -> [&str; 2] {
        [self.candidate, self.incumbent].map(|club| self.name(club))
    }

    /// The flight that the question is about, from one lie or from all.
    pub(super) fn job(&self, lie: Option<LieGroup>) -> Job {
        Job { lie, intent: self.intent }
    }

    /// The ids of candidate and incumbent.
    fn ids(&self) -> [ClubId; 2] {
        [self.candidate, self.incumbent].map(|club| self.id(club).clone())
    }

    fn rates(&self, rates: [Rate; 2]) -> [ClubRate; 2] {
        let [candidate, incumbent] = self.ids();
        let [own, other] = rates;
        [ClubRate { club: candidate, rate: own }, ClubRate { club: incumbent, rate: other }]
    }

    fn named(&self, both: [super::Workability; 2]) -> [ClubWorkability; 2] {
        let [candidate, incumbent] = self.ids();
        let [own, other] = both;
        [
            ClubWorkability { club: candidate, workability: own },
            ClubWorkability { club: incumbent, workability: other },
        ]
    }
}

impl GivenUp {
    fn of(kind: Loss, metric: &'static str, difference: Interval, words: String) -> Self {
        Self {
            kind,
            metric,
            difference,
            words,
            rates: None,
            forgiveness: None,
            from_lie: None,
            workability: None,
            covered_by: None,
        }
    }
}

/// Lists what the candidate does less well, where its estimate says so, and what nobody measured.
#[must_use]
pub(super) fn given_up(two: &Two<'_>) -> Vec<GivenUp> {
    let mut lost: Vec<GivenUp> = FLIGHT.iter().filter_map(|loss| of_flight(two, loss)).collect();
    lost.extend(of_mishits(two));
    lost.extend(from_lies(two).into_iter().filter_map(|told| of_lie(two, told)));
    lost.extend(flights::flights(two));
    lost
}

/// A measure of which less is a loss; the verb for it, how, and what follows from it.
type Less = (Measure, [&'static str; 2], &'static str, &'static str);

const FLIGHT: [Less; 3] = [
    (Measure::Apex, ["flies", "fly"], "lower", "a lower flight clears less"),
    (Measure::Descent, ["lands", "land"], "flatter", "harder to stop on a green"),
    (Measure::BallSpeed, ["sends", "send"], "slower", "less speed to carry with"),
];

fn of_flight(two: &Two<'_>, (measure, does, how, means): &Less) -> Option<GivenUp> {
    let metric = Metric::Measured(*measure);
    let difference = two.gathered.interval(metric, None);
    difference.estimate.filter(|estimate| *estimate < 0.0)?;
    let said = Said { metric, units: two.units }.compared(&difference, how);
    let does = seems(&difference, *does);
    let what = if *measure == Measure::BallSpeed { " the ball off" } else { "" };
    let words = format!("{} {does}{what} {said}: {means}.", two.names()[0]);
    Some(GivenUp::of(Loss::Flight, metric.name(), difference, words))
}

/// More mishits, and dearer ones.
fn of_mishits(two: &Two<'_>) -> Vec<GivenUp> {
    let clubs = [two.candidate, two.incumbent];
    let strikes = clubs.map(|club| Strikes::of(two.survey, two.survey.doing(club, two.job(None))));
    let [own, other] = [&strikes[0], &strikes[1]];
    let rates = [own.rate(), other.rate()];
    let more = rates[0].less(&rates[1]);
    let cost = match (own.cost_estimate(), other.cost_estimate()) {
        (Ok(own), Ok(other)) => stats::apart(&own, &other).ok(),
        _ => None,
    };
    let carry = Metric::Measured(Measure::Carry);
    let dearer = cost.and_then(|cost| carry.interval(&cost)).unwrap_or(Interval::UNKNOWN);
    let lost = |interval: &Interval| interval.estimate.is_some_and(|estimate| estimate > 0.0);
    let [candidate, incumbent] = two.names();
    let mut entries = Vec::new();
    if let Some((own, other)) = rates[0].share.zip(rates[1].share).filter(|_| lost(&more)) {
        let words = format!(
            "More of {candidate}'s strikes {} wrong: {} against {} of {incumbent}'s.",
            if more.proves_more() { "go" } else { "seem to go" },
            share(own),
            share(other)
        );
        let rates = Some(two.rates(rates));
        entries
            .push(GivenUp { rates, ..GivenUp::of(Loss::Forgiveness, "mishit_rate", more, words) });
    }
    if lost(&dearer) {
        let said = Said { metric: carry, units: two.units }.compared(&dearer, "more");
        let costs = seems(&dearer, ["costs", "cost"]);
        let words = format!("A mishit {costs} {candidate} {said} than it costs {incumbent}.");
        entries.push(GivenUp::of(Loss::Forgiveness, "mishit_cost_m", dearer, words));
    }
    if let Some(first) = entries.first_mut() {
        let [club, other_club] = two.ids();
        first.forgiveness = Some([
            ClubForgiveness { club, forgiveness: own.forgiveness(two.units) },
            ClubForgiveness { club: other_club, forgiveness: other.forgiveness(two.units) },
        ]);
    }
    entries
}

/// A lie that the incumbent serves, where the candidate loses something or was never compared.
fn of_lie(two: &Two<'_>, told: FromLie) -> Option<GivenUp> {
    let (metric, difference) = first_loss(&told);
    let job_lost = match told.state {
        LieState::Compared => {
            difference.estimate?;
            is_lost(two, &told)
        }
        LieState::NotHit | LieState::NotCompared => {
            if told.hit.incumbent == 0 || told.lie == LieGroup::Unstated {
                return None;
            }
            true
        }
    };
    let lost = LostJob { job: two.job(Some(told.lie)), meant: None, said: told.lie.from() };
    let covered_by = job_lost.then(|| cover(two, lost));
    let entry = GivenUp::of(Loss::Lie, metric, difference, told.words.clone());
    Some(GivenUp { from_lie: Some(told), covered_by, ..entry })
}

/// The first measure in which something is lost from a lie; the carry, unknown, where nothing is or
/// nobody knows.
fn first_loss(told: &FromLie) -> (&'static str, Interval) {
    let less = |measure: Measure| {
        let difference = told.difference(measure);
        let lost = difference.estimate.is_some_and(|estimate| estimate < 0.0);
        lost.then(|| (measure.si_name(), difference))
    };
    let wrong = told.mishit_rate.estimate.is_some_and(|more| more > 0.0);
    [Measure::Carry, Measure::Apex, Measure::Descent]
        .into_iter()
        .find_map(less)
        .or_else(|| wrong.then_some(("mishit_rate", told.mishit_rate)))
        .unwrap_or((Measure::Carry.si_name(), Interval::UNKNOWN))
}

/// Whether the candidate loses a lie: proven shorter or proven wilder, or shorter by more than the
/// margin over as many shots as a verdict needs.
fn is_lost(two: &Two<'_>, told: &FromLie) -> bool {
    let carry = told.difference(Measure::Carry);
    let enough = told.shots.candidate.min(told.shots.incumbent) >= MIN_SHOTS as usize;
    let clearly = carry.estimate.is_some_and(|less| less < -two.margin_m) && enough;
    carry.proves_less() || clearly || told.mishit_rate.proves_more()
}
