//! The members that the rows of a mapping fill, and how a cell becomes one.

use std::borrow::Cow;

use super::{CsvMapping, CsvTime};
use crate::shot::RejectionKind;
use crate::shot::fault::{Fault, Faults, pointer};
use crate::shot::json::Writer;
use crate::shot::members::{Kind, Member, members};
use crate::shot::parse::parse;
use crate::shot::quantity::Object;
use crate::shot::wording;
use crate::shot::words::{self, Word};

/// The object of an event that a member stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Group {
    Of(Object),
    Ext,
}

impl Group {
    /// The order in which an event is written, and the name of each.
    fn place(self) -> (usize, &'static str) {
        match self {
            Self::Of(object) => (object as usize, object.name()),
            Self::Ext => (Object::ALL.len(), "ext"),
        }
    }
}

/// What a cell must be.
#[derive(Debug, Clone, Copy)]
pub(super) enum Form {
    /// A number, and one that is taken.
    Number(f64),
    /// True or false.
    Truth,
    /// Text, and one that is taken.
    Text(&'static str),
}

/// Where a member comes from.
#[derive(Debug, Clone)]
pub(super) enum Origin {
    /// One column.
    Column(String),
    /// The columns of the time.
    Time,
    /// What the id is put together from.
    Id,
    /// The mapping: JSON.
    Set(String),
}

/// A member of the events that rows become.
#[derive(Debug, Clone)]
pub(super) struct Field {
    pub(super) group: Group,
    pub(super) name: String,
    pub(super) form: Form,
    pub(super) origin: Origin,
}

impl Field {
    /// Its pointer in the event.
    pub(super) fn pointer(&self) -> String {
        match self.group {
            Group::Of(object) => pointer(object.pointer(), &self.name),
            Group::Ext => pointer("/ext", &self.name),
        }
    }

    /// Where the mapping says it.
    fn said_at(&self) -> String {
        match &self.origin {
            Origin::Column(column) => pointer("/columns", column),
            Origin::Time => "/time".to_owned(),
            Origin::Id => "/row_id".to_owned(),
            Origin::Set(_) => format!("/set{}", self.pointer()),
        }
    }

