//! The schemas of a description as tables.

use serde_json::{Map, Value};

use super::html::{code, escaped, heading, link, paragraph, prose, table};

/// All named schemas.
pub(super) fn part(schemas: &Value) -> String {
    let mut part = heading(2, "schemas", "Schemas");
    for (name, schema) in members(schemas) {
        part += &heading(3, &anchor(name), &code(name));
        part += &paragraph(&prose(text(schema)));
        let mut rows = Vec::new();
        add_rows(&mut rows, "", schema);
        if rows.is_empty() {
            part += &paragraph(&kind(schema));
        } else {
            part +=
                &table(&format!("Members of {name}"), &["Member", "Value", "What it is"], &rows);
        }
    }
    part
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flat_map(Map::iter)
}

fn text(schema: &Value) -> &str {
    schema["description"].as_str().unwrap_or_default()
}

fn anchor(name: &str) -> String {
    format!("schema-{name}")
}

/// The members of an object and of the objects within it; an object that is put together of several
/// has those of each.
fn add_rows(rows: &mut Vec<Vec<String>>, within: &str, schema: &Value) {
    let required = |name: &str| {
        schema["required"].as_array().is_some_and(|all| all.iter().any(|one| one == name))
    };
    for (name, member) in members(&schema["properties"]) {
        let path = format!("{within}{name}");
        let needed = if required(name) { "" } else { " (optional)" };
        rows.push(vec![code(&path), format!("{}{needed}", kind(member)), prose(text(member))]);
        add_rows(rows, &format!("{path}."), member);
    }
    for part in schema["allOf"].as_array().into_iter().flatten() {
        if let Some(name) = part["$ref"].as_str() {
            rows.push(vec![String::from("all of"), referred(name), String::new()]);
        } else if part["type"] == "object" {
            add_rows(rows, within, part);
        }
    }
}

fn referred(reference: &str) -> String {
    let name = reference.rsplit('/').next().unwrap_or_default();
    link(&format!("#{}", anchor(name)), &code(name))
}

/// What a value is, in a few words.
pub(super) fn kind(schema: &Value) -> String {
    if let Some(reference) = schema["$ref"].as_str() {
        return referred(reference);
    }
    if let Some(words) = schema["enum"].as_array() {
        let words: Vec<String> = words.iter().filter_map(Value::as_str).map(code).collect();
        return words.join(", ");
    }
    for choice in ["oneOf", "anyOf"] {
        if let Some(choices) = schema[choice].as_array() {
            let choices: Vec<String> = choices.iter().map(kind).collect();
            return choices.join(" or ");
        }
    }
    match &schema["type"] {
        Value::String(one) if one == "array" => format!("list of {}", items(schema)),
        Value::String(one) => format!("{}{}", escaped(one), bounds(schema)),
        Value::Array(several) => {
            let several: Vec<&str> = several.iter().filter_map(Value::as_str).collect();
            format!("{}{}", escaped(&several.join(" or ")), bounds(schema))
        }
        _ => String::from("anything"),
    }
}

fn items(schema: &Value) -> String {
    if schema["items"].is_object() { kind(&schema["items"]) } else { String::from("anything") }
}

fn bounds(schema: &Value) -> String {
    let line = schema.get("contentSchema").map(|line| format!(", a line: {}", kind(line)));
    let range = match (schema["minimum"].as_f64(), schema["maximum"].as_f64()) {
        (Some(low), Some(high)) => format!(", {low} to {high}"),
        (Some(low), None) => format!(", from {low}"),
        _ => String::new(),
    };
    let length = match (schema["minLength"].as_u64(), schema["maxLength"].as_u64()) {
        (Some(fewest), Some(most)) => format!(", {fewest} to {most} characters"),
        _ => String::new(),
    };
    let format = schema["format"].as_str().map(|format| format!(", {}", escaped(format)));
    format!("{range}{length}{}{}", format.unwrap_or_default(), line.unwrap_or_default())
}
