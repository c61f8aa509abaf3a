//! The parameters of an operation.

use serde_json::{Value, json};

use super::{
    examples,
    members::{about, moment},
    schemas::plain_text,
};
use crate::{
    api::{
        endpoint::Endpoint,
        media::Media,
        query::{Form, Parameter},
    },
    shot::units::{self, Unit},
};

/// The parameters of a row: the names in its path, those of its query, and its conditions.
pub(super) fn of(endpoint: &Endpoint) -> Vec<Value> {
    let queried = endpoint.parameters.iter().copied().flatten().flat_map(in_query);
    let conditions = CONDITIONS.iter().filter(|_| endpoint.verb.is_conditional());
    let place = RESUMED.iter().filter(|_| endpoint.gives == [Media::EventStream]);
    let in_head = conditions.map(condition).chain(place.map(place_of));
    endpoint.names().map(in_path).chain(queried).chain(in_head).collect()
}

/// By what a stream goes on that broke off (HTML Standard, 9.2.4).
const RESUMED: &[(&str, &str)] = &[(
    "Last-Event-ID",
    "The `id` of the last event that was received: the stream goes on behind it. Browsers send it by \
     themselves. It goes before `after`.",
)];

fn place_of(field: &(&str, &str)) -> Value {
    in_head(field, &plain_text("A sequence. Anything else is a place that there is not."))
}

fn condition(field: &(&str, &str)) -> Value {
    in_head(field, &plain_text("`*`, or a list of entity tags (RFC 9110, 13.1)."))
}

/// The header fields by which a write says how that which it changes must stand.
const CONDITIONS: &[(&str, &str)] = &[
    (
        "If-Match",
        "Only if it stands so: as the answer with this `ETag`, or `*` for whatever is there. A weak \
         tag matches nothing.",
    ),
    ("If-None-Match", "Only if it does not stand so: `*` if it is not there yet."),
];

fn in_head((name, about): &(&str, &str), schema: &Value) -> Value {
    json!({
        "name": name,
        "in": "header",
        "required": false,
        "description": about,
        "schema": schema,
        "example": examples::of_parameter(name),
    })
}

fn in_path(name: &str) -> Value {
    json!({
        "name": name,
        "in": "path",
        "required": true,
        "description": format!("The {name}'s id, percent-encoded; `%2F` stays within it."),
        "schema": named(),
        "example": examples::of_parameter(name),
    })
}

/// A parameter by each of the names it goes by: one a unit where it has one.
fn in_query(parameter: &'static Parameter) -> impl Iterator<Item = Value> {
    parameter.spellings().into_iter().map(|spelling| {
        let unit = match parameter.form {
            Form::Quantity { dimension, .. } => {
                units::resolve(parameter.name, dimension, &spelling)
            }
            _ => None,
        };
        json!({
            "name": spelling,
            "in": "query",
            "required": parameter.needed,
            "description": parameter.about,
            "schema": word(parameter).unwrap_or_else(|| form(parameter.form, unit)),
            "example": example(parameter, &spelling),
        })
    })
}

/// A value; a list of it where it may come repeatedly.
fn example(parameter: &Parameter, spelling: &str) -> Value {
    let value = examples::of_parameter(spelling);
    if parameter.repeats() { json!([value]) } else { value }
}

/// Vocabularies that have a schema of their own; a parameter is called as its vocabulary.
const VOCABULARIES: &[(&str, &str)] = &[
    ("lie", "Lie"),
    ("height", "Height"),
    ("shape", "Shape"),
    ("swing", "Swing"),
    ("purpose", "Purpose"),
];

fn word(parameter: &Parameter) -> Option<Value> {
    let (_, vocabulary) = VOCABULARIES.iter().find(|(name, _)| *name == parameter.name)?;
    matches!(parameter.form, Form::OneOf(_))
        .then(|| json!({"$ref": format!("#/components/schemas/{vocabulary}")}))
}

fn form(form: Form, unit: Option<Unit>) -> Value {
    match form {
        Form::Name => named(),
        Form::Names => json!({"type": "array", "items": named(), "uniqueItems": true}),
        Form::SomeOf(words) => json!({
            "type": "array", "items": {"type": "string", "enum": words()}, "uniqueItems": true,
        }),
        Form::Sequence => json!({"type": "integer", "minimum": 0}),
        Form::Wait => json!({"$ref": "#/components/schemas/Wait"}),
        Form::OneOf(words) => json!({"type": "string", "enum": words()}),
        Form::Truth => json!({"type": "boolean"}),
        Form::Count { most } => json!({"type": "integer", "minimum": 1, "maximum": most}),
        Form::Whole { least, most } => {
            json!({"type": "integer", "minimum": least, "maximum": most})
        }
        Form::PageItems => json!({"$ref": "#/components/schemas/PageItems"}),
        Form::Moment => about(moment(), "An instant, or a date, which begins where `zone` says."),
        Form::Zone => plain_text("A name of the IANA time zone database."),
        Form::Opaque => about(
            json!({"type": "string", "pattern": "^[0-9a-f]{24}$"}),
            "To be given back as it was.",
        ),
        Form::Flag => json!({"$ref": "#/components/schemas/Flag"}),
        Form::Share => json!({"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}),
        Form::Mix => about(
            json!({"type": "string", "pattern": "^[a-z_]+:[0-9.]+(,[a-z_]+:[0-9.]+)*$"}),
            "Lies with their shares in per cent, which make 100 to within 0.1.",
        ),
        Form::Quantity { low, high, .. } => {
            let bounds = unit.map_or((low, high), |unit| unit.bounds((low, high)));
            json!({"type": "number", "minimum": bounds.0, "maximum": bounds.1})
        }
    }
}

fn named() -> Value {
    json!({"$ref": "#/components/schemas/Name"})
}
