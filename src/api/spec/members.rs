//! What schemas written by hand are put together from.

use serde_json::{Map, Value, json};

use crate::shot::{Text, units::Unit};

/// The same with what it tells.
pub(super) fn about(mut schema: Value, what: &str) -> Value {
    schema["description"] = json!(what);
    schema
}

pub(super) fn with<const N: usize>(
    mut members: Map<String, Value>,
    more: [(&str, Value); N],
) -> Map<String, Value> {
    members.extend(more.into_iter().map(|(name, schema)| (name.to_owned(), schema)));
    members
}

pub(super) fn members<const N: usize>(members: [(&str, Value); N]) -> Map<String, Value> {
    with(Map::new(), members)
}

/// An object that may be sent: nothing beside what is listed, and one spelling of a quantity.
pub(super) fn closed(members: &Map<String, Value>, required: &[&str]) -> Value {
    let mut schema = json!({
        "type": "object", "properties": members, "required": required, "additionalProperties": false,
    });
    let spelt_twice: Map<_, _> = members.keys().filter_map(|name| beside(name, members)).collect();
    if !spelt_twice.is_empty() {
        schema["dependentSchemas"] = spelt_twice.into();
    }
    schema
}

/// That a quantity in metres has no second spelling beside it.
fn beside(name: &str, members: &Map<String, Value>) -> Option<(String, Value)> {
    let base = name.strip_suffix("_m")?;
    let other = ["yd", "ft"].map(|unit| format!("{base}_{unit}"));
    let other = other.into_iter().find(|other| members.contains_key(other))?;
    Some((name.to_owned(), json!({"properties": {other: false}})))
}

/// An object that comes back: a later release may add members.
pub(super) fn open(members: &Map<String, Value>, required: &[&str]) -> Value {
    json!({"type": "object", "properties": members, "required": required})
}

pub(super) fn list_of(items: &Value) -> Value {
    json!({"type": "array", "items": items})
}

pub(super) fn name() -> Value {
    json!({"$ref": "#/components/schemas/Name"})
}

pub(super) fn sequence() -> Value {
    json!({"$ref": "#/components/schemas/Sequence"})
}

/// A word of a vocabulary, which has a schema of its own.
pub(super) fn word(vocabulary: &str) -> Value {
    json!({"$ref": format!("#/components/schemas/{vocabulary}")})
}

/// A text; without anchors, since `$` differs between dialects of regular expressions.
pub(super) fn text(kind: Text, what: &str) -> Value {
    let (fewest, most) = kind.length();
    let control = match kind {
        Text::Notes => "[\\u0000-\\u0008\\u000b-\\u001f\\u007f-\\u009f]",
        Text::Title | Text::Line | Text::Reason => "[\\u0000-\\u001f\\u007f-\\u009f]",
    };
    json!({
        "type": "string", "minLength": fewest, "maxLength": most, "not": {"pattern": control},
        "description": what,
    })
}

pub(super) fn title(what: &str) -> Value {
    text(Text::Title, what)
}

/// An instant or a date.
pub(super) fn moment() -> Value {
    json!({"anyOf": [{"type": "string", "format": "date-time"}, {"type": "string", "format": "date"}]})
}

pub(super) fn truth() -> Value {
    json!({"type": "boolean"})
}

pub(super) fn number((low, high): (f64, f64), what: &str) -> Value {
    json!({"type": "number", "minimum": low, "maximum": high, "description": what})
}

/// A quantity in another unit than the one it is kept in.
pub(super) fn unit(unit: Unit, bounds: (f64, f64), kept: &str) -> Value {
    number(unit.bounds(bounds), &format!("In place of `{kept}`."))
}

/// The same, or null.
pub(super) fn or_null(mut schema: Value) -> Value {
    // What a text must not hold says nothing of null, and would refuse it.
    if let Some(kind) = schema["type"].as_str().filter(|_| schema.get("not").is_none()) {
        schema["type"] = json!([kind, "null"]);
        return schema;
    }
    let what = schema.get("description").cloned();
    let mut choice = json!({"anyOf": [schema, {"type": "null"}]});
    if let Some(what) = what {
        choice["description"] = what;
    }
    choice
}
