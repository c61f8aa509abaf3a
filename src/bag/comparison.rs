//! The answer on two clubs: their differences, how they scatter, and lie by lie.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    brief::Brief,
    conditions::ConditionsOfPair,
    dispersion::{Dispersion, SpreadRatio, USUAL_SHARE, dispersion},
    filter::Filter,
    given_up::{FromLie, Two, from_lies},
    history::Effect,
    like_for_like::{LeftOut, LikeForLike, PairOfBuilds, ShotsOfPair},
    metric::{ByMetric, Interval, Metric, by_metric},
    mix::{Mix, MixOfLies, mix_of_lies},
    next::{Next, next},
    player::Player,
    reflown::{CarryAir, ReferenceAir},
    row::Row,
    survey::Survey,
};
use crate::shot::{ClubId, Measure, PlayerId, Sequence, Units};

/// Candidate minus incumbent, measure by measure.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Comparison {
    /// Who.
    pub player: PlayerId,
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The club that is tried.
    pub candidate: ClubId,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// Visits that hold both clubs, like for like.
    pub sessions: usize,
    /// Shots that the differences rest on.
    pub shots: ShotsOfPair,
    /// Shots of the two clubs that were left out, by the first reason that applies.
    pub left_out: Vec<LeftOut>,
    /// The club's own day that the intervals allow for.
    pub run_effect: Effect,
    /// The air that carries are in.
    pub air: CarryAir,
    /// That air and what was left out of it; null where carries are as hit.
    pub reference_air: Option<ReferenceAir>,
    /// The differences, SI.
    #[schema(schema_with = by_metric::<Interval>)]
    pub differences: ByMetric<Interval>,
    /// Whether there is enough to compare.
    pub state: Comparable,
    /// What to hit next where there is not; null otherwise.
    pub next: Option<Next>,
    /// The spreads of carry and side, the candidate's over the incumbent's.
    pub spread: Vec<SpreadRatio>,
    /// The incumbent's shots from above; null where there are too few.
    pub incumbent_ellipse: Option<Dispersion>,
    /// The candidate's.
    pub candidate_ellipse: Option<Dispersion>,
    /// The two from each lie that one of them was hit from.
    pub by_lie: Vec<FromLie>,
    /// What the mix of lies that was asked for makes of both; null unless asked.
    pub mix: Option<MixOfLies>,
    /// The two flown in wind, cold and wet; null unless asked.
    pub conditions: Option<ConditionsOfPair>,
}

/// Whether two clubs can be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Comparable {
    /// There are as many like-for-like shots as a verdict needs.
    Compared,
    /// There are fewer; without a visit that holds both there is no difference at all.
    Insufficient,
}

/// What is asked of two clubs.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparisonQuestion {
    /// What counts.
    pub filter: Filter,
    /// The share of shots that an ellipse should hold.
    pub share: f64,
    /// A mix of lies to reckon with.
    pub mix: Option<Mix>,
    /// The air that carries are to be in.
    pub air: CarryAir,
    /// The units of its sentences.
    pub units: Units,
}

impl From<&Filter> for ComparisonQuestion {
    fn from(filter: &Filter) -> Self {
        Self {
            filter: filter.clone(),
            share: USUAL_SHARE,
            mix: None,
            air: CarryAir::default(),
            units: Units::default(),
        }
    }
}

/// Compares two clubs, candidate and incumbent by number, metric by metric.
#[must_use]
pub fn comparison(
    player: Player<'_>,
    [candidate, incumbent]: [u32; 2],
    question: &ComparisonQuestion,
) -> Option<Comparison> {
    let evidence = player.evidence(&question.filter);
    let survey = Survey::of(player, &evidence);
    let pair = PairOfBuilds {
        candidate: player.newest_build(candidate),
        incumbent: player.newest_build(incumbent),
        evidence,
    };
    let all: Vec<Metric> = Metric::all().collect();
    let gathered = LikeForLike::of(player, &pair, &all);
    let metrics = Metric::all().filter(|metric| gathered.has(*metric));
    let two = Two {
        player,
        survey: &survey,
        candidate,
        incumbent,
        intent: pair.evidence.intent,
        lie: pair.evidence.lie,
        gathered: &gathered,
        bag: &[],
        margin_m: Brief::default().carry_margin_m,
        units: question.units,
    };
    let shots = gathered.shots(None);
    let next = next(&two, [shots.candidate, shots.incumbent]);
    let rows = |side| gathered.rows(side).map(|row| &player.rows[row as usize]);
    let ellipse = |side| dispersion(&rows(side).collect::<Vec<&Row>>(), question.share);
    let spread = [Measure::Carry, Measure::Side].map(Metric::Measured);
    Some(Comparison {
        player: player.id.clone(),
        incumbent: player.clubs.get(incumbent as usize)?.id.clone(),
        candidate: player.clubs.get(candidate as usize)?.id.clone(),
        as_of: player.as_of,
        sessions: gathered.sessions(None),
        shots,
        left_out: gathered.left_out.clone(),
        run_effect: Effect::of_pair(gathered.frozen.as_ref()),
        air: player.air(),
        reference_air: player.told((0..2).flat_map(rows)),
        differences: ByMetric(metrics.map(|m| (m, gathered.interval(m, None))).collect()),
        state: if next.is_some() { Comparable::Insufficient } else { Comparable::Compared },
        next,
        spread: spread.map(|metric| gathered.spread(metric, None)).to_vec(),
        incumbent_ellipse: ellipse(1),
        candidate_ellipse: ellipse(0),
        by_lie: from_lies(&two),
        mix: question.mix.as_ref().map(|mix| mix_of_lies(&two, mix)),
        conditions: None,
    })
}
