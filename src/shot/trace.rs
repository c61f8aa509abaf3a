//! What stays in the one order of events where content is gone, or is not told.

use super::flags::Flags;
use super::keyed::Keyed;
use super::measure::{Measure, Measures};
use super::names::{BallId, ClubId, PlayerId, SourceId};
use super::surroundings::Surroundings;
use super::words::{FlightOrigin, Intent, Lie, Place, Purpose, SpeedOrigin, SpinOrigin};
use jiff::Timestamp;
use jiff::civil::Date;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// What a frame leaves that says nothing any more.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hole {
    /// The hash of the identity, where it was a shot that was erased.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shot: Option<Keyed>,
    /// The hash of the id, where it erased a player.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub player: Option<Keyed>,
    /// What it was the last to touch of all that still stands.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<Touched>,
}

/// What a frame touched. It is told of things that every answer shows anyway, so that their `as_of`
/// and their being there do not hang on content that is gone.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "of", content = "id", rename_all = "snake_case")]
pub enum Touched {
    /// A source's entry.
    Source(SourceId),
    /// A source's context.
    Context(SourceId),
    /// A player's entry.
    Player(PlayerId),
    /// A player's club.
    Club(PlayerId, ClubId),
    /// A ball.
    Ball(BallId),
    /// A player's shots.
    Shots(PlayerId),
    /// What lists show of a player's shots, where nothing else was touched.
    List(PlayerId),
}

/// What was settled when a shot came, where that can no longer be worked out from the shots before
/// it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settled {
    /// The derived visit that it joined or began.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<String>,
    /// Whether it was late.
    #[serde(default, skip_serializing_if = "is_false")]
    pub late: bool,
    /// Whether it came without a player, or with one who had been erased.
    #[serde(default, skip_serializing_if = "is_false")]
    pub waits: bool,
    /// What it was the last to touch of all that still stands.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<Touched>,
}

/// A visit by its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// The name, within the player.
    pub name: String,
    /// Whether it was derived, so that shots without a session may join it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub derived: bool,
}

/// What is left of a shot that was retired: what statistics rest on, as effective when its content
/// went, in the units kept. Neither id nor `ext` nor anything else of the event as sent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RetiredShot {
    /// The hash of its identity.
    pub shot: Keyed,
    /// What sent it.
    pub source: SourceId,
    /// When it was hit.
    pub time: Timestamp,
    /// The day that it was there.
    pub date: Date,
    /// Who hit it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub player: Option<PlayerId>,
    /// With which club.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub club: Option<ClubId>,
    /// In which visit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<Visit>,
    /// From what surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    /// Whether ball or face was wet.
    #[serde(default, skip_serializing_if = "is_false")]
    pub wet: bool,
    /// Where.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// What was meant.
    pub intent: Intent,
    /// What for.
    pub purpose: Purpose,
    /// With which ball.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// Whether it was set aside.
    #[serde(default, skip_serializing_if = "is_false")]
    pub set_aside: bool,
    /// How the spin came about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spin_origin: Option<SpinOrigin>,
    /// How the clubhead's speed came about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_origin: Option<SpeedOrigin>,
    /// How the flight came about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flight_origin: Option<FlightOrigin>,
    /// What was odd about it on arrival.
    #[serde(
        default,
        skip_serializing_if = "Flags::is_none",
        serialize_with = "write_flags",
        deserialize_with = "read_flags"
    )]
    pub flags: Flags,
    /// What it flew in; `None` where nobody said anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surroundings: Option<Box<Surroundings>>,
    /// What was measured, by names in SI.
    #[serde(serialize_with = "write_measures", deserialize_with = "read_measures")]
    pub measures: Measures,
    /// What it was the last to touch of all that still stands.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<Touched>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde asks for")]
fn is_false(truth: &bool) -> bool {
    !truth
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde asks for")]
fn write_flags<S: Serializer>(flags: &Flags, to: S) -> Result<S::Ok, S::Error> {
    flags.words_in_si().serialize(to)
}

fn read_flags<'de, D: Deserializer<'de>>(from: D) -> Result<Flags, D::Error> {
    let mut flags = Flags::NONE;
    for word in Vec::<String>::deserialize(from)? {
        let flag = Flags::parse(&word);
        flags |= flag.ok_or_else(|| D::Error::custom(format_args!("\"{word}\" is no flag")))?;
    }
    Ok(flags)
}

fn write_measures<S: Serializer>(measures: &Measures, to: S) -> Result<S::Ok, S::Error> {
    to.collect_map(measures.iter().map(|(measure, value)| (measure.si_name(), value)))
}

fn read_measures<'de, D: Deserializer<'de>>(from: D) -> Result<Measures, D::Error> {
    let mut measures = Measures::NONE;
    for (name, value) in BTreeMap::<String, f64>::deserialize(from)? {
        let measure = Measure::ALL.iter().find(|measure| measure.si_name() == name);
        let unknown = || D::Error::custom(format_args!("\"{name}\" is no measured quantity"));
        measures.set(*measure.ok_or_else(unknown)?, value);
    }
    Ok(measures)
}
