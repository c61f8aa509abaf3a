//! Holds what the service answers against what its description says: the status, the media type, the
//! header fields and the body, by an independent validator of JSON Schema.

use std::{
    collections::HashMap,
    sync::{Arc, LazyLock, Mutex},
};

use evencarry::api::Limits;
use jsonschema::Validator;
use serde_json::Value;

use super::Answer;

/// The description of the API, as the service gives it.
pub static DESCRIPTION: LazyLock<Value> = LazyLock::new(|| {
    serde_json::from_str(&evencarry::api::openapi_text(&Limits::default())).unwrap()
});

static VALIDATORS: LazyLock<Mutex<HashMap<String, Arc<Validator>>>> = LazyLock::new(Mutex::default);

/// Header fields that may come only where they are described.
const DESCRIBED_FIELDS: &[&str] =
    &["location", "link", "retry-after", "allow", "accept-encoding", "etag"];

/// Those of them that come wherever they are described.
const CERTAIN_FIELDS: &[&str] = &["location", "retry-after", "allow", "etag"];

/// Panics if the answer to a request is not as described. A head that is none gets a bare status from
/// the framework, which has no body to describe; a preflight is about operations and none itself.
pub fn check(request: &[u8], answer: &Answer) {
    let Some((method, path)) = asked(request) else { return };
    let preflight = method == "options" && answer.status == 204;
    if preflight || (answer.status >= 400 && answer.body.is_empty()) {
        return;
    }
    let what = format!("{method} {path}: {}", answer.status);
    match response(&method, &path, answer.status) {
        Some(response) => check_response(&what, response, answer),
        None => check_refusal(&what, answer),
    }
}

/// The method and the path of a request.
fn asked(request: &[u8]) -> Option<(String, String)> {
    let line = request.split(|byte| *byte == b'\r').next()?;
    let mut parts = std::str::from_utf8(line).ok()?.split(' ');
    let (method, target) = (parts.next()?, parts.next()?);
    let path = target.split('?').next()?;
    path.starts_with('/').then(|| (method.to_lowercase(), path.to_owned()))
}

/// The described path that a path is one of; a plain one goes before a pattern.
pub fn template(path: &str) -> Option<&'static str> {
    let paths = DESCRIPTION["paths"].as_object().unwrap().keys();
    let found = paths.filter(|template| fits(template, path));
    found.min_by_key(|template| template.matches('{').count()).map(String::as_str)
}

fn fits(template: &str, path: &str) -> bool {
    let (mut parts, mut wanted) = (path.split('/'), template.split('/'));
    loop {
        match (parts.next(), wanted.next()) {
            (None, None) => return true,
            (Some(part), Some(name)) if name.starts_with('{') && !part.is_empty() => {}
            (Some(part), Some(plain)) if part == plain => {}
            _ => return false,
        }
    }
}

/// What is described of an answer, if its path and method are.
fn response(method: &str, path: &str, status: u16) -> Option<&'static Value> {
    let operation = DESCRIPTION["paths"][template(path)?].get(method)?;
    let response = operation["responses"].get(status.to_string());
    Some(resolved(response.unwrap_or_else(|| panic!("{method} {path}: {status} is not declared"))))
}

/// What a reference leads to.
pub fn resolved(value: &'static Value) -> &'static Value {
    let Some(reference) = value["$ref"].as_str() else { return value };
    let pointer = reference.strip_prefix('#').unwrap();
    DESCRIPTION.pointer(pointer).unwrap_or_else(|| panic!("{reference} leads nowhere"))
}

fn check_response(what: &str, response: &'static Value, answer: &Answer) {
    for field in DESCRIBED_FIELDS {
        let described = response["headers"]
            .as_object()
            .is_some_and(|fields| fields.keys().any(|name| name.eq_ignore_ascii_case(field)));
        let given = answer.header(field).is_some();
        assert!(described || !given, "{what}: {field} is not described");
        // An import that is stored in part is not to be sent again.
        let once = *field == "retry-after" && what.starts_with("post /v1/import:");
        let certain = CERTAIN_FIELDS.contains(field) && !once;
        assert!(given || !(described && certain), "{what}: {field} is described, but not given");
    }
    let Some(contents) = response["content"].as_object() else {
        assert!(answer.body.is_empty(), "{what}: a body that is not described");
        return;
    };
    let media = media(answer);
    let content = contents.get(media).unwrap_or_else(|| panic!("{what}: {media} is not described"));
    check_body(what, &content["schema"], (media, &answer.decoded()));
}

/// The media type of an answer, without its parameters.
pub fn media(answer: &Answer) -> &str {
    let media = answer.header("content-type").unwrap_or_else(|| panic!("no type: {answer:?}"));
    media.split(';').next().unwrap_or_default()
}

/// Whether a body of this type is one JSON text.
pub fn is_json(media: &str) -> bool {
    media.ends_with("/json") || media.ends_with("+json")
}

/// A body against the schema of its form; lines one by one.
pub fn check_body(what: &str, schema: &Value, (media, body): (&str, &[u8])) {
    if let Some(line) = schema.get("contentSchema") {
        for text in body.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
            check_json(what, line, &serde_json::from_slice(text).unwrap());
        }
    } else if is_json(media) {
        let body = serde_json::from_slice(body);
        check_json(what, schema, &body.unwrap_or_else(|fault| panic!("{what}: no JSON: {fault}")));
    }
}

/// A value against a schema of the description.
pub fn check_json(what: &str, schema: &Value, value: &Value) {
    let faults: Vec<String> = validator(schema)
        .iter_errors(value)
        .map(|fault| format!("{}: {fault}", fault.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{what}: {faults:#?}\n{value:#}");
}

/// The validator of a schema of the description.
pub fn validator(schema: &Value) -> Arc<Validator> {
    let mut known = VALIDATORS.lock().unwrap();
    let made = known.entry(schema.to_string()).or_insert_with(|| {
        let mut whole = schema.clone();
        whole["components"] = DESCRIPTION["components"].clone();
        Arc::new(jsonschema::draft202012::new(&whole).unwrap())
    });
    Arc::clone(made)
}

/// What is at no described path, or of no described method, is refused by a problem.
fn check_refusal(what: &str, answer: &Answer) {
    assert!(answer.status >= 400, "{what}: a success that is not described");
    let problem = serde_json::json!({"$ref": "#/components/schemas/Problem"});
    check_json(what, &problem, &answer.problem());
    assert!(answer.status != 405 || answer.header("allow").is_some(), "{what}: no Allow");
}
