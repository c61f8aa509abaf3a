//! Schemas on their way into the description: those of Rust types, tidied, and the event's own.

use serde_json::{Map, Value, json};
use utoipa::openapi::{RefOr, Schema};

/// A schema of a Rust type as JSON.
pub(super) fn json(schema: &RefOr<Schema>) -> Value {
    // A schema is an object of texts and numbers: it always becomes JSON.
    let mut schema = serde_json::to_value(schema).unwrap_or_default();
    lift_descriptions(&mut schema);
    schema
}

/// What is told of a member that may be null stands beside the choice, not within it; a text is one
/// line.
fn lift_descriptions(schema: &mut Value) {
    if let Some(Value::String(text)) = schema.get_mut("description") {
        *text = text.replace('\n', " ");
    }
    let within = schema.pointer_mut("/oneOf/0").and_then(Value::as_object_mut);
    let told = within
        .filter(|choice| choice.contains_key("$ref"))
        .and_then(|choice| choice.remove("description"));
    if let Some(told) = told {
        schema["description"] = told;
    }
    match schema {
        Value::Object(members) => members.values_mut().for_each(lift_descriptions),
        Value::Array(items) => items.iter_mut().for_each(lift_descriptions),
        _ => {}
    }
}

/// A problem also tells how far a stream came that ended early: with the members of a progress, none
/// of which other problems have.
pub(super) fn let_problems_tell_progress(schemas: &mut Map<String, Value>) {
    let progress = schemas.get("Progress").and_then(|progress| progress["properties"].as_object());
    let progress = progress.cloned().unwrap_or_default();
    let problem =
        schemas.get_mut("Problem").and_then(|problem| problem["properties"].as_object_mut());
    if let Some(problem) = problem {
        problem.extend(progress);
    }
}

/// A schema and what it defines, the definitions moved to where a description has them.
pub(super) fn moved(name: &str, mut schema: Value) -> Map<String, Value> {
    let mut schemas = Map::new();
    if let Some(schema) = schema.as_object_mut() {
        schema.remove("$schema");
        if let Some(Value::Object(defined)) = schema.remove("$defs") {
            schemas.extend(defined.into_iter().map(|(name, schema)| (component(&name), schema)));
        }
    }
    move_references(&mut schema);
    schemas.insert(name.to_owned(), schema);
    schemas
}

/// `name` becomes `Name`.
fn component(defined: &str) -> String {
    let mut letters = defined.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn move_references(schema: &mut Value) {
    match schema {
        Value::Object(members) => {
            if let Some(Value::String(reference)) = members.get_mut("$ref")
                && let Some(defined) = reference.strip_prefix("#/$defs/")
            {
                *reference = format!("#/components/schemas/{}", component(defined));
            }
            members.values_mut().for_each(move_references);
        }
        Value::Array(items) => items.iter_mut().for_each(move_references),
        _ => {}
    }
}

/// A text that is no JSON.
pub(super) fn plain_text(about: &str) -> Value {
    json!({"type": "string", "description": about})
}
