//! The bag as a ladder of carries: rungs, gaps, overlaps, and lofts that carry says otherwise of.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    brief::Brief,
    drift::{SuspectedDrift, suspected},
    filter::{Basis, Evidence, Filter, SUMMARY_SHOTS},
    history::{WITH_FLOOR, day_effect},
    ladder_words::ladder_words,
    like_for_like::{LikeForLike, PairOfBuilds},
    measure::METRES_PER_YARD,
    metric::{ByMetric, Metric, MetricSummary, by_metric, number_by_metric},
    player::Player,
    profile::summaries,
    reflown::{CarryAir, ReferenceAir},
    row::{Row, Surface},
};
use crate::{
    shot::{BallId, ClubId, Measure, PlayerId, Sequence, Units},
    stats::{self, PlayerSd},
};

/// Clubs allowed in a bag (Rules of Golf, Rule 4.1b: no more than 14 clubs).
pub const CLUBS_ALLOWED: usize = 14;
/// A gap is called wide above this: 15 yards (common practice, no source).
pub const WIDE_GAP_M: f64 = 15.0 * METRES_PER_YARD;

/// What a ladder is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LadderQuestion {
    /// The clubs of the bag, by number; without it every club that is not tried only.
    pub bag: Option<Vec<u32>>,
    /// What counts.
    pub filter: Filter,
    /// The units of its sentences.
    pub units: Units,
}

/// Carries in order.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Ladder {
    /// Who.
    pub player: PlayerId,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// The surface that the rungs are from; null without a counted shot.
    pub surface: Option<Surface>,
    /// The ball that the rungs are from; null where unstated.
    pub ball: Option<BallId>,
    /// The air that carries are in; all else is as hit.
    pub air: CarryAir,
    /// That air and what was left out of it among the rungs' shots; null where carries are as hit.
    pub reference_air: Option<ReferenceAir>,
    /// Clubs by carry, shortest first; clubs without a counted shot last.
    pub rungs: Vec<Rung>,
    /// Every neighbouring pair's width.
    pub gaps: Vec<Gap>,
    /// A gap is `wide` above this, metres.
    pub wide_above_m: f64,
    /// Pairs that carry the same, to within the brief's margin.
    pub overlaps: Vec<Overlap>,
    /// Pairs whose stronger loft does not carry further than the margin.
    pub inversions: Vec<Inversion>,
    /// The 14-club rule.
    pub limit: Limit,
    /// The same in sentences.
    pub words: String,
}

/// One club of a ladder.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Rung {
    /// The club.
    pub club: ClubId,
    /// Its loft: measured, else stamped.
    pub loft_deg: Option<f64>,
    /// What it does.
    #[schema(schema_with = by_metric::<MetricSummary>)]
    pub metrics: ByMetric<MetricSummary>,
    /// Whether it may have left its slot, over all its shots; null where nothing says so.
    pub drift: Option<SuspectedDrift>,
}

/// The distance between two neighbouring rungs.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Gap {
    /// The shorter club.
    pub from: ClubId,
    /// The longer club.
    pub to: ClubId,
    /// Distance of their carry centres, metres.
    pub width_m: f64,
    /// Whether it is wider than a ladder should have.
    pub wide: bool,
}

/// Two clubs for one carry.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Overlap {
    /// The shorter and the longer club.
    pub clubs: [ClubId; 2],
    /// Their carry centres, metres.
    pub carry_m: [f64; 2],
    /// The longer club less the shorter, centre by centre, SI.
    #[schema(schema_with = number_by_metric)]
    pub differs_by: ByMetric<f64>,
}

/// A loft that carry says otherwise of.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Inversion {
    /// The club with the stronger (lower) loft, then the weaker.
    pub clubs: [ClubId; 2],
    /// Their lofts.
    pub loft_deg: [f64; 2],
    /// Their carry centres, metres.
    pub carry_m: [f64; 2],
    /// Whether the like-for-like interval rules out that the stronger one carries further than
    /// the margin.
    pub proven: bool,
}

