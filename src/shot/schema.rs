//! The JSON Schema (2020-12) of an event, made from the tables that the parser reads.
//!
//! Its size is linear in the number of spellings: what excludes or needs what stands in
//! `dependentSchemas` and `dependentRequired`, never in a product of alternatives, and the root has
//! one type, so that generated clients keep it.

use super::envelope::{EVENT_TYPE, SPEC_VERSION, attribute};
use super::members::{Kind, Member, Sent, members, spelling};
use super::names::NAME_MAX;
use super::quantity::{Object, Quantity};
use super::words::{
    Adjustment, FlightOrigin, Ground, Height, Lie, Place, Purpose, Shape, SpeedOrigin, SpinOrigin,
    Swing, Word, spellings,
};
use super::{REQUIRED, rules, time, wording};
use serde_json::{Map, Value, json};

/// What a validator cannot see: said in the schema's own words.
const BEYOND: &str = "One golf shot as it was measured, schema shot/1. Beyond this schema a \
    service also refuses: an ext of more than 16 KiB, duplicate keys, numbers beyond a double, \
    nesting deeper than 32, and dates, times of day or offsets that do not exist. Names are \
    compared in Unicode NFC.";

/// The schema of an event.
#[must_use]
pub fn shot_event() -> Value {
    let mut schema = object(Object::Event);
    schema.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
    schema.insert("title".into(), "ShotEvent".into());
    schema.insert("description".into(), BEYOND.into());
    schema.insert("required".into(), json!(REQUIRED));
    schema.insert("allOf".into(), json!([{"anyOf": [launched(), flown()]}]));
    schema.insert("$defs".into(), json!({"name": name()}));
    Value::Object(schema)
}

/// What a validator cannot see of an envelope.
const BEYOND_ENVELOPE: &str = "One golf shot in an envelope of CloudEvents 1.0, in JSON and \
    structured mode. Attributes that no member of the event has a place for are kept under \
    ext.cloudevent, which may not be sent beside them; an attribute that is null is unset. Beyond \
    this schema a service also refuses what it refuses of the event alone.";

/// The schema of an event in an envelope of CloudEvents.
#[must_use]
pub fn cloud_event() -> Value {
    let mut data = object(Object::Event);
    let mut properties = Map::new();
    if let Some(members) = data.get_mut("properties").and_then(Value::as_object_mut) {
        properties.extend(REQUIRED.iter().filter_map(|name| members.remove_entry(*name)));
    }
    data.insert("description".into(), "The other members of the event.".into());
    data.insert("allOf".into(), json!([{"anyOf": [launched(), flown()]}]));
    let told = |what: &str| {
        json!({
            "description": what, "type": ["string", "null"], "minLength": 1, "not": control(),
        })
    };
    let fixed =
        |what: &str, text: &str| json!({"description": what, "type": "string", "enum": [text]});
    properties.insert("specversion".into(), fixed("The version of CloudEvents.", SPEC_VERSION));
    properties.insert("type".into(), fixed("What `data` is: a shot.", EVENT_TYPE));
    properties.insert(
        "datacontenttype".into(),
        json!({"description": "The media type of `data`: JSON, as it is without this.",
               "type": ["string", "null"],
               "pattern": "^[^/;]*/([^;]*\\+)?[Jj][Ss][Oo][Nn]\\s*(;|$)"}),
    );
    properties.insert("subject".into(), told("Kept under `ext.cloudevent`."));
    properties.insert("dataschema".into(), told("Kept under `ext.cloudevent`."));
    properties.insert("data".into(), data.into());
    let (low, high) = attribute::WHOLE;
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "CloudEvent",
        "description": BEYOND_ENVELOPE,
        "type": "object",
        "properties": properties,
        "required": ["specversion", "type", "id", "source", "time", "data"],
        "propertyNames": {"pattern": attribute::NAME_PATTERN},
        "additionalProperties": {
            "type": ["string", "boolean", "integer", "null"],
            "minimum": low, "maximum": high, "not": control(),
        },
        "$defs": {"name": name()},
    })
}

/// A text with a control character.
fn control() -> Value {
    json!({"type": "string", "pattern": "[\\u0000-\\u001f\\u007f-\\u009f]"})
}

/// The schema of an object of the event by the name of its member; of the event itself by none.
pub(crate) fn event_object(name: &str) -> Value {
    let named = Object::ALL.into_iter().find(|object| object.name() == name);
    object(named.unwrap_or(Object::Event)).into()
}

/// The schema of one object of the event.
fn object(object: Object) -> Map<String, Value> {
    let list = &members(object).list;
    let properties: Map<_, _> =
        list.iter().map(|member| (member.name.clone(), property(member))).collect();
    let mut schema = Map::new();
    schema.insert("type".into(), "object".into());
    schema.insert("description".into(), object.about().into());
    schema.insert("properties".into(), properties.into());
    schema.insert("additionalProperties".into(), false.into());
    let dependent = dependent(object);
    if !dependent.is_empty() {
        schema.insert("dependentSchemas".into(), dependent.into());
    }
    schema
}

