//! Corrections of many shots at once, chosen by a filter.

use super::correction::Correction;
use super::fault::Rejection;
use super::names::{BallId, ClubId, PlayerId, SessionName, ShotId, SourceId};
use super::reading::{Reading, document};
use super::words::{Height, Lie, Purpose, Shape, Swing};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A correction of many shots at once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Assignment {
    /// Which shots.
    pub filter: ShotFilter,
    /// What to set.
    pub set: Correction,
    /// Whether only to count what it would change.
    #[serde(default)]
    pub dry_run: bool,
}

impl Assignment {
    /// Reads an assignment. Its filter has at least one member.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "an assignment", |from| {
            from.need("filter");
            let filter = from.object("filter", |filter| Some(ShotFilter::read(filter)));
            from.need("set");
            let set = from.object("set", |set| Some(Correction::read(set)));
            let dry_run = from.truth("dry_run").unwrap_or_default();
            Some(Self { filter: filter?, set: set?, dry_run })
        })
    }
}

/// The most shots that `last` may ask for: a long day of many bays.
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
        let empty = from.is_empty();
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
            from: from.instant("from"),
            to: from.instant("to"),
            unassigned: from.truth("unassigned"),
            last: from.whole("last", (1, LAST_MAX)),
        };
        if empty {
            from.fault(
                "is empty, and would take every shot of the store: send one member at least",
            );
        }
        if let (Some(first), Some(end)) = (filter.from, filter.to)
            && first >= end
        {
            from.fault("ends before it begins: send a to that is after from");
        }
        filter
    }
}