/// How many clubs there are, and may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct Limit {
    /// Clubs in the bag, the putter too.
    pub clubs: usize,
    /// Clubs that the rules allow.
    pub allowed: usize,
}

/// A rung with what the ladder reckons with.
struct Step<'a> {
    club: u32,
    rows: Vec<&'a Row>,
    loft: Option<f64>,
    centre: Option<f64>,
    rung: Rung,
}

/// The metrics of a rung.
const OF_A_RUNG: [Metric; 6] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::Total),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::Descent),
];

/// Builds the ladder of a player's bag.
#[must_use]
pub fn ladder(player: Player<'_>, question: &LadderQuestion) -> Ladder {
    let evidence = player.evidence(&question.filter);
    let basis = player.main_basis(&evidence);
    let members = members(player, question);
    let day = WITH_FLOOR.map(|tested| day_effect(player.rows, player.marks, tested));
    let mut steps: Vec<Step<'_>> = members
        .iter()
        .filter(|club| !player.clubs[**club as usize].is_putter())
        .map(|club| step(player, *club, (&evidence, basis), &day))
        .collect();
    // By carry; clubs that have none, last; of equals by their ids.
    let id = |club: u32| &player.clubs[club as usize].id;
    steps.sort_by(|a, b| {
        let key = |step: &Step<'_>| step.centre.unwrap_or(f64::INFINITY);
        key(a).total_cmp(&key(b)).then_with(|| id(a.club).cmp(id(b.club)))
    });
    let mut told = Ladder {
        player: player.id.clone(),
        as_of: player.as_of,
        surface: basis.map(|basis| basis.surface),
        ball: basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        air: player.air(),
        reference_air: player.told(steps.iter().flat_map(|step| step.rows.iter().copied())),
        gaps: gaps(&steps),
        wide_above_m: WIDE_GAP_M,
        overlaps: overlaps(&steps),
        inversions: inversions(player, &steps, &evidence),
        limit: Limit { clubs: members.len(), allowed: CLUBS_ALLOWED },
        rungs: steps.into_iter().map(|step| step.rung).collect(),
        words: String::new(),
    };
    told.words = ladder_words(player, &told, question.units);
    told
}

/// Every club's carry centre on one surface and ball, by club number: who is near whom.
#[derive(Debug, Clone, Default)]
pub(super) struct Centres(Vec<Option<f64>>);

impl Centres {
    /// The centres of the newest builds' last counted shots, in one walk over all shots.
    pub(super) fn of(player: Player<'_>, evidence: &Evidence, basis: Basis) -> Self {
        let mut carries: Vec<Vec<f64>> = vec![Vec::new(); player.clubs.len()];
        let arrived = player.marks.places().len();
        for place in player.marks.places().iter().rev() {
            let row = &player.rows[place.row as usize];
            let counts = place.build == player.newest_build(place.build.club)
                && Basis::of(row) == basis
                && !place.is_mishit(arrived)
                && evidence.admits(row);
            let Some(carry) = row.measures.get(Measure::Carry).filter(|_| counts) else { continue };
            match carries.get_mut(place.build.club as usize) {
                Some(own) if own.len() < SUMMARY_SHOTS => own.push(carry),
                _ => {}
            }
        }
        let centre = |own: Vec<f64>| stats::Summary::of(&own).ok()?.huber;
        Self(carries.into_iter().map(centre).collect())
    }

    /// A club's centre, if it has one.
    pub(super) fn get(&self, club: u32) -> Option<f64> {
        *self.0.get(club as usize)?
    }
}

fn members(player: Player<'_>, question: &LadderQuestion) -> Vec<u32> {
    let owned = |(number, club): (u32, &super::club::NamedClub)| club.is_owned().then_some(number);
    question.bag.clone().unwrap_or_else(|| (0_u32..).zip(player.clubs).filter_map(owned).collect())
}

