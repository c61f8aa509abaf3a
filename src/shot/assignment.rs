//! Corrections of many shots at once, chosen by a filter.

use super::correction::Correction;
use super::fault::{Faults, Rejection};
use super::flags::Flags;
use super::json::Json;
use super::names::{BallId, ClubId, PlayerId, SessionName, ShotId, SourceId};
use super::reading::{Reading, document};
use super::value::At;
use super::wording;
use super::words::{Height, Lie, Purpose, Shape, Swing};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};

/// A correction of many shots at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    /// Which shots.
    pub filter: ShotFilter,
    /// What to set.
    pub set: Correction,
    /// Whether only to count what it would change.
    pub dry_run: bool,
}

impl Assignment {
    /// Reads an assignment. Its filter has at least one member, and so has what it sets.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "an assignment", |from| {
            from.need("filter");
            let filter = from.object("filter", |filter| Some(ShotFilter::read(filter)));
            from.need("set");
            let set = from.object("set", |set| Some(read_set(set)));
            let dry_run = from.truth("dry_run").unwrap_or_default();
            Some(Self { filter: filter?, set: set?, dry_run })
        })
    }
}

/// Reads what to set. An act that sets nothing is a mistake, and is not written.
fn read_set(from: &mut Reading<'_, '_>) -> Correction {
    let before = from.count_faults();
    let set = Correction::read(from);
    if set.is_empty() && from.count_faults() == before {
        from.fault("is empty, and would change nothing: send a member at least, such as club");
    }
    set
}

/// The most shots that one assignment corrects or one retirement takes: a long day of many bays.
/// What moves is held in memory while it does, and no question is answered.
pub const ACT_SHOTS_MAX: usize = 100_000;
/// The most shots that `last` may ask for: as many.
pub const LAST_MAX: u32 = 100_000;

/// Which shots, by what is effective for them; a shot passes that passes every member.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct ShotFilter {
    /// Of this player.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub player: Option<PlayerId>,
    /// With this club.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub club: Option<ClubId>,
    /// Of this visit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session: Option<SessionName>,
    /// From this surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    /// Meant to fly at this height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<Height>,
    /// Meant to curve so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<Shape>,
    /// Meant as this much of a swing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swing: Option<Swing>,
    /// Hit for this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// With this ball.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// Of this source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<SourceId>,
    /// Of this id within its source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<ShotId>,
    /// With this flag, as things stand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flag: Option<Flags>,
    /// Hit at this instant or later.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<Timestamp>,
    /// Hit before this instant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<Timestamp>,
    /// Without (true) or with (false) a player and a club.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unassigned: Option<bool>,
    /// Of those that pass all else, the last so many in sequence order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last: Option<u32>,
}

impl ShotFilter {
    pub(super) fn read(from: &mut Reading<'_, '_>) -> Self {
        let before = from.count_faults();
        let (first, end) = stretch(from);
        let filter = Self {
            player: from.name("player"),
            club: from.name("club"),
            session: from.name("session"),
            lie: from.word("lie"),
            height: from.word("height"),
            shape: from.word("shape"),
            swing: from.word("swing"),
            purpose: from.word("purpose"),
            ball: from.name("ball"),
            source: from.name("source"),
            id: from.name("id"),
            flag: from.read("flag", |at, value, faults| flag(at, &value, faults)),
            from: first,
            to: end,
            unassigned: from.truth("unassigned"),
            last: from.whole("last", (1, LAST_MAX)),
        };
        // A zone alone chooses nothing.
        if filter == Self::default() && from.count_faults() == before {
            from.fault(
                "is empty, and would take every shot of the store: send one member at least",
            );
        }
        if filter.id.is_some() && filter.source.is_none() {
            from.fault_at("id", "is a name within a source: send a source with it");
        }
        if let (Some(first), Some(end)) = (first, end)
            && first >= end
        {
            from.fault("ends before it begins: send a to that is after from");
        }
        filter
    }
}

/// Reads `from`, `to` and `zone`, which says where their days begin: UTC unless it is there.
pub(super) fn stretch(from: &mut Reading<'_, '_>) -> (Option<Timestamp>, Option<Timestamp>) {
    let zone = from.read("zone", |at, value, faults| at.zone(&value, faults));
    let zone = zone.unwrap_or(TimeZone::UTC);
    let mut end = |name| from.read(name, |at, value, faults| at.bound(&value, &zone, faults));
    (end("from"), end("to"))
}

/// A flag by its word.
fn flag(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<Flags> {
    let text = at.text(value, faults)?;
    let flag = Flags::parse(text);
    if flag.is_none() {
        let said = wording::echo(text);
        faults.add(|| {
            at.fault(format!(
                "{said} is no flag: send one as shots have it, such as other_club or \
                 unusual:/launch/spin_rate_rpm"
            ))
        });
    }
    flag
}
