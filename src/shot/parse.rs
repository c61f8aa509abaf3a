//! From the bytes of an event to a checked shot, in one pass, with every fault on the way.

use super::draft::Draft;
use super::event::Event;
use super::fault::{Rejection, pointer};
use super::json::{self, Json, Key, Keys, Reader, duplicate};
use super::members::{Kind, Member, Members, members};
use super::quantity::Object;
use super::wording;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;
use std::borrow::Cow;
use std::fmt;

/// The most bytes that `ext` may have, as sent.
pub const EXT_MAX: usize = 16 * 1024;

/// Reads an event of schema `shot/1`.
///
/// # Errors
/// A [`Rejection`] that holds every fault, and the event's identity where it could be read.
pub fn parse(text: &[u8]) -> Result<Event, Rejection> {
    let mut draft = Draft::new();
    let event = ObjectReader {
        draft: &mut draft,
        members: members(Object::Event),
        reader: Reader { depth: 0 },
    };
    match json::read(text, event) {
        Ok(sent) => draft.finish(sent),
        Err(rejection) => Err(draft.rejected(rejection.kind)),
    }
}

/// Which members of an object were sent, by their places in its list; none if it was no object.
pub(crate) type SentMembers = Option<u64>;

/// Reads one object of the event into the draft.
struct ObjectReader<'a> {
    draft: &'a mut Draft,
    members: &'static Members,
    reader: Reader,
}

impl ObjectReader<'_> {
    /// A value that is not an object.
    #[cold]
    fn not_an_object(self, value: &Json<'_>) -> SentMembers {
        let at = self.members.object.pointer();
        self.draft.faults.at(at, wording::wrong_kind(value, "an object"));
        None
    }
}

impl<'de> DeserializeSeed<'de> for ObjectReader<'_> {
    type Value = SentMembers;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<SentMembers, D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for ObjectReader<'_> {
    type Value = SentMembers;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a JSON value")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut sent: A) -> Result<SentMembers, A::Error> {
        let Self { draft, members: here, reader } = self;
        let inner = reader.deeper()?;
        let mut seen = 0_u64;
        let mut strangers = Keys::default();
        while let Some(key) = sent.next_key_seed(MemberKey(here))? {
            let (place, member) = match key {
                Found::Member(place, member) => (place, member),
                Found::Stranger(name) => {
                    sent.next_value_seed(inner)?;
                    draft.stranger(here, &name);
                    strangers.add(name)?;
                    continue;
                }
            };
            let bit = 1 << place;
            if seen & bit != 0 {
                return Err(duplicate(&member.name));
            }
            seen |= bit;
            match member.kind {
                Kind::Object(object) => {
                    let members = members(object);
                    sent.next_value_seed(ObjectReader { draft, members, reader: inner })?;
                }
                Kind::Ext => draft.ext(sent.next_value()?, inner)?,
                _ => draft.take(here.object, member, &sent.next_value_seed(inner)?),
            }
        }
        Ok(Some(seen))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<SentMembers, A::Error> {
        let list = self.reader.visit_seq(items)?;
        Ok(self.not_an_object(&list))
    }

    fn visit_unit<E>(self) -> Result<SentMembers, E> {
        Ok(self.not_an_object(&Json::Null))
    }

    fn visit_bool<E>(self, value: bool) -> Result<SentMembers, E> {
        Ok(self.not_an_object(&Json::Bool(value)))
    }

    fn visit_u64<E: Error>(self, _: u64) -> Result<SentMembers, E> {
        self.visit_f64(0.0)
    }

    fn visit_i64<E: Error>(self, _: i64) -> Result<SentMembers, E> {
        self.visit_f64(0.0)
    }

    fn visit_f64<E>(self, value: f64) -> Result<SentMembers, E> {
        Ok(self.not_an_object(&Json::Number(value)))
    }

    fn visit_str<E>(self, value: &str) -> Result<SentMembers, E> {
        Ok(self.not_an_object(&Json::Text(Cow::Borrowed(value))))
    }
}

impl Draft {
    /// Checks `ext`: an object, at most [`EXT_MAX`] bytes as sent, JSON of one meaning.
    fn ext<E: Error>(&mut self, sent: &RawValue, reader: Reader) -> Result<(), E> {
        let at = pointer(Object::Event.pointer(), "ext");
        let mut json = serde_json::Deserializer::from_str(sent.get());
        let value = reader
            .deserialize(&mut json)
            .map_err(|fault| E::custom(format_args!("in ext: {fault}")))?;
        if !matches!(value, Json::Object(_)) {
            self.faults.at(&at, wording::wrong_kind(&value, "an object"));
        }
        if sent.get().len() > EXT_MAX {
            let size = sent.get().len();
            self.faults.at(&at, format!("has {size} bytes: send at most {EXT_MAX}"));
        }
        Ok(())
    }
}

/// Reads the key of a member.
struct MemberKey(&'static Members);

/// What a key names.
enum Found<'de> {
    /// A known member, and its place in the list.
    Member(usize, &'static Member),
    /// None that is known.
    Stranger(Cow<'de, str>),
}

impl MemberKey {
    fn find(&self, name: &str) -> Option<Found<'static>> {
        self.0.find(name).map(|(place, member)| Found::Member(place, member))
    }
}

impl<'de> DeserializeSeed<'de> for MemberKey {
    type Value = Found<'de>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Found<'de>, D::Error> {
        from.deserialize_str(self)
    }
}

impl<'de> Visitor<'de> for MemberKey {
    type Value = Found<'de>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        Key.expecting(out)
    }

    fn visit_borrowed_str<E>(self, name: &'de str) -> Result<Found<'de>, E> {
        Ok(self.find(name).unwrap_or(Found::Stranger(Cow::Borrowed(name))))
    }

    fn visit_str<E>(self, name: &str) -> Result<Found<'de>, E> {
        Ok(self.find(name).unwrap_or_else(|| Found::Stranger(Cow::Owned(name.to_owned()))))
    }
}
