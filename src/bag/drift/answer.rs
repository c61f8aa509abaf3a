//! The shape of the answer.

use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

use crate::{
    bag::Surface,
    shot::{BallId, ClubId, PlayerId, Sequence},
};

/// Whether clubs carry as they did.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Drifts {
    /// Who.
    pub player: PlayerId,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// The clubs that are watched, by id: the newest build of all but putters.
    pub clubs: Vec<WatchedClub>,
    /// A sum of scores above this asks the question.
    pub alarm_above: f64,
    /// How often it is asked of a club that has not changed.
    pub false_alarms: FalseAlarms,
    /// How to read it.
    pub note: &'static str,
}

/// How often a club that has not changed is asked about, in simulated seasons.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct FalseAlarms {
    /// Within so many visits after its baseline.
    pub sessions: u32,
    /// The share of such clubs where other clubs were hit on the same visits.
    pub beside_others: f64,
    /// The share where none was: then nothing tells the club from its day.
    pub alone: f64,
}

/// One club that is watched.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WatchedClub {
    /// The club.
    pub club: ClubId,
    /// What was last done to it, since when it is watched anew; null while it is as it came.
    pub build: Option<String>,
    /// How it stands.
    pub state: DriftState,
    /// Visits with it that are needed before its scores begin, or begin again; 0 while there is a
    /// baseline.
    pub sessions_needed: usize,
    /// The surface that its carries are from; null before its first visit has ended.
    pub surface: Option<Surface>,
    /// The ball that they are hit with; null where unstated.
    pub ball: Option<BallId>,
    /// What it is held against: its slot. Null while that is learnt.
    pub baseline: Option<DriftBaseline>,
    /// How far its newest five visits lie from that, less the common movement; null before one is
    /// scored.
    pub from_slot_m: Option<CarryChange>,
    /// What may have happened; null unless it may have drifted.
    pub drift: Option<SuspectedDrift>,
    /// What may have happened before the present baseline was learnt, newest first, ten at most.
    pub earlier: Vec<SuspectedDrift>,
    /// Its visits beside the baselines of their time, oldest first, the newest fifty.
    pub scores: Vec<DriftScore>,
    /// The same in a sentence; a drift as a question.
    pub words: String,
}

/// How a club stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DriftState {
    /// Its baseline is being learnt.
    Learning,
    /// Nothing says that it has moved.
    Steady,
    /// It seems to have moved. A new baseline is being learnt; when that stands, it is steady there.
    MayHaveDrifted,
}

/// A drift that is asked about.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SuspectedDrift {
    /// Which way.
    pub direction: Direction,
    /// The visit with which it seems to have begun: the first after the sum of scores was last 0.
    pub began: VisitOfPlayer,
    /// The visit that raised the question.
    pub alarm: VisitOfPlayer,
    /// By how much, against the baseline and less the common movement, by the visits that raised the
    /// question. In simulated seasons the interval held changes of 4.6 m (5 yd) and more in nine of ten
    /// cases; smaller ones are overstated, 2.7 m (3 yd) to twice its size.
    pub carry_change_m: CarryChange,
    /// Visits with the club from `began` to `alarm`.
    pub sessions: usize,
    /// Those of them on which no other club was hit that has a baseline: the day itself may be why.
    pub alone: usize,
    /// What it was held against.
    pub baseline: DriftBaseline,
}

/// Which way a club has moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// It carries further.
    Longer,
    /// It carries less far.
    Shorter,
}

/// A visit, by its first shot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct VisitOfPlayer {
    /// Its session's name.
    pub session: String,
    /// The day of its first shot, by the sender's calendar.
    #[schema(value_type = String, format = Date)]
    pub date: Date,
    /// The sequence of that shot.
    pub sequence: Sequence,
}

/// How far a club has moved, with a plain 95 % interval for one look.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct CarryChange {
    /// The estimate; above 0 is longer.
    pub estimate: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Whether some of the carries were worked out by a device rather than measured.
    pub inferred: bool,
}

/// What a club is held against.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DriftBaseline {
    /// Its carry, weighted by visits, metres.
    pub carry_m: f64,
    /// The sd of a shot about its visit's mean, metres.
    pub carry_sd_m: f64,
    /// Visits that it was learnt from.
    pub sessions: u32,
    /// Shots in them.
    pub shots: u32,
    /// The first of the visits.
    pub from: VisitOfPlayer,
    /// The last of them.
    pub to: VisitOfPlayer,
}

/// One visit beside the baseline.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DriftScore {
    /// The visit.
    #[serde(flatten)]
    pub visit: VisitOfPlayer,
    /// Counted shots of the club.
    pub shots: u32,
    /// Their mean carry, metres.
    pub carry_m: f64,
    /// How far that is from the baseline, less the common movement, metres.
    pub carry_change_m: f64,
    /// Other clubs that told the common movement of the day.
    pub others: u32,
    /// The change in its own sds.
    pub score: f64,
    /// The running sum of what speaks for longer.
    pub longer: f64,
    /// The running sum of what speaks for shorter.
    pub shorter: f64,
    /// Whether a sum went above the limit with this visit; both begin again then.
    pub alarm: bool,
}