/// The schema of one member.
fn property(member: &Member) -> Value {
    match member.kind {
        Kind::Id => named("The shot's name within its source: with it, the event's name for ever."),
        Kind::Source => named("The source that sends the shot."),
        Kind::Time => json!({
            "type": "string", "pattern": time::PATTERN,
            "description": "When it was hit: RFC 3339, with the offset that is kept there.",
        }),
        Kind::Player => named("Who hit it; absent: as the source's context says, else it waits."),
        Kind::Club => {
            named("With which club; absent: as the source's context says, else it waits.")
        }
        Kind::Session => named("The visit, named within the player; absent: found by time."),
        Kind::Ball => named("A ball of the catalogue; absent: as the source says, else unstated."),
        Kind::Lie => word::<Lie>(),
        Kind::Purpose => word::<Purpose>(),
        Kind::Place => word::<Place>(),
        Kind::Ground => word::<Ground>(),
        Kind::Height => word::<Height>(),
        Kind::Shape => word::<Shape>(),
        Kind::Swing => word::<Swing>(),
        Kind::SpinOrigin => word::<SpinOrigin>(),
        Kind::SpeedOrigin => word::<SpeedOrigin>(),
        Kind::FlightOrigin => word::<FlightOrigin>(),
        Kind::AdjustedFor => json!({
            "type": "array", "uniqueItems": true, "items": word::<Adjustment>(),
            "description": "What the device has already corrected the flight for.",
        }),
        Kind::Wet => json!({"type": "boolean", "description": "Whether ball or face was wet."}),
        Kind::Ext => json!({"type": "object", "description": "Kept, never interpreted."}),
        Kind::Object(inner) => object(inner).into(),
        Kind::Quantity(sent) => quantity(sent),
    }
}

/// A name that tells this.
fn named(what: &str) -> Value {
    json!({"$ref": "#/$defs/name", "description": what})
}

/// A name: 1 to [`NAME_MAX`] code points; without anchors, since `$` differs between dialects.
fn name() -> Value {
    json!({
        "description": "A name: 1 to 128 characters as sent, compared in Unicode NFC.",
        "type": "string",
        "minLength": 1,
        "maxLength": NAME_MAX,
        "not": {"anyOf": [
            {"enum": [".", ".."]},
            {"pattern": "[\\u0000-\\u001f\\u007f-\\u009f\\ufffd]"},
        ]},
    })
}

/// A word of a vocabulary.
fn word<W: Word>() -> Value {
    json!({"type": "string", "enum": spellings::<W>(), "description": W::about()})
}

/// A quantity in one spelling; the first is described, the others refer to it.
fn quantity(sent: Sent) -> Value {
    let (low, high) = sent.bounds;
    let row = sent.quantity.row();
    let about = match sent.place {
        0 => row.about.to_owned(),
        _ => format!("In place of `{}`.", spelling(row.base, row.dimension.si())),
    };
    json!({
        "type": "number", "minimum": number(low), "maximum": number(high), "description": about,
    })
}

/// A bound, without a decimal point where it is whole.
#[expect(clippy::cast_possible_truncation, reason = "bounds are below a million")]
fn number(bound: f64) -> Value {
    if bound.fract() == 0.0 { json!(bound as i64) } else { json!(bound) }
}

/// What the members of an object exclude and need.
fn dependent(object: Object) -> Map<String, Value> {
    let mut all = Map::new();
    for quantity in Quantity::all().filter(|quantity| quantity.row().object == object) {
        let names = wording::spellings(quantity);
        for (place, name) in names.iter().enumerate() {
            let schema = beside(quantity, &names[place + 1..]);
            if !schema.is_empty() {
                all.insert(name.clone(), schema.into());
            }
        }
    }
    let origin = match object {
        Object::Launch => Some(("spin_origin", rules::SPIN.as_slice())),
        Object::Clubhead => Some(("speed_origin", rules::HEAD_SPEED.as_slice())),
        _ => None,
    };
    if let Some((name, of)) = origin {
        let names: Vec<_> = of.iter().flat_map(|one| wording::spellings(*one)).collect();
        all.insert(name.into(), any_required(&names).into());
    }
    all
}

/// What one spelling of a quantity excludes (the spellings after it, and what says the same) and
/// needs.
fn beside(quantity: Quantity, later: &[String]) -> Map<String, Value> {
    let excluded = rules::EXCLUSIVE.iter().filter(|(one, _)| *one == quantity);
    let excluded = excluded.flat_map(|(_, other)| wording::spellings(*other));
    let never: Map<_, _> =
        later.iter().cloned().chain(excluded).map(|name| (name, false.into())).collect();
    let mut schema = Map::new();
    if !never.is_empty() {
        schema.insert("properties".into(), never.into());
    }
    if let Some((_, needed)) = rules::NEEDS.iter().find(|(one, _)| *one == quantity) {
        schema.extend(any_required(&wording::spellings(*needed)));
    }
    schema
}

/// One of these is required.
fn any_required(names: &[String]) -> Map<String, Value> {
    let required = |name| json!({"required": [name]});
    let schema = match names {
        [one] => ("required".to_owned(), json!([one])),
        many => ("anyOf".to_owned(), many.iter().map(required).collect()),
    };
    Map::from_iter([schema])
}

/// A launch with what a flight can be computed from.
fn launched() -> Value {
    let all: Vec<_> =
        rules::LAUNCH.iter().map(|one| any_required(&wording::spellings(*one))).collect();
    json!({"required": ["launch"], "properties": {"launch": {"allOf": all}}})
}

/// A flight with its carry.
fn flown() -> Value {
    let carry = any_required(&wording::spellings(rules::CARRY));
    json!({"required": ["flight"], "properties": {"flight": carry}})
}
