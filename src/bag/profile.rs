//! What a club really does for a player, never what its loft says.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    filter::{Basis, Evidence, Filter, SUMMARY_SHOTS},
    history::{Effect, WITH_FLOOR, day_effect},
    marks::{Build, judged_strike},
    metric::{ByMetric, Metric, MetricSummary, by_metric},
    player::Player,
    row::{Row, Surface},
};
use crate::{
    shot::{BallId, ClubId, Intent, Lie, Measure, PlayerId, Sequence},
    stats::PlayerSd,
};

/// A club's profile on one surface.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Profile {
    /// Who.
    pub player: PlayerId,
    /// Which club.
    pub club: ClubId,
    /// What was last done to it; null while it is as it came.
    pub build: Option<String>,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// The surface that the figures are from; null without a counted shot.
    pub surface: Option<Surface>,
    /// The lies that this holds.
    pub lies: Vec<Lie>,
    /// The ball that the figures are from; null where unstated.
    pub ball: Option<BallId>,
    /// All shots of the club.
    pub shots: usize,
    /// Those that the figures rest on.
    pub counted: usize,
    /// Mishits among the club's shots on this surface, with this ball and intent.
    pub mishits: usize,
    /// Shots set aside by somebody.
    pub set_aside: usize,
    /// Visits that the counted shots are from.
    pub sessions: usize,
    /// Figures are as hit, in the air of the day.
    pub air: &'static str,
    /// The sd of a whole day's effect that the intervals allow for.
    pub day_effect: Effect,
    /// The figures.
    #[schema(schema_with = by_metric::<MetricSummary>)]
    pub metrics: ByMetric<MetricSummary>,
    /// Counted shots by lie.
    pub by_lie: Vec<Part>,
    /// Counted shots by ball.
    pub by_ball: Vec<Part>,
    /// Shots by what the player meant, mishits apart.
    pub by_intent: Vec<Part>,
    /// The share of strikes that the screen found to be mishits.
    pub mishit_rate: Rate,
}

/// A part of a club's shots.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Part {
    /// The lie, where the parts are lies; null where unstated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Option<Lie>>,
    /// The ball, where the parts are balls; null where unstated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ball: Option<Option<BallId>>,
    /// The intent, where the parts are intents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub intent: Option<Intent>,
    /// Shots in it, mishits apart.
    pub shots: usize,
    /// Their figures.
    #[schema(schema_with = by_metric::<MetricSummary>)]
    pub metrics: ByMetric<MetricSummary>,
}

/// A share with its 95 % interval (Wilson 1927).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Rate {
    /// How many were asked.
    pub n: usize,
    /// Those that said yes, as a share; null of none.
    pub share: Option<f64>,
    /// Lower end.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
}

impl Rate {
    /// `hits` of `n`. Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927).
    #[must_use]
    #[allow(clippy::cast_precision_loss)] // counts of shots stay far below 2^52
    pub fn of(hits: usize, n: usize) -> Self {
        // The 97.5 % point of the normal law.
        const Z: f64 = 1.959_963_984_540_054;
        if n == 0 {
            return Self { n, share: None, low: None, high: None };
        }
        let (count, share) = (n as f64, hits as f64 / n as f64);
        let middle = share + Z * Z / (2.0 * count);
        let reach = Z * (share * (1.0 - share) / count + Z * Z / (4.0 * count * count)).sqrt();
        let scale = 1.0 + Z * Z / count;
        Self {
            n,
            share: Some(share),
            low: Some(((middle - reach) / scale).max(0.0)),
            high: Some(((middle + reach) / scale).min(1.0)),
        }
    }
}

/// The metrics that a part of a profile states.
const OF_A_PART: [Metric; 3] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
];

/// Says what a club does, under a filter.
#[must_use]
pub fn profile(player: Player<'_>, club: u32, filter: &Filter) -> Option<Profile> {
    let named = player.clubs.get(club as usize)?;
    let build = player.newest_build(club);
    let evidence = player.evidence(filter);
    let basis = player.basis(build, &evidence);
    let day = WITH_FLOOR.map(|tested| day_effect(player.rows, player.marks, tested));
    let last = filter.last.unwrap_or(SUMMARY_SHOTS);
    let counted: Vec<&Row> = on_basis(player, build, &evidence, basis).take(last).collect();
    let strikes = Strikes::of(player, build, &evidence, basis);
    let of_club = player.rows.iter().filter(|row| row.club == club);
    Some(Profile {
        player: player.id.clone(),
        club: named.id.clone(),
        build: named.document.builds.last().map(build_name),
        as_of: player.as_of,
        surface: basis.map(|basis| basis.surface),
        lies: lies(&counted),
        ball: basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        shots: of_club.clone().count(),
        counted: counted.len(),
        mishits: strikes.mishits,
        set_aside: of_club.filter(|row| row.set_aside).count(),
        sessions: distinct(counted.iter().map(|row| row.session)),
        air: "as_hit",
        day_effect: Effect::of(&day),
        metrics: summaries(Metric::all(), &counted, &day),
        by_lie: by_lie(player, build, &evidence, basis, &day),
        by_ball: by_ball(player, build, &evidence, basis, &day),
        by_intent: by_intent(player, build, &evidence, basis, &day),
        mishit_rate: Rate::of(strikes.mishits, strikes.all),
    })
}

/// What was done, else the day from which it counts.
pub(super) fn build_name(build: &crate::shot::Build) -> String {
    build.what.clone().unwrap_or_else(|| build.from.to_string())
}

