//! Corrections of a shot's effective members: who hit it, with what, how it was meant.

use super::fault::Rejection;
use super::json::Json;
use super::members::members;
use super::names::{BallId, ClubId, PlayerId, SessionName};
use super::quantity::Object;
use super::reading::{Reading, Text, document};
use super::words::{Height, Lie, Place, Purpose, Shape, Swing};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

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
        document(text, "a correction", |from| Some(Self::read(from)))
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

    /// Reads the members of a patch.
    pub(crate) fn read(from: &mut Reading<'_, '_>) -> Self {
        let mut correction = Self {
            player: change(from, "player", Reading::name),
            club: change(from, "club", Reading::name),
            session: change(from, "session", Reading::name),
            lie: change(from, "lie", Reading::word),
            purpose: change(from, "purpose", Reading::word),
            ball: change(from, "ball", Reading::name),
            wet: change(from, "wet", Reading::truth),
            place: change(from, "place", Reading::word),
            set_aside: change(from, "set_aside", reason),
            ..Self::default()
        };
        correction.read_intent(from);
        let event = members(Object::Event);
        from.refuse_the_rest(|name, unknown| match event.find(name) {
            Some(_) => format!("stays as it was sent: {SEND_ANEW}"),
            None => format!("{unknown}; to change what was measured, {SEND_ANEW}"),
        });
        correction
    }

    /// An intent is lifted whole, or changed member by member.
    fn read_intent(&mut self, from: &mut Reading<'_, '_>) {
        let whole = change(from, "intent", |from, name| {
            from.object(name, |intent| {
                self.height = change(intent, "height", Reading::word);
                self.shape = change(intent, "shape", Reading::word);
                self.swing = change(intent, "swing", Reading::word);
                Some(())
            })
        });
        if whole == Change::Lift {
            (self.height, self.shape, self.swing) = (Change::Lift, Change::Lift, Change::Lift);
        }
    }
}

/// Reads one member of a patch.
fn change<'a, 'j, T>(
    from: &mut Reading<'a, 'j>,
    name: &str,
    read: impl FnOnce(&mut Reading<'a, 'j>, &str) -> Option<T>,
) -> Change<T> {
    if matches!(from.peek(name), Some(Json::Null)) {
        from.take(name);
        return Change::Lift;
    }
    read(from, name).map_or(Change::Keep, Change::Set)
}

/// Why a shot is set aside: `{"reason": …}`.
fn reason(from: &mut Reading<'_, '_>, name: &str) -> Option<Reason> {
    from.object(name, |aside| {
        aside.need("reason");
        aside.text("reason", Text::Reason).map(Reason)
    })
}
