//! The description of the API as a page: operations by group, then the schemas.

use serde_json::{Map, Value};

use super::{
    html::{
        block, code, escaped, folded, heading, link, page as whole, paragraph, prose, table, told,
    },
    schemas,
};

/// The page of a description.
pub(super) fn page(description: &Value) -> String {
    let mut body = paragraph(&prose(text(&description["info"], "description")));
    body += &contents(description);
    for tag in description["tags"].as_array().into_iter().flatten() {
        let name = text(tag, "name");
        body += &heading(2, name, &escaped(name));
        body += &paragraph(&prose(text(tag, "description")));
        for (verb, path, operation) in operations(description, name) {
            body += &operation_part(description, (verb, path, operation));
        }
    }
    body += &schemas::part(&description["components"]["schemas"]);
    whole("The API", &body)
}

fn text<'a>(value: &'a Value, member: &str) -> &'a str {
    value[member].as_str().unwrap_or_default()
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flat_map(Map::iter)
}

/// The operations of a group.
fn operations<'a>(
    description: &'a Value,
    tag: &'a str,
) -> impl Iterator<Item = (&'a str, &'a str, &'a Value)> {
    members(&description["paths"]).flat_map(move |(path, item)| {
        members(item)
            .filter(move |(_, operation)| operation["tags"][0] == tag)
            .map(move |(verb, operation)| (verb.as_str(), path.as_str(), operation))
    })
}

fn contents(description: &Value) -> String {
    let mut rows = Vec::new();
    for tag in description["tags"].as_array().into_iter().flatten() {
        for (verb, path, operation) in operations(description, text(tag, "name")) {
            let address = format!("#{}", text(operation, "operationId"));
            rows.push(vec![
                link(&address, &code(&title(verb, path))),
                prose(text(operation, "summary")),
            ]);
        }
    }
    table("Operations", &["Operation", "What it does"], &rows)
}

fn title(verb: &str, path: &str) -> String {
    format!("{} {path}", verb.to_uppercase())
}

fn operation_part(description: &Value, (verb, path, operation): (&str, &str, &Value)) -> String {
    let mut part = heading(3, text(operation, "operationId"), &code(&title(verb, path)));
    // A blank line parts paragraphs (CommonMark, which the description is in).
    for about in text(operation, "description").split("\n\n") {
        part += &paragraph(&prose(about));
    }
    let parameters: Vec<Vec<String>> =
        operation["parameters"].as_array().into_iter().flatten().map(parameter).collect();
    if !parameters.is_empty() {
        let heads = ["Parameter", "In", "What it is", "Value", "Example"];
        part += &table(&format!("Parameters of {}", title(verb, path)), &heads, &parameters);
    }
    let body = &operation["requestBody"]["content"];
    if body.is_object() {
        part += "<h4>Body</h4>\n";
        part += &bodies(body);
    }
    part += "<h4>Answers</h4>\n";
    let mut refusals = Vec::new();
    for (status, response) in members(&operation["responses"]) {
        match text(response, "$ref").strip_prefix('#') {
            Some(pointer) => {
                let told = description.pointer(pointer).unwrap_or(&Value::Null);
                refusals.push(refusal(status, told));
            }
            None => part += &success(status, response),
        }
    }
    part += &told("Refusals", &refusals.join(", "));
    part
}

fn parameter(parameter: &Value) -> Vec<String> {
    let needed = if parameter["required"] == true { " (needed)" } else { "" };
    vec![
        code(text(parameter, "name")),
        format!("{}{needed}", escaped(text(parameter, "in"))),
        prose(text(parameter, "description")),
        schemas::kind(&parameter["schema"]),
        code(&shown(&parameter["example"])),
    ]
}

/// A value as it is sent in a path or a query.
fn shown(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(items) => items.iter().map(shown).collect::<Vec<_>>().join(", "),
        other => other.to_string(),
    }
}

/// A body in each of its forms, with its examples.
fn bodies(contents: &Value) -> String {
    let mut part = String::new();
    for (media, content) in members(contents) {
        part += &told(&code(media), &schemas::kind(&content["schema"]));
        for (_, example) in members(&content["examples"]) {
            let value = match &example["value"] {
                Value::String(text) => text.clone(),
                json => format!("{json:#}"),
            };
            part += &folded(&prose(text(example, "summary")), &block(&value));
        }
    }
    part
}

fn success(status: &str, response: &Value) -> String {
    let mut part =
        told(&format!("<strong>{status}</strong>"), &prose(text(response, "description")));
    for (name, field) in members(&response["headers"]) {
        part += &told(&code(name), &prose(text(field, "description")));
    }
    part + &bodies(&response["content"])
}

/// A status with the pages that explain it.
fn refusal(status: &str, response: &Value) -> String {
    let examples = &response["content"]["application/problem+json"]["examples"];
    let pages: Vec<String> = members(examples)
        .map(|(slug, _)| link(&format!("/docs/errors/{slug}"), &escaped(slug)))
        .collect();
    format!("{status} ({})", pages.join(", "))
}
