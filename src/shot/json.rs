//! JSON that has one meaning: no key twice, no number beyond a double, no nesting beyond a bound.

use super::fault::{Faults, Rejection};
use super::names::nfc;
use super::wording;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;
use std::borrow::Cow;
use std::collections::HashSet;
use std::fmt;

/// How deep objects and lists may nest, the outermost counted: no sender needs more, and no reader
/// of it can be made to run out of stack.
pub const DEPTH_MAX: usize = 32;

/// Any JSON value; text is borrowed where it has no escapes.
#[derive(Debug)]
pub(crate) enum Json<'de> {
    Null,
    Bool(bool),
    Number(f64),
    Text(Cow<'de, str>),
    List(Vec<Json<'de>>),
    Object(Vec<(Cow<'de, str>, Json<'de>)>),
}

impl<'de> Json<'de> {
    /// Reads a whole text.
    pub(crate) fn read(text: &'de [u8]) -> Result<Self, Rejection> {
        read(text, Reader { depth: 0 })
    }

    /// What it is, in a sentence.
    pub(crate) fn called(&self) -> &'static str {
        match self {
            Self::Null => "null",
            Self::Bool(_) => "true or false",
            Self::Number(_) => "a number",
            Self::Text(_) => "text",
            Self::List(_) => "a list",
            Self::Object(_) => "an object",
        }
    }

    /// Whether the two say the same: numbers as doubles, texts in NFC, members in any order.
    fn says(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Null, Self::Null) => true,
            (Self::Bool(one), Self::Bool(two)) => one == two,
            #[expect(clippy::float_cmp, reason = "the same content has the same doubles")]
            (Self::Number(one), Self::Number(two)) => one == two,
            (Self::Text(one), Self::Text(two)) => one == two || nfc(one) == nfc(two),
            (Self::List(one), Self::List(two)) => {
                one.len() == two.len() && one.iter().zip(two).all(|(one, two)| one.says(two))
            }
            (Self::Object(one), Self::Object(two)) => {
                let (one, two) = (by_name(one), by_name(two));
                one.len() == two.len()
                    && one.iter().zip(two).all(|(one, two)| one.0 == two.0 && one.1.says(&two.1))
            }
            _ => false,
        }
    }
}

/// The members of an object in the order of their names.
fn by_name<'a, 'de>(
    members: &'a [(Cow<'de, str>, Json<'de>)],
) -> Vec<&'a (Cow<'de, str>, Json<'de>)> {
    let mut sorted: Vec<_> = members.iter().collect();
    sorted.sort_unstable_by(|one, two| one.0.cmp(&two.0));
    sorted
}

/// Whether two texts are the same content: the same members with the same spellings, numbers equal
/// as doubles, strings equal in NFC, order ignored. Texts that are not JSON are the same only byte
/// by byte.
#[must_use]
pub fn same_content(a: &[u8], b: &[u8]) -> bool {
    a == b || matches!((Json::read(a), Json::read(b)), (Ok(a), Ok(b)) if a.says(&b))
}

/// The items of a JSON array, unread: each then goes through [`parse`](super::parse) by itself, so
/// that a bad one is refused alone.
///
/// # Errors
/// The body is not UTF-8, not JSON, or not an array.
pub fn split_array(body: &[u8]) -> Result<Vec<&[u8]>, Rejection> {
    let text = utf8(body)?;
    if !text.trim_start().starts_with('[') {
        let mut faults = Faults::default();
        faults.at("", wording::wrong_kind(&Json::read(body)?, "a list"));
        return Err(Rejection::nameless(faults.into_kind()));
    }
    let items: Vec<&RawValue> = serde_json::from_str(text).map_err(|fault| broken(&fault))?;
    Ok(items.into_iter().map(|item| item.get().as_bytes()).collect())
}

/// The members of an object in their order, the values as they were sent.
pub(crate) type SentMembers<'de> = Vec<(Cow<'de, str>, &'de RawValue)>;

/// The members of a text that is one object, or what else it is.
pub(crate) fn sent_members(text: &[u8]) -> Result<Result<SentMembers<'_>, Json<'_>>, Rejection> {
    if text.trim_ascii_start().starts_with(b"{") {
        read(text, MembersReader).map(Ok)
    } else {
        Json::read(text).map(Err)
    }
}

struct MembersReader;

impl<'de> DeserializeSeed<'de> for MembersReader {
    type Value = SentMembers<'de>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Self::Value, D::Error> {
        from.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for MembersReader {
    type Value = SentMembers<'de>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Self::Value, A::Error> {
        let mut sent = Vec::new();
        let mut keys = Keys::default();
        while let Some(key) = members.next_key_seed(Key)? {
            keys.add(key.clone())?;
            sent.push((key, members.next_value()?));
        }
        Ok(sent)
    }
}

/// Writes an object member by member.
pub(crate) struct Writer(Vec<u8>);

impl Writer {
    /// An object without members.
    pub(crate) fn new() -> Self {
        Self(vec![b'{'])
    }