fn step<'a>(
    player: Player<'a>,
    club: u32,
    (evidence, basis): (&'a Evidence, Option<Basis>),
    day: &[PlayerSd; 3],
) -> Step<'a> {
    let named = &player.clubs[club as usize];
    let rows: Vec<&Row> = player
        .counted(player.newest_build(club), evidence)
        .filter(|row| basis == Some(Basis::of(row)))
        .take(SUMMARY_SHOTS)
        .collect();
    let metrics = summaries(OF_A_RUNG, &rows, day);
    let centre =
        metrics.get(Metric::Measured(Measure::Carry)).and_then(|carry| carry.centre.or(carry.mean));
    let loft = named.loft_deg();
    let drift = suspected(player, club);
    let rung = Rung { club: named.id.clone(), loft_deg: loft, metrics, drift };
    Step { club, rows, loft, centre, rung }
}

fn gaps(steps: &[Step<'_>]) -> Vec<Gap> {
    let neighbours = steps.iter().zip(steps.iter().skip(1));
    neighbours
        .filter_map(|(shorter, longer)| {
            let width_m = longer.centre? - shorter.centre?;
            Some(Gap {
                from: shorter.rung.club.clone(),
                to: longer.rung.club.clone(),
                width_m,
                wide: width_m > WIDE_GAP_M,
            })
        })
        .collect()
}

fn pairs<'s, 'a>(steps: &'s [Step<'a>]) -> impl Iterator<Item = (&'s Step<'a>, &'s Step<'a>)> {
    steps
        .iter()
        .enumerate()
        .flat_map(|(index, one)| steps[index + 1..].iter().map(move |other| (one, other)))
}

fn overlaps(steps: &[Step<'_>]) -> Vec<Overlap> {
    let margin = Brief::default().carry_margin_m;
    pairs(steps)
        .filter_map(|(shorter, longer)| {
            let carry_m = [shorter.centre?, longer.centre?];
            (carry_m[1] - carry_m[0] <= margin).then(|| Overlap {
                clubs: [shorter.rung.club.clone(), longer.rung.club.clone()],
                carry_m,
                differs_by: differs_by(&shorter.rung.metrics, &longer.rung.metrics),
            })
        })
        .collect()
}

fn differs_by(
    shorter: &ByMetric<MetricSummary>,
    longer: &ByMetric<MetricSummary>,
) -> ByMetric<f64> {
    let difference = |(metric, of_longer): &(Metric, MetricSummary)| {
        let of_shorter = shorter.get(*metric)?;
        Some((*metric, of_longer.centre? - of_shorter.centre?))
    };
    ByMetric(longer.0.iter().filter_map(difference).collect())
}

fn inversions(player: Player<'_>, steps: &[Step<'_>], evidence: &Evidence) -> Vec<Inversion> {
    let margin = Brief::default().carry_margin_m;
    pairs(steps)
        .filter_map(|(one, other)| {
            let (one_loft, other_loft) = (one.loft?, other.loft?);
            let (stronger, weaker) = match one_loft.total_cmp(&other_loft) {
                std::cmp::Ordering::Less => (one, other),
                std::cmp::Ordering::Greater => (other, one),
                std::cmp::Ordering::Equal => return None,
            };
            let carry_m = [stronger.centre?, weaker.centre?];
            (carry_m[0] - carry_m[1] <= margin).then(|| Inversion {
                clubs: [stronger.rung.club.clone(), weaker.rung.club.clone()],
                loft_deg: [one_loft.min(other_loft), one_loft.max(other_loft)],
                carry_m,
                proven: carries_no_further(player, (stronger.club, weaker.club), evidence, margin),
            })
        })
        .collect()
}

/// Whether the interval of stronger minus weaker lies below the margin.
fn carries_no_further(
    player: Player<'_>,
    (stronger, weaker): (u32, u32),
    evidence: &Evidence,
    margin: f64,
) -> bool {
    let pair = PairOfBuilds {
        candidate: player.newest_build(stronger),
        incumbent: player.newest_build(weaker),
        evidence: evidence.clone(),
    };
    let metric = Metric::Measured(Measure::Carry);
    let carry = LikeForLike::of(player, &pair, &[metric]).interval(metric, None);
    carry.high.is_some_and(|high| high < margin)
}