fn on_basis<'a>(
    player: Player<'a>,
    build: Build,
    evidence: &'a Evidence,
    basis: Option<Basis>,
) -> impl Iterator<Item = &'a Row> {
    player.counted(build, evidence).filter(move |row| basis == Some(Basis::of(row)))
}

/// All judged strikes and the mishits among them.
struct Strikes {
    all: usize,
    mishits: usize,
}

impl Strikes {
    fn of(player: Player<'_>, build: Build, evidence: &Evidence, basis: Option<Basis>) -> Self {
        let arrived = player.marks.places().len();
        let mut strikes = Self { all: 0, mishits: 0 };
        for place in player.marks.places().iter().filter(|place| place.build == build) {
            let row = &player.rows[place.row as usize];
            if evidence.admits(row) && basis == Some(Basis::of(row)) && judged_strike(row).is_some()
            {
                strikes.all += 1;
                strikes.mishits += usize::from(place.is_mishit(arrived));
            }
        }
        strikes
    }
}

/// Summaries of some metrics, those without a value left out.
pub(super) fn summaries(
    metrics: impl IntoIterator<Item = Metric>,
    rows: &[&Row],
    day: &[PlayerSd; 3],
) -> ByMetric<MetricSummary> {
    let summary = |metric| (metric, MetricSummary::of(metric, rows, day));
    let decides = |metric: &Metric| OF_A_PART.contains(metric);
    ByMetric(
        metrics
            .into_iter()
            .map(summary)
            .filter(|(metric, summary)| summary.n > 0 || decides(metric))
            .collect(),
    )
}

fn by_lie(
    player: Player<'_>,
    build: Build,
    evidence: &Evidence,
    basis: Option<Basis>,
    day: &[PlayerSd; 3],
) -> Vec<Part> {
    let evidence = Evidence { lie: None, ball: basis.map(|basis| basis.ball), ..evidence.clone() };
    let rows: Vec<&Row> = player.counted(build, &evidence).take(SUMMARY_SHOTS).collect();
    parts(&rows, |row| row.lie, day, |lie, part| Part { lie: Some(lie), ..part })
}

fn by_ball(
    player: Player<'_>,
    build: Build,
    evidence: &Evidence,
    basis: Option<Basis>,
    day: &[PlayerSd; 3],
) -> Vec<Part> {
    let evidence = Evidence { ball: None, ..evidence.clone() };
    let rows: Vec<&Row> = player
        .counted(build, &evidence)
        .filter(|row| basis.is_some_and(|basis| basis.surface == row.surface()))
        .take(SUMMARY_SHOTS)
        .collect();
    parts(
        &rows,
        |row| row.ball,
        day,
        |ball, part| Part { ball: Some(player.ball_id(ball).cloned()), ..part },
    )
}

fn by_intent(
    player: Player<'_>,
    build: Build,
    evidence: &Evidence,
    basis: Option<Basis>,
    day: &[PlayerSd; 3],
) -> Vec<Part> {
    let arrived = player.marks.places().len();
    let rows: Vec<&Row> = player
        .marks
        .places()
        .iter()
        .rev()
        .filter(|place| place.build == build && !place.is_mishit(arrived))
        .map(|place| &player.rows[place.row as usize])
        .filter(|row| Evidence { intent: row.intent, ..evidence.clone() }.admits(row))
        .filter(|row| basis == Some(Basis::of(row)))
        .take(SUMMARY_SHOTS)
        .collect();
    parts(&rows, |row| row.intent, day, |intent, part| Part { intent: Some(intent), ..part })
}

/// Splits rows by a key, in the order in which the keys were first seen among the newest.
fn parts<K: PartialEq + Copy>(
    rows: &[&Row],
    key: impl Fn(&Row) -> K,
    day: &[PlayerSd; 3],
    name: impl Fn(K, Part) -> Part,
) -> Vec<Part> {
    let mut groups: Vec<(K, Vec<&Row>)> = Vec::new();
    for row in rows {
        let of = key(row);
        match groups.iter_mut().find(|(known, _)| *known == of) {
            Some((_, group)) => group.push(row),
            None => groups.push((of, vec![row])),
        }
    }
    let part = |(of, group): (K, Vec<&Row>)| {
        let metrics = summaries(OF_A_PART, &group, day);
        name(of, Part { lie: None, ball: None, intent: None, shots: group.len(), metrics })
    };
    groups.into_iter().map(part).collect()
}

fn lies(rows: &[&Row]) -> Vec<Lie> {
    let mut lies: Vec<Lie> = rows.iter().filter_map(|row| row.lie).collect();
    lies.sort_unstable();
    lies.dedup();
    lies
}

/// How many different values there are.
pub(super) fn distinct(values: impl Iterator<Item = u32>) -> usize {
    let mut values: Vec<u32> = values.collect();
    values.sort_unstable();
    values.dedup();
    values.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_has_the_interval_of_a_published_example() {
        // Newcombe 1998, Statistics in Medicine 17, table I, method 3: 81 of 263 and 15 of 148.
        let close = |value: Option<f64>, published: f64| {
            value.is_some_and(|value| (value - published).abs() < 5e-5)
        };
        let rate = Rate::of(81, 263);
        assert!(close(rate.low, 0.2553) && close(rate.high, 0.3662), "{rate:?}");
        let rate = Rate::of(15, 148);
        assert!(close(rate.low, 0.0624) && close(rate.high, 0.1605), "{rate:?}");
        let rate = Rate::of(0, 20);
        assert!(close(rate.low, 0.0) && close(rate.high, 0.1611), "{rate:?}");
    }
}
