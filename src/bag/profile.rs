//! What a club really does for a player, never what its loft says.

use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    dispersion::{Dispersion, USUAL_SHARE, dispersion},
    filter::{Basis, Evidence, Filter, SUMMARY_SHOTS},
    forgiveness::{Forgiveness, Strikes},
    history::{Effect, WITH_FLOOR, day_effect},
    marks::Build,
    metric::{ByMetric, Metric, MetricSummary, by_metric},
    player::Player,
    profile_words::profile_words,
    rate::Rate,
    reflown::{CarryAir, ReferenceAir},
    row::{Row, Surface},
    survey::{Job, Survey},
    windows::{Calendar, Window, windows},
    workability::{Workability, Worked, workability},
};
use crate::{
    shot::{BallId, ClubId, Intent, Lie, Measure, PlayerId, Sequence, Units},
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
    /// The day of its first shot of all, by the sender's calendar; null without one.
    #[schema(value_type = Option<String>, format = Date)]
    pub first_hit: Option<Date>,
    /// The day of its last shot; null without one.
    #[schema(value_type = Option<String>, format = Date)]
    pub last_hit: Option<Date>,
    /// Those that the figures rest on.
    pub counted: usize,
    /// Mishits among the club's shots on this surface, with this ball and intent.
    pub mishits: usize,
    /// Shots set aside by somebody.
    pub set_aside: usize,
    /// Visits that the counted shots are from.
    pub sessions: usize,
    /// The air that carries are in; all else is as hit.
    pub air: CarryAir,
    /// That air and what was left out of it among the counted shots; null where carries are as hit.
    pub reference_air: Option<ReferenceAir>,
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
    /// How strikes go wrong, and what that costs, on this surface with this ball and intent.
    pub forgiveness: Forgiveness,
    /// The counted shots from above; null where there are too few or their sides are not known.
    pub ellipse: Option<Dispersion>,
    /// What the club does with a flight that is not its stock one, from all lies that were asked
    /// for: one entry a flight.
    pub workability: Vec<Workability>,
    /// The same month by month, quarter by quarter or year by year, oldest first, the newest sixty in
    /// which the club was hit. Null unless asked.
    pub windows: Option<Vec<Window>>,
    /// The same in a sentence.
    pub words: String,
}

/// What is asked about a club.
#[derive(Debug, Clone, PartialEq)]
pub struct ProfileQuestion {
    /// What counts.
    pub filter: Filter,
    /// How the club's time is divided, if it is.
    pub calendar: Option<Calendar>,
    /// The share of shots that the ellipse should hold.
    pub share: f64,
    /// The air that carries are to be in.
    pub air: CarryAir,
    /// The units of its sentences.
    pub units: Units,
}

impl From<&Filter> for ProfileQuestion {
    fn from(filter: &Filter) -> Self {
        Self {
            filter: filter.clone(),
            calendar: None,
            share: USUAL_SHARE,
            air: CarryAir::default(),
            units: Units::default(),
        }
    }
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

/// The metrics that a part of a profile states.
const OF_A_PART: [Metric; 3] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
];

/// Says what a club does, under a filter.
#[must_use]
pub fn profile(player: Player<'_>, club: u32, question: &ProfileQuestion) -> Option<Profile> {
    let ProfileQuestion { filter, calendar, .. } = question;
    let named = player.clubs.get(club as usize)?;
    let build = player.newest_build(club);
    let evidence = player.evidence(filter);
    let basis = player.basis(build, &evidence);
    let day = WITH_FLOOR.map(|tested| day_effect(player.rows, player.marks, tested));
    let last = filter.last.unwrap_or(SUMMARY_SHOTS);
    let counted: Vec<&Row> = on_basis(player, build, &evidence, basis).take(last).collect();
    let survey = Survey::of(player, &evidence);
    let job = Job { lie: None, intent: evidence.intent };
    let here = survey.doing(club, job).filter(|group| basis == Some(group.basis()));
    let strikes = Strikes::of(&survey, here);
    let worked = Worked { club, hand: player.hand, units: question.units };
    let of_club = player.rows.iter().filter(|row| row.club == club);
    let mut told = Profile {
        player: player.id.clone(),
        club: named.id.clone(),
        build: named.document.builds.last().map(build_name),
        as_of: player.as_of,
        surface: basis.map(|basis| basis.surface),
        lies: lies(&counted),
        ball: basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        shots: of_club.clone().count(),
        first_hit: of_club.clone().map(|row| row.date).min(),
        last_hit: of_club.clone().map(|row| row.date).max(),
        counted: counted.len(),
        mishits: strikes.mishits(),
        set_aside: of_club.filter(|row| row.set_aside).count(),
        sessions: distinct(counted.iter().map(|row| row.session)),
        air: player.air(),
        reference_air: player.told(counted.iter().copied()),
        day_effect: Effect::of_day(&day),
        metrics: summaries(Metric::all(), &counted, &day),
        by_lie: by_lie(player, build, &evidence, basis, &day),
        by_ball: by_ball(player, build, &evidence, basis, &day),
        by_intent: by_intent(player, build, &evidence, basis, &day),
        mishit_rate: strikes.rate(),
        forgiveness: strikes.forgiveness(question.units),
        ellipse: dispersion(&counted, question.share),
        workability: workability(&survey, worked),
        windows: calendar
            .as_ref()
            .map(|calendar| windows(player, build, (filter, basis), calendar)),
        words: String::new(),
    };
    told.words = profile_words(&named.document.name, &told, question.units);
    Some(told)
}

/// What was done, else the day from which it counts.
pub(super) fn build_name(build: &crate::shot::Build) -> String {
    build.what.clone().unwrap_or_else(|| build.from.to_string())
}

pub(super) fn on_basis<'a>(
    player: Player<'a>,
    build: Build,
    evidence: &'a Evidence,
    basis: Option<Basis>,
) -> impl Iterator<Item = &'a Row> {
    player.counted(build, evidence).filter(move |row| basis == Some(Basis::of(row)))
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
