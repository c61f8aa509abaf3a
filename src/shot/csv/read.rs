//! Reads the document of a mapping, and judges it by the event that a full row would become.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value};

use super::time::TimeForm;
use super::{
    CSV_COLUMNS_MAX, CSV_MAPPING_MAX, CSV_VALUES_MAX, CsvId, CsvMapping, CsvTime, field, tidy,
};
use crate::shot::catalogue::title;
use crate::shot::fault::{Faults, Rejection, pointer};
use crate::shot::json::Json;
use crate::shot::reading::{Reading, Text, document};
use crate::shot::value::At;
use crate::shot::wording;
use crate::shot::words::DecimalMark;

impl CsvMapping {
    /// Reads the document of a mapping.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        let mapping = document(text, "a mapping", |from| {
            let name = title(from);
            from.need("columns");
            let mapping = Self {
                name: String::new(),
                delimiter: from
                    .read("delimiter", |at, value, faults| delimiter(at, &value, faults))
                    .unwrap_or(','),
                decimal_mark: from.word("decimal_mark").unwrap_or(DecimalMark::Point),
                columns: from.read("columns", columns).unwrap_or_default(),
                optional: set_of(from, "optional"),
                ignored: set_of(from, "ignored"),
                values: from.read("values", values).unwrap_or_default(),
                absent: set_of(from, "absent"),
                time: from.object("time", CsvTime::read),
                row_id: from.object("row_id", CsvId::read),
                set: from
                    .read("set", |at, value, faults| set(at, &value, faults))
                    .unwrap_or_default(),
            };
            Some(Self { name: name?, ..mapping })
        })?;
        let mut faults = Faults::default();
        mapping.judge(&mut faults);
        let sound = faults.is_empty();
        sound.then_some(mapping).ok_or_else(|| Rejection::nameless(faults.into_kind()))
    }

    fn judge(&self, faults: &mut Faults) {
        let size = serde_json::to_vec(self).map_or(0, |text| text.len());
        if size > CSV_MAPPING_MAX {
            faults.at("", format!("has {size} bytes: send at most {CSV_MAPPING_MAX}"));
            return;
        }
        for (list, names) in [("optional", &self.optional), ("ignored", &self.ignored)] {
            for name in names {
                if (list == "optional") != self.columns.contains_key(name) {
                    let is = if list == "optional" { "is none" } else { "is one" };
                    let detail = format!("{} {is} of `columns`", wording::echo(name));
                    faults.at(&pointer("", list), detail);
                }
            }
        }
        for name in self.values.keys().filter(|name| !self.columns.contains_key(*name)) {
            let detail = format!("{} is none of `columns`", wording::echo(name));
            faults.at(&pointer("/values", name), detail);
        }
        if let Some(Err((member, detail))) = self.time.as_ref().map(TimeForm::new) {
            faults.at(&pointer("/time", member), detail);
        }
        let fields = field::fields(self, faults);
        if faults.is_empty() {
            field::rehearse(self, &fields, faults);
        }
    }
}

impl CsvTime {
    fn read(from: &mut Reading<'_, '_>) -> Option<Self> {
        from.need("columns");
        from.need("format");
        let columns = list_of(from, "columns");
        let format = from.text("format", Text::Reason);
        let zone = from.text("zone", Text::Title);
        Some(Self { columns: columns?, format: format?, zone })
    }
}

impl CsvId {
    fn read(from: &mut Reading<'_, '_>) -> Option<Self> {
        let prefix = from.text("prefix", Text::Title);
        let columns = list_of(from, "columns").unwrap_or_default();
        let row = from.truth("row").unwrap_or_default();
        let lacks = match (columns.is_empty(), row, &prefix) {
            (true, false, _) => "is put together from nothing: name `columns`, or say `row`",
            (true, true, None) => {
                "the rows of every file have the same numbers, so its shots would be taken for \
                 those of another: add a `prefix` of this file's own, or `columns`"
            }
            _ => return Some(Self { prefix, columns, row }),
        };
        from.fault(lacks);
        None
    }
}