    /// The name of the next member; its value comes next.
    pub(crate) fn name(&mut self, name: &str) {
        if self.0.len() > 1 {
            self.0.push(b',');
        }
        self.text(name);
        self.0.push(b':');
    }

    /// A value that is text.
    pub(crate) fn text(&mut self, text: &str) {
        // A text always has a JSON form.
        drop(serde_json::to_writer(&mut self.0, text));
    }

    /// A value that is JSON already.
    pub(crate) fn raw(&mut self, json: &str) {
        self.0.extend_from_slice(json.as_bytes());
    }

    /// The whole object.
    pub(crate) fn finish(mut self) -> Vec<u8> {
        self.0.push(b'}');
        self.0
    }
}

/// Reads a whole text with a seed.
pub(crate) fn read<'de, S: DeserializeSeed<'de>>(
    text: &'de [u8],
    seed: S,
) -> Result<S::Value, Rejection> {
    let mut json = serde_json::Deserializer::from_str(utf8(text)?);
    seed.deserialize(&mut json)
        .and_then(|value| json.end().map(|()| value))
        .map_err(|fault| broken(&fault))
}

/// The rejection of a text that cannot be read.
fn broken(fault: &serde_json::Error) -> Rejection {
    Rejection::not_json(fault.to_string())
}

/// JSON is UTF-8. Source: RFC 8259, section 8.1.
fn utf8(text: &[u8]) -> Result<&str, Rejection> {
    std::str::from_utf8(text)
        .map_err(|fault| Rejection::not_json(format!("not UTF-8 at byte {}", fault.valid_up_to())))
}

/// The error of a key that stands twice in one object.
pub(crate) fn duplicate<E: Error>(key: &str) -> E {
    E::custom(format_args!("the key \"{key}\" stands twice in one object: send it once"))
}

/// Reads one value, `depth` objects and lists below the outermost.
#[derive(Clone, Copy)]
pub(crate) struct Reader {
    pub(crate) depth: usize,
}

impl Reader {
    /// One level deeper.
    pub(crate) fn deeper<E: Error>(self) -> Result<Self, E> {
        if self.depth == DEPTH_MAX {
            return Err(E::custom(format_args!("nested deeper than {DEPTH_MAX}")));
        }
        Ok(Self { depth: self.depth + 1 })
    }
}

impl<'de> DeserializeSeed<'de> for Reader {
    type Value = Json<'de>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Json<'de>, D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Reader {
    type Value = Json<'de>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Json<'de>, E> {
        Ok(Json::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Json<'de>, E> {
        Ok(Json::Bool(value))
    }

    #[expect(clippy::cast_precision_loss, reason = "numbers of an event are doubles")]
    fn visit_u64<E>(self, value: u64) -> Result<Json<'de>, E> {
        Ok(Json::Number(value as f64))
    }

    #[expect(clippy::cast_precision_loss, reason = "numbers of an event are doubles")]
    fn visit_i64<E>(self, value: i64) -> Result<Json<'de>, E> {
        Ok(Json::Number(value as f64))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Json<'de>, E> {
        Ok(Json::Number(value))
    }

    fn visit_borrowed_str<E>(self, value: &'de str) -> Result<Json<'de>, E> {
        Ok(Json::Text(Cow::Borrowed(value)))
    }

    fn visit_str<E>(self, value: &str) -> Result<Json<'de>, E> {
        Ok(Json::Text(Cow::Owned(value.to_owned())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Json<'de>, A::Error> {
        let inner = self.deeper()?;
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(inner)? {
            list.push(item);
        }
        Ok(Json::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Json<'de>, A::Error> {
        let inner = self.deeper()?;
        let mut object = Vec::new();
        let mut keys = Keys::default();
        while let Some(key) = members.next_key_seed(Key)? {
            keys.add(key.clone())?;
            object.push((key, members.next_value_seed(inner)?));
        }
        Ok(Json::Object(object))
    }
}

/// Reads a key, borrowed where it has no escapes.
pub(crate) struct Key;

impl<'de> DeserializeSeed<'de> for Key {
    type Value = Cow<'de, str>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Self::Value, D::Error> {
        from.deserialize_str(self)
    }
}

impl<'de> Visitor<'de> for Key {
    type Value = Cow<'de, str>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a key")
    }

    fn visit_borrowed_str<E>(self, key: &'de str) -> Result<Self::Value, E> {
        Ok(Cow::Borrowed(key))
    }

    fn visit_str<E>(self, key: &str) -> Result<Self::Value, E> {
        Ok(Cow::Owned(key.to_owned()))
    }
}

/// The keys met so far in one object.
#[derive(Debug, Default)]
pub(crate) struct Keys<'de>(HashSet<Cow<'de, str>>);

impl<'de> Keys<'de> {
    /// Notes a key; an error if it was met before.
    pub(crate) fn add<E: Error>(&mut self, key: Cow<'de, str>) -> Result<(), E> {
        if self.0.contains(&key) {
            return Err(duplicate(&key));
        }
        self.0.insert(key);
        Ok(())
    }
}
