//! The shape of the answers about a trial.

use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    course::{Departures, Turn},
    record::StateChange,
};
use crate::{
    bag::{Brief, Candidate, CarryAir, Criterion, VerdictWord},
    shot::{BallId, ClubId, Lie, PlayerId, Sequence, TrialId, TrialState},
};

/// A trial in a list.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ListedTrial {
    /// Its id.
    pub id: TrialId,
    /// What it is called; null where nobody said.
    pub name: Option<String>,
    /// How it stands.
    pub state: TrialState,
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The clubs that are tried.
    pub candidates: Vec<ClubId>,
    /// The frame that opened it.
    pub opened: Sequence,
    /// When that arrived.
    #[schema(value_type = String, format = DateTime)]
    pub opened_at: Timestamp,
    /// The last sequence that changed it; shots apart.
    pub as_of: Sequence,
}

/// A trial: what was fixed when it was opened, how its candidates stand, and what to hit next.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TrialStanding {
    /// Its id.
    pub id: TrialId,
    /// Who.
    pub player: PlayerId,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// What it is called; null where nobody said.
    pub name: Option<String>,
    /// How it stands.
    pub state: TrialState,
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The clubs that are tried.
    pub candidates: Vec<ClubId>,
    /// What they must do: fixed at the opening.
    pub brief: Brief,
    /// The lies to hit from, in turn; of none, whichever.
    pub lies: Vec<Lie>,
    /// The ball to hit; null where it is left open.
    pub ball: Option<BallId>,
    /// Anything; null where nobody said.
    pub notes: Option<String>,
    /// The frame that opened it: later shots count.
    pub opened: Sequence,
    /// When that arrived.
    #[schema(value_type = String, format = DateTime)]
    pub opened_at: Timestamp,
    /// How its state changed since, oldest first.
    pub changes: Vec<StateChange>,
    /// Whether it has 5,000 shots of its clubs, which is the most that it takes.
    pub full: bool,
    /// The air that carries are in: always as hit, also where `/replacements` goes to reference air for the same
    /// brief with a slot, since what a trial rests on must not change under way.
    pub air: CarryAir,
    /// How each candidate stands, ranked, judged after every shot.
    pub standings: Vec<Candidate>,
    /// What to hit, and how.
    pub hitting_order: HittingOrder,
    /// Where shots left the hitting order. They count all the same.
    pub departures: Departures,
    /// What a verdict speaks of, and in which air.
    pub note: String,
}

/// In which order the clubs are hit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct HittingOrder {
    /// What to hit now; null while the trial is not open, or full.
    pub next: Option<Turn>,
    /// And then.
    pub upcoming: Vec<Turn>,
    /// The most shots in a row with one club within a round.
    pub block_shots: u32,
    /// Blocks of a visit.
    pub blocks_a_visit: usize,
    /// Shots of a visit.
    pub shots_a_visit: usize,
    /// Rounds, each a block of every club, after which the order has come out even.
    pub rounds_a_turn: usize,
    /// What is balanced.
    pub balance: &'static str,
    /// How to get on soonest.
    pub advice: &'static str,
}

/// How a trial's evidence grew, shot by shot.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialHistory {
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// What the evidence of each entry is about, in order.
    pub criteria: Vec<HistoryCriterion>,
    /// One entry a counted shot, oldest first.
    pub items: Vec<HistoryItem>,
    /// Whether there are more.
    pub more: bool,
}

/// What a figure of evidence is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct HistoryCriterion {
    /// The criterion.
    pub name: Criterion,
    /// Its measure.
    pub metric: &'static str,
}

/// How the candidates stood after a counted shot.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HistoryItem {
    /// The shot.
    pub sequence: Sequence,
    /// The club that it was hit with.
    pub club: ClubId,
    /// Each candidate, in the order of the trial.
    pub candidates: Vec<HistoryStanding>,
}

/// How one candidate stood.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HistoryStanding {
    /// The candidate.
    pub club: ClubId,
    /// Its verdict by the evidence; what is computed (`carry_kept_in_wind`, `above_computed_floor`)
    /// holds none back here.
    pub verdict: VerdictWord,
    /// The least running maximum of each criterion's evidence, in the order of `criteria`; null before
    /// the first look.
    pub evidence: Vec<Option<f64>>,
}