    /// A value that is taken.
    fn sample(&self) -> String {
        match (&self.origin, self.form) {
            (Origin::Set(json), _) => json.clone(),
            (_, Form::Number(number)) => number.to_string(),
            (_, Form::Truth) => "true".to_owned(),
            (_, Form::Text(text)) => quoted(text),
        }
    }
}

/// A text as JSON.
pub(super) fn quoted(text: &str) -> String {
    // A text always has a JSON form.
    serde_json::to_string(text).unwrap_or_default()
}

/// A time that is taken.
const SAMPLE_TIME: &str = "2026-04-11T10:15:04Z";

/// All members that rows fill, in the order in which they are written; what is wrong with them.
pub(super) fn fields(mapping: &CsvMapping, faults: &mut Faults) -> Vec<Field> {
    let mut fields = Vec::new();
    for (column, to) in &mapping.columns {
        match target(to) {
            Ok((group, name, form)) => {
                let origin = Origin::Column(column.clone());
                fields.push(Field { group, name, form, origin });
            }
            Err(detail) => faults.at(&pointer("/columns", column), detail),
        }
    }
    let made = |name: &str, sample, origin| Field {
        group: Group::Of(Object::Event),
        name: name.to_owned(),
        form: Form::Text(sample),
        origin,
    };
    let time = mapping.time.iter().map(|_: &CsvTime| made("time", SAMPLE_TIME, Origin::Time));
    fields.extend(time);
    fields.extend(mapping.row_id.iter().map(|_| made("id", "x", Origin::Id)));
    for (name, value) in &mapping.set {
        let group = match members(Object::Event).find(name).map(|(_, member)| member.kind) {
            Some(Kind::Object(object)) => Some(Group::Of(object)),
            Some(Kind::Ext) => Some(Group::Ext),
            _ => None,
        };
        let mut set = |group, name: &str, value: &serde_json::Value| {
            let (name, origin) = (name.to_owned(), Origin::Set(value.to_string()));
            fields.push(Field { group, name, form: Form::Truth, origin });
        };
        match (group, value) {
            (Some(group), serde_json::Value::Object(inner)) => {
                inner.iter().for_each(|(name, value)| set(group, name, value));
            }
            (Some(_), _) => faults.at(&pointer("/set", name), "is not an object: send one"),
            (None, _) => set(Group::Of(Object::Event), name, value),
        }
    }
    fields.sort_by_key(|field| field.group.place());
    twice(&fields, faults);
    fields
}

/// Tells of members that are filled twice.
fn twice(fields: &[Field], faults: &mut Faults) {
    for (place, field) in fields.iter().enumerate() {
        let same = |other: &&Field| other.group == field.group && other.name == field.name;
        if let Some(first) = fields[..place].iter().find(same) {
            let (to, first) = (field.pointer(), first.said_at());
            faults.at(&field.said_at(), format!("fills {to}, which {first} fills: keep one"));
        }
    }
}

/// The member that a pointer leads to.
fn target(to: &str) -> Result<(Group, String, Form), String> {
    let wrong = || {
        let said = wording::echo(to);
        format!("{said} is no pointer to a member: send one like \"/flight/carry_m\" or \"/club\"")
    };
    let mut parts = to.strip_prefix('/').ok_or_else(wrong)?.split('/');
    let plain = |part: &str| part.replace("~1", "/").replace("~0", "~");
    let (first, second) = match (parts.next(), parts.next(), parts.next()) {
        (Some(first), second, None) => (plain(first), second.map(plain)),
        _ => return Err(wrong()),
    };
    let (here, name) = match (object_of(&first), second) {
        (_, None) => (Object::Event, first),
        (None, Some(name)) if first == "ext" && !name.is_empty() => {
            return Ok((Group::Ext, name, Form::Text("x")));
        }
        (Some(object), Some(name)) => (object, name),
        (None, Some(_)) => return Err(wrong()),
    };
    let here = members(here);
    let (_, member) = here.find(&name).ok_or_else(|| wording::stranger(here, &name))?;
    let form = form(member).ok_or_else(|| {
        format!("{to} is not one value, as a cell is: name a member within it, or put it in `set`")
    })?;
    Ok((Group::Of(here.object), name, form))
}

fn object_of(name: &str) -> Option<Object> {
    Object::ALL.into_iter().find(|object| *object != Object::Event && object.name() == name)
}

/// What a cell must be to fill a member.
fn form(member: &Member) -> Option<Form> {
    fn word<W: Word>() -> Form {
        Form::Text(words::spellings::<W>().first().copied().unwrap_or_default())
    }
    Some(match member.kind {
        Kind::Id | Kind::Source | Kind::Player | Kind::Club | Kind::Session | Kind::Ball => {
            Form::Text("x")
        }
        Kind::Time => Form::Text(SAMPLE_TIME),
        Kind::Lie => word::<words::Lie>(),
        Kind::Purpose => word::<words::Purpose>(),
        Kind::Place => word::<words::Place>(),
        Kind::Ground => word::<words::Ground>(),
        Kind::Height => word::<words::Height>(),
        Kind::Shape => word::<words::Shape>(),
        Kind::Swing => word::<words::Swing>(),
        Kind::SpinOrigin => word::<words::SpinOrigin>(),
        Kind::SpeedOrigin => word::<words::SpeedOrigin>(),
        Kind::FlightOrigin => word::<words::FlightOrigin>(),
        Kind::Wet => Form::Truth,
        Kind::Quantity(sent) => Form::Number(f64::midpoint(sent.bounds.0, sent.bounds.1)),
        Kind::Object(_) | Kind::Ext | Kind::AdjustedFor => return None,
    })
}

/// Writes the event of some members that have values, which are JSON.
pub(super) fn written<'f>(
    fields: &'f [Field],
    mut value: impl FnMut(&'f Field) -> Option<Cow<'f, str>>,
) -> Vec<u8> {
    let mut event = Writer::new();
    for group in fields.chunk_by(|one, next| one.group == next.group) {
        let mut inner = Writer::new();
        let event_itself = group[0].group == Group::Of(Object::Event);
        let into = if event_itself { &mut event } else { &mut inner };
        for field in group {
            if let Some(value) = value(field) {
                into.name(&field.name);
                into.raw(&value);
            }
        }
        if !inner.is_empty() {
            event.name(group[0].group.place().1);
            event.raw(&String::from_utf8_lossy(&inner.finish()));
        }
    }
    event.finish()
}

/// Judges a mapping by the event that a full row would become, and by those of translated texts.
pub(super) fn rehearse(mapping: &CsvMapping, fields: &[Field], faults: &mut Faults) {
    for Fault { pointer, detail } in faults_of(fields, None) {
        match fields.iter().find(|field| field.pointer() == pointer) {
            Some(field) => faults.at(&field.said_at(), detail),
            None if pointer.is_empty() => {
                faults.at("", format!("a row would be no shot: {detail}"));
            }
            None => faults.at("", format!("a row would be no shot: {pointer} {detail}")),
        }
    }
    for (place, field) in fields.iter().enumerate() {
        let Origin::Column(column) = &field.origin else { continue };
        for (text, stored) in mapping.values.get(column).into_iter().flatten() {
            let at = pointer(&pointer("/values", column), text);
            match json_of(stored, field.form) {
                Ok(json) => {
                    let told = faults_of(fields, Some((place, &json)));
                    let here = field.pointer();
                    told.into_iter()
                        .filter(|fault| fault.pointer == here)
                        .for_each(|fault| faults.at(&at, fault.detail));
                }
                Err(detail) => faults.at(&at, detail),
            }
        }
    }
}

/// What is wrong with the event of samples, one of which may be another.
fn faults_of(fields: &[Field], other: Option<(usize, &str)>) -> Vec<Fault> {
    let mut place = 0;
    let event = written(fields, |field| {
        place += 1;
        let other = other.filter(|(at, _)| at + 1 == place);
        Some(other.map_or_else(|| field.sample(), |(_, json)| json.to_owned()).into())
    });
    match parse(&event).map_err(|rejection| rejection.kind) {
        Ok(_) => Vec::new(),
        Err(RejectionKind::Invalid(faults)) => faults,
        Err(RejectionKind::NotJson { detail }) => vec![Fault { pointer: String::new(), detail }],
    }
}

/// A text as the JSON of a member.
pub(super) fn json_of(text: &str, form: Form) -> Result<String, String> {
    match form {
        // As RFC 8259 has numbers, and within a double.
        Form::Number(_) if serde_json::from_str::<f64>(text).is_ok() => Ok(text.to_owned()),
        Form::Number(_) => Err(format!("{} is not a number of JSON", wording::echo(text))),
        Form::Truth if matches!(text, "true" | "false") => Ok(text.to_owned()),
        Form::Truth => Err(format!("{} is neither true nor false", wording::echo(text))),
        Form::Text(_) => Ok(quoted(text)),
    }
}
