//! Whether clubs have moved: club by club whether it carries as it did, since when it may not, and by
//! how much. A question to the player, never a fact.

mod answer;
mod sessions;
mod words;

use super::{measure::METRES_PER_YARD, player::Player, profile::build_name};
use crate::{
    shot::Units,
    stats::{self, Side},
};

pub use answer::{
    CarryChange, Direction, DriftBaseline, DriftScore, DriftState, Drifts, FalseAlarms,
    SuspectedDrift, VisitOfPlayer, WatchedClub,
};
pub use sessions::{Alarm, Baseline, ClubDrift, Drift, Scored, Visited};

use words::words;

/// Sessions that are shown of a club, the newest.
const SCORES_SHOWN: usize = 50;
/// Visits that tell how far a club is from its slot now: as many as the slot is learnt from.
const VISITS_NOW: usize = 5;
/// Earlier drifts that are shown of a club, the newest.
const EARLIER_SHOWN: usize = 10;

/// What stands beside every set of drifts.
const NOTE: &str = "A club's slot is its baseline: its first five visits. Later ones are held against \
                    it, less what the player's other clubs did that day; a visit is read when the \
                    next one begins. A drift is a question to the player and no fact: \
                    `false_alarms` says how often it is asked for nothing. A club that was changed is \
                    watched anew once that build is told.";

/// What is asked about drift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DriftQuestion {
    /// One club, by number; without it all but putters.
    pub club: Option<u32>,
    /// The units of its sentences.
    pub units: Units,
}

/// Says of clubs whether they carry as they did.
#[must_use]
pub fn drifts(player: Player<'_>, question: &DriftQuestion) -> Drifts {
    let watched = |number: &u32| {
        let club = &player.clubs[*number as usize];
        !club.removed && !club.is_putter() && question.club.is_none_or(|asked| asked == *number)
    };
    let mut numbers: Vec<u32> =
        (0_u32..).zip(player.clubs).map(|(number, _)| number).filter(watched).collect();
    numbers.sort_by_key(|number| &player.clubs[*number as usize].id);
    let stated = stats::DRIFT_FALSE_ALARMS;
    Drifts {
        player: player.id.clone(),
        as_of: player.as_of,
        clubs: numbers.into_iter().map(|club| watch(player, club, question.units)).collect(),
        alarm_above: stats::CUSUM_H,
        false_alarms: FalseAlarms {
            sessions: stated.sessions,
            beside_others: stated.beside_others,
            alone: stated.alone,
        },
        note: NOTE,
    }
}

/// The drift that a club's newest build is asked about now.
#[must_use]
pub(super) fn suspected(player: Player<'_>, club: u32) -> Option<SuspectedDrift> {
    let drift = player.drift.of(player.newest_build(club))?;
    let last = drift.alarms.last().filter(|_| drift.baseline().is_none())?;
    suspicion(player, drift, last)
}

fn watch(player: Player<'_>, club: u32, units: Units) -> WatchedClub {
    let named = &player.clubs[club as usize];
    let build = player.newest_build(club);
    let basis = player.drift.basis(build);
    let nothing = ClubDrift::default();
    let drift = player.drift.of(build).unwrap_or(&nothing);
    let now = suspected(player, club);
    let past = drift.alarms.len() - usize::from(now.is_some());
    let earlier = drift.alarms[..past].iter().rev().take(EARLIER_SHOWN);
    let since_alarm = drift.scores.iter().rev().take_while(|scored| !scored.alarm);
    let newest: Vec<&Scored> = since_alarm.take(VISITS_NOW).collect();
    let shown = &drift.scores[drift.scores.len().saturating_sub(SCORES_SHOWN)..];
    WatchedClub {
        club: named.id.clone(),
        build: named.document.builds.last().map(build_name),
        state: match (drift.baseline(), &now) {
            (_, Some(_)) => DriftState::MayHaveDrifted,
            (Some(_), None) => DriftState::Steady,
            (None, None) => DriftState::Learning,
        },
        sessions_needed: drift.sessions_needed(),
        surface: basis.map(|basis| basis.surface),
        ball: basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        baseline: drift.baseline().and_then(|baseline| baseline_of(player, baseline)),
        from_slot_m: change(&newest),
        words: words(&named.document.name, drift, now.as_ref(), units),
        drift: now,
        earlier: earlier.filter_map(|alarm| suspicion(player, drift, alarm)).collect(),
        scores: shown.iter().filter_map(|scored| score(player, scored)).collect(),
    }
}

fn suspicion(player: Player<'_>, drift: &ClubDrift, alarm: &Alarm) -> Option<SuspectedDrift> {
    let scores: Vec<&Scored> = drift.scores.get(alarm.scores.clone())?.iter().collect();
    let (first, last) = (scores.first()?, scores.last()?);
    Some(SuspectedDrift {
        direction: match alarm.side {
            Side::Above => Direction::Longer,
            Side::Below => Direction::Shorter,
        },
        began: visit(player, &first.visited)?,
        alarm: visit(player, &last.visited)?,
        carry_change_m: change(&scores)?,
        sessions: scores.len(),
        alone: scores.iter().filter(|scored| scored.score.others == 0).count(),
        baseline: baseline_of(player, &alarm.baseline)?,
    })
}

/// How far some visits lie from the baseline.
fn change(scores: &[&Scored]) -> Option<CarryChange> {
    let shift = stats::Shift::over(scores.iter().map(|scored| &scored.score))?;
    Some(CarryChange {
        estimate: shift.by * METRES_PER_YARD,
        low: shift.low * METRES_PER_YARD,
        high: shift.high * METRES_PER_YARD,
        inferred: scores.iter().any(|scored| scored.visited.inferred),
    })
}

fn baseline_of(player: Player<'_>, baseline: &Baseline) -> Option<DriftBaseline> {
    let [from, to] = &baseline.sessions;
    Some(DriftBaseline {
        carry_m: baseline.carry.centre * METRES_PER_YARD,
        carry_sd_m: baseline.carry.s * METRES_PER_YARD,
        sessions: baseline.carry.sessions,
        shots: baseline.carry.shots.fewest(),
        from: visit(player, from)?,
        to: visit(player, to)?,
    })
}

fn score(player: Player<'_>, scored: &Scored) -> Option<DriftScore> {
    Some(DriftScore {
        visit: visit(player, &scored.visited)?,
        shots: scored.visited.carries.n(),
        carry_m: scored.visited.carries.mean() * METRES_PER_YARD,
        carry_change_m: scored.score.moved * METRES_PER_YARD,
        others: scored.score.others,
        score: scored.score.score,
        longer: scored.sums[0],
        shorter: scored.sums[1],
        alarm: scored.alarm,
    })
}

fn visit(player: Player<'_>, visited: &Visited) -> Option<VisitOfPlayer> {
    let first = player.marks.places().get(visited.first as usize)?;
    let row = player.rows.get(first.row as usize)?;
    let session = player.sessions.get(visited.session as usize)?;
    Some(VisitOfPlayer { session: (*session).to_owned(), date: row.date, sequence: row.sequence })
}