/// One character of ASCII that no cell needs.
fn delimiter(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<char> {
    let text = at.text(value, faults)?;
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(one), None) if one == '\t' || (one.is_ascii_punctuation() && one != '"') => Some(one),
        _ => {
            let said = wording::echo(text);
            faults.add(|| at.fault(format!("{said} is no delimiter: send \",\", \";\" or a tab")));
            None
        }
    }
}

/// A column's name or a cell, tidied.
fn tidied(at: At<'_>, text: &str, faults: &mut Faults) -> Option<String> {
    let text = tidy(text);
    match Text::Line.fault(&text) {
        Some(detail) => {
            faults.add(|| at.fault(detail));
            None
        }
        None => Some(text),
    }
}

fn list_of(from: &mut Reading<'_, '_>, name: &str) -> Option<Vec<String>> {
    from.list(name, CSV_COLUMNS_MAX, |at, value, faults| {
        let text = at.text(&value, faults)?;
        tidied(at, text, faults)
    })
}

fn set_of(from: &mut Reading<'_, '_>, name: &str) -> BTreeSet<String> {
    list_of(from, name).unwrap_or_default().into_iter().collect()
}

/// An object, member by member.
fn each<T>(
    at: At<'_>,
    value: Json<'_>,
    faults: &mut Faults,
    mut read: impl FnMut(At<'_>, Json<'_>, &mut Faults) -> Option<T>,
) -> Option<BTreeMap<String, T>> {
    let Json::Object(members) = value else {
        return at.wrong_kind(&value, "an object", faults);
    };
    let parent = at.pointer();
    let mut all = BTreeMap::new();
    for (name, value) in members {
        let at = At { parent: &parent, name: &name };
        let (name, value) = (tidied(at, &name, faults), read(at, value, faults));
        if let (Some(name), Some(value)) = (name, value)
            && all.insert(name, value).is_some()
        {
            faults.add(|| at.fault("stands twice, but for white space: send it once"));
        }
    }
    Some(all)
}

type Texts = BTreeMap<String, String>;

fn texts(at: At<'_>, value: Json<'_>, faults: &mut Faults) -> Option<Texts> {
    each(at, value, faults, |at, value, faults| at.text(&value, faults).map(str::to_owned))
}

fn columns(at: At<'_>, value: Json<'_>, faults: &mut Faults) -> Option<Texts> {
    let columns = texts(at, value, faults)?;
    if columns.len() > CSV_COLUMNS_MAX {
        let detail = format!("has {} members: send at most {CSV_COLUMNS_MAX}", columns.len());
        faults.add(|| at.fault(detail));
    }
    Some(columns)
}

type Values = BTreeMap<String, Texts>;

fn values(at: At<'_>, value: Json<'_>, faults: &mut Faults) -> Option<Values> {
    let values = each(at, value, faults, texts)?;
    let all: usize = values.values().map(BTreeMap::len).sum();
    if all > CSV_VALUES_MAX {
        let detail = format!("has {all} texts: send at most {CSV_VALUES_MAX}");
        faults.add(|| at.fault(detail));
    }
    Some(values)
}

fn set(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<Map<String, Value>> {
    match kept(value) {
        Value::Object(members) => Some(members),
        _ => at.wrong_kind(value, "an object", faults),
    }
}

/// The same as a value that can be stored.
#[expect(clippy::cast_possible_truncation, reason = "whole numbers within 53 bits")]
fn kept(json: &Json<'_>) -> Value {
    match json {
        Json::Null => Value::Null,
        Json::Bool(truth) => Value::Bool(*truth),
        Json::Number(number) if number.fract() == 0.0 && number.abs() < 9e15 => {
            Value::from(*number as i64)
        }
        Json::Number(number) => Value::from(*number),
        Json::Text(text) => Value::from(text.as_ref()),
        Json::List(items) => items.iter().map(kept).collect(),
        Json::Object(members) => {
            members.iter().map(|(name, value)| (name.to_string(), kept(value))).collect()
        }
    }
}
