//! Trials: clubs hit head to head under a brief that was fixed before the first shot. In come the
//! player's shots and the trial's record; out come how each candidate stands after every shot, what to
//! hit next, where the shots left that order, and how the evidence grew.

mod answer;
mod course;
mod history;
mod order;
mod record;

use super::{
    brief::Brief,
    flown::Fits,
    pair::{PairQuestion, Standing},
    player::Player,
    replacement::{ReplacementQuestion, Reported, replacements},
    row::Row,
};
use crate::shot::{TrialId, TrialState, Units};

pub use answer::{
    HistoryCriterion, HistoryItem, HistoryStanding, HittingOrder, ListedTrial, TrialHistory,
    TrialStanding,
};
pub use course::{DEPARTURES_TOLD, Departure, DepartureCount, DepartureKind, Departures, Turn};
pub use history::{HistoryPart, trial_history};
pub use order::{Block, Layout, Order};
pub use record::{STATE_CHANGES_MAX, StateChange, TrialRecord};

use course::Course;

const BALANCE: &str = "Each round has a block of every club, and every two rounds mirror one another, so \
                       that warming up, tiring and a changing wind touch all clubs alike; over a turn \
                       each club is in each place, right behind each other club, and first of two \
                       rounds equally often. Lies come in turn, two rounds each.";

const ADVICE: &str = "Many short visits beat few long ones: a club has days of its own. Two visits are \
                      needed before anything replaces anything. Do not hit more balls than your body \
                      likes.";

const SLOT_AS_HIT: &str = "Its slot is held against carries as hit, in the air of each day: what a trial \
                           rests on does not change under way.";

/// The most shots of its clubs that a trial takes: a hundred visits of fifty balls. Each is a look at
/// all visits, so that without an end its answers would come ever later.
pub const TRIAL_SHOTS_MAX: usize = 5_000;

/// What a trial asks of its player's shots, with sentences in some units; `None` where a club of it is not known.
#[must_use]
pub fn trial_question(
    player: Player<'_>,
    record: &TrialRecord,
    units: Units,
) -> Option<ReplacementQuestion> {
    let trial = &record.trial;
    let candidates = trial.candidates.iter().map(|club| player.club_number(club));
    let (incumbent, candidates): (u32, Vec<u32>) =
        (player.club_number(&trial.incumbent)?, candidates.collect::<Option<_>>()?);
    let mut stretches = record.stretches();
    let of_trial = |club: u32| club == incumbent || candidates.contains(&club);
    let first = player.rows.partition_point(|row| row.sequence < stretches.opened());
    let counts =
        |row: &&Row| row.is_present() && of_trial(row.club) && stretches.hold(row.sequence);
    let full_at = player.rows[first..].iter().filter(counts).nth(TRIAL_SHOTS_MAX);
    if let Some(full_at) = full_at.map(|row| row.sequence) {
        stretches.fill(full_at);
    }
    let brief = Brief::from(&trial.brief);
    let reported = Reported { units, ..Reported::default() };
    Some(ReplacementQuestion { incumbent, candidates, brief, reported, stretches: Some(stretches) })
}

/// How a trial stands, given each pair's standing in the order of its question's pairs.
#[must_use]
pub fn trial_standing(
    player: Player<'_>,
    (id, record): (&TrialId, &TrialRecord),
    (question, standings): (&ReplacementQuestion, &[(PairQuestion, Standing)]),
    fits: &mut Fits,
) -> Option<TrialStanding> {
    let judged = replacements(player, question, standings, fits)?;
    let trial = record.trial.clone();
    let clubs = [question.incumbent].into_iter().chain(question.candidates.iter().copied());
    let stretches = question.stretches.clone().unwrap_or_else(|| record.stretches());
    let course = Course::of(player, (&record.trial, clubs.collect()), &stretches);
    let state = record.state();
    let goes_on = state == TrialState::Open && !stretches.is_full();
    Some(TrialStanding {
        id: id.clone(),
        player: judged.player,
        as_of: judged.as_of,
        name: trial.name,
        state,
        incumbent: judged.incumbent,
        candidates: trial.candidates,
        brief: judged.brief,
        lies: trial.lies,
        ball: trial.ball,
        notes: trial.notes,
        opened: record.opened,
        opened_at: record.opened_at,
        changes: record.changes.clone(),
        air: judged.air,
        standings: judged.candidates,
        full: stretches.is_full(),
        hitting_order: hitting_order(&course, goes_on),
        departures: course.departures(),
        note: match question.brief.slot_low_m {
            Some(_) => format!("{} {SLOT_AS_HIT}", judged.note),
            None => judged.note.to_owned(),
        },
    })
}

fn hitting_order(course: &Course<'_>, goes_on: bool) -> HittingOrder {
    let order = course.order();
    let mut turns = course.turns().into_iter().filter(|_| goes_on);
    HittingOrder {
        next: turns.next(),
        upcoming: turns.collect(),
        block_shots: order.block_shots(),
        blocks_a_visit: order.blocks_a_visit(),
        shots_a_visit: order.blocks_a_visit() * order.block_shots() as usize,
        rounds_a_turn: order.rounds_a_turn(),
        balance: BALANCE,
        advice: ADVICE,
    }
}

impl ListedTrial {
    /// A trial as lists show it, as of the last sequence that changed it.
    #[must_use]
    pub fn of((id, record): (&TrialId, &TrialRecord), as_of: crate::shot::Sequence) -> Self {
        Self {
            id: id.clone(),
            name: record.trial.name.clone(),
            state: record.state(),
            incumbent: record.trial.incumbent.clone(),
            candidates: record.trial.candidates.clone(),
            opened: record.opened,
            opened_at: record.opened_at,
            as_of,
        }
    }
}
