//! What people do to shots and to the catalogue: corrections, assignments, documents put and
//! removed. The journal keeps each act as one JSON object.

use super::catalogue::{Context, Document, Subject};
use super::fault::Faults;
use super::fault::Rejection;
use super::json::Json;
use super::members::members;
use super::names::{BallId, ClubId, Name, PlayerId, Sequence, SessionName, ShotId, SourceId};
use super::quantity::Object;
use super::reading::{Reading, Text, document};
use super::value::At;
use super::words::{Height, Lie, Place, Purpose, Shape, Swing, Word};
use jiff::Timestamp;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// One act.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "act", rename_all = "snake_case")]
pub enum Act {
    /// One shot is corrected.
    Correct {
        /// Which.
        shot: Sequence,
        /// How.
        patch: Correction,
    },
    /// Many shots are corrected at once.
    Assign(Assignment),
    /// A document is put, or replaced whole.
    Put(Document),
    /// A document is removed.
    Remove(Subject),
    /// What a source's shots inherit from now on.
    SetContext {
        /// Which source.
        source: SourceId,
        /// What they inherit.
        context: Context,
    },
}

/// What a correction does to one member (JSON Merge Patch, RFC 7396).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Change<T> {
    /// Nothing.
    #[default]
    Keep,
    /// Lifts an earlier correction: what was sent or inherited stands again (null).
    Lift,
    /// Sets the member.
    Set(T),
}

impl<T> Change<T> {
    /// Whether it does nothing.
    #[must_use]
    pub const fn is_keep(&self) -> bool {
        matches!(self, Self::Keep)
    }

    /// The value that it sets, if it sets one.
    #[must_use]
    pub const fn set(&self) -> Option<&T> {
        match self {
            Self::Set(value) => Some(value),
            Self::Keep | Self::Lift => None,
        }
    }
}

impl<T: Clone> Change<T> {
    /// Takes what a later correction says.
    fn then(&mut self, later: &Self) {
        if !later.is_keep() {
            self.clone_from(later);
        }
    }
}

impl<T: Serialize> Serialize for Change<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.set().serialize(to)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Change<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(Option::deserialize(from)?.map_or(Self::Lift, Self::Set))
    }
}

/// Why a shot was set aside: 1 to 500 characters on one line.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reason(String);

impl Reason {
    /// Checks a text; the error says what is wrong and the mend.
    pub fn parse(text: &str) -> Result<Self, String> {
        Text::Reason.fault(text).map_or_else(|| Ok(Self(text.to_owned())), Err)
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

impl Serialize for Reason {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Reason {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::parse(&String::deserialize(from)?).map_err(D::Error::custom)
    }
}

/// A correction of a shot's effective members; the event stays as sent.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Correction {
    /// Who hit it.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub player: Change<PlayerId>,
    /// With which club.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub club: Change<ClubId>,
    /// In which visit.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub session: Change<SessionName>,
    /// From what surface.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub lie: Change<Lie>,
    /// The height that was meant.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub height: Change<Height>,
    /// The curve that was meant.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub shape: Change<Shape>,
    /// The swing that was meant.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub swing: Change<Swing>,
    /// What for.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub purpose: Change<Purpose>,
    /// With which ball.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub ball: Change<BallId>,
    /// Whether ball or face was wet.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub wet: Change<bool>,
    /// Where.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub place: Change<Place>,
    /// Whether the shot is set aside, and why.
    #[serde(skip_serializing_if = "Change::is_keep")]
    pub set_aside: Change<Reason>,
}

/// The mend of a patch of what stays as sent.
const SEND_ANEW: &str = "set the shot aside and send it anew under another id";

impl Correction {
    /// Reads a patch (JSON Merge Patch); an empty one changes nothing.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a correction", Self::read)
    }

    /// Whether it changes nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Takes what a later correction says, member by member.
    pub fn then(&mut self, later: &Self) {
        self.player.then(&later.player);
        self.club.then(&later.club);
        self.session.then(&later.session);
        self.lie.then(&later.lie);
        self.height.then(&later.height);
        self.shape.then(&later.shape);
        self.swing.then(&later.swing);
        self.purpose.then(&later.purpose);
        self.ball.then(&later.ball);
        self.wet.then(&later.wet);
        self.place.then(&later.place);
        self.set_aside.then(&later.set_aside);
    }

    fn read(from: &mut Reading<'_, '_>) -> Option<Self> {
        let mut correction = Self {
            player: changed_name(from, "player"),
            club: changed_name(from, "club"),
            session: changed_name(from, "session"),
            lie: changed_word(from, "lie"),
            purpose: changed_word(from, "purpose"),
            ball: changed_name(from, "ball"),
            wet: change(from, "wet", |at, value, faults| at.truth(value, faults)),
            place: changed_word(from, "place"),
            ..Self::default()
        };
        correction.read_intent(from);
        correction.set_aside = set_aside(from);
        let event = members(Object::Event);
        from.refuse_the_rest(|name, unknown| match event.find(name) {
            Some(_) => format!("stays as it was sent: {SEND_ANEW}"),
            None => format!("{unknown}; to change what was measured, {SEND_ANEW}"),
        });
        Some(correction)
    }

    fn read_intent(&mut self, from: &mut Reading<'_, '_>) {
        match from.peek("intent") {
            Some(Json::Null) => {
                from.take("intent");
                (self.height, self.shape, self.swing) = (Change::Lift, Change::Lift, Change::Lift);
            }
            _ => {
                from.object("intent", |intent| {
                    self.height = changed_word(intent, "height");
                    self.shape = changed_word(intent, "shape");
                    self.swing = changed_word(intent, "swing");
                    Some(())
                });
            }
        }
    }
}

/// Reads one member of a patch.
fn change<T>(
    from: &mut Reading<'_, '_>,
    name: &str,
    read: impl FnOnce(At<'_>, &Json<'_>, &mut Faults) -> Option<T>,
) -> Change<T> {
    let changed = from.read(name, |at, value, faults| match value {
        Json::Null => Some(Change::Lift),
        value => read(at, &value, faults).map(Change::Set),
    });
    changed.unwrap_or_default()
}

/// Reads a name of a patch.
fn changed_name<N: Name>(from: &mut Reading<'_, '_>, name: &str) -> Change<N> {
    change(from, name, |at, value, faults| at.name(value, faults))
}

/// Reads a word of a patch.
fn changed_word<W: Word>(from: &mut Reading<'_, '_>, name: &str) -> Change<W> {
    change(from, name, |at, value, faults| at.word(value, faults))
}

/// `set_aside` is null or `{"reason": …}`.
fn set_aside(from: &mut Reading<'_, '_>) -> Change<Reason> {
    if matches!(from.peek("set_aside"), Some(Json::Null)) {
        from.take("set_aside");
        return Change::Lift;
    }
    let reason = from.object("set_aside", |aside| {
        aside.need("reason");
        aside.text("reason", Text::Reason).map(Reason)
    });
    reason.map_or(Change::Keep, Change::Set)
}

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
            let filter = from.object("filter", ShotFilter::read);
            from.need("set");
            let set = from.object("set", Correction::read);
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
    fn read(from: &mut Reading<'_, '_>) -> Option<Self> {
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
        Some(filter)
    }
}
