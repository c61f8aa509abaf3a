//! The answers of an operation: its successes, with where they lead, and the refusals, which are
//! described once for all operations.

use std::collections::BTreeMap;

use actix_web::http::StatusCode;
use serde_json::{Map, Value, json};

use super::{examples, operation::contents};
use crate::api::{
    endpoint::{Caching, Components, Endpoint, Success, Verb},
    field::{Field, FieldForm},
    problem::Kind,
    routes,
};

/// All answers of a row.
pub(super) fn of(endpoint: &Endpoint, components: &mut Components) -> Map<String, Value> {
    let mut responses = Map::new();
    for kind in endpoint.all_refusals() {
        let reference = format!("#/components/responses/{}", component(kind.status()));
        responses.insert(kind.status().as_str().to_owned(), json!({"$ref": reference}));
    }
    if endpoint.successes.iter().any(|success| endpoint.is_tagged(success)) {
        let unchanged = "Nothing has changed since the answer whose tag `If-None-Match` names.";
        let tag = fields([tag(endpoint)].iter());
        responses.insert("304".into(), json!({"description": unchanged, "headers": tag}));
    }
    for success in endpoint.successes {
        responses.insert(success.status.to_string(), response((endpoint, success), components));
    }
    responses
}

fn response((endpoint, success): (&Endpoint, &Success), components: &mut Components) -> Value {
    let mut response = json!({"description": success.about});
    if let Some(shape) = success.shape {
        let schema = shape(components);
        response["content"] = contents((endpoint, endpoint.gives), &schema, components).into();
    }
    let mut own = success.fields.to_vec();
    own.extend((success.status == 201).then_some(Field::LOCATION));
    own.extend(endpoint.is_tagged(success).then(|| tag(endpoint)));
    if !own.is_empty() {
        response["headers"] = fields(own.iter());
    }
    let links = links(endpoint, success.status);
    if !links.is_empty() {
        response["links"] = links.into();
    }
    response
}

fn tag(endpoint: &Endpoint) -> Field {
    if endpoint.caching == Caching::Exact { Field::EXACT_ETAG } else { Field::ETAG }
}

fn fields<'a>(fields: impl Iterator<Item = &'a Field>) -> Value {
    let fields = fields.map(|field| {
        let (schema, example) = match field.form {
            FieldForm::Text => (json!({"type": "string"}), json!(field.example)),
            FieldForm::Seconds => {
                (json!({"type": "integer", "minimum": 0}), json!(field.example.parse::<u64>().ok()))
            }
        };
        let described = json!({"description": field.about, "schema": schema, "example": example});
        (field.name.to_owned(), described)
    });
    Value::Object(fields.collect())
}

/// Where an answer leads: from what was put to the same and to what lies right below it, from one
/// shot that was stored to that shot.
fn links(from: &Endpoint, status: u16) -> Map<String, Value> {
    let (below, value): (&str, fn(&str) -> String) = match (from.verb, from.path, status) {
        (Verb::Put, path, _) => (path, |name| format!("$request.path.{name}")),
        (Verb::Post, "/v1/shots", 201) => {
            ("/v1/shots/{source}/{id}", |name| format!("$request.body#/{name}"))
        }
        _ => return Map::new(),
    };
    let reached = routes::endpoints().filter(|to| to.name != from.name && leads(below, to.path));
    let link = |to: &Endpoint| {
        let known = to.names().filter(|name| below.contains(&format!("{{{name}}}")));
        let parameters: Map<_, _> =
            known.map(|name| (name.to_owned(), json!(value(name)))).collect();
        let link = json!({
            "operationId": to.name, "parameters": parameters, "description": to.about,
        });
        (to.name.to_owned(), link)
    };
    reached.map(link).collect()
}

/// Whether a path is another one, or lies right below it.
fn leads(from: &str, to: &str) -> bool {
    to.strip_prefix(from).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        && to.matches('/').count() <= from.matches('/').count() + 2
}

/// The name under which the refusals of a status are described.
pub(super) fn component(status: StatusCode) -> String {
    status.canonical_reason().unwrap_or_default().replace(' ', "")
}

/// All refusals, by the names of their statuses.
pub(super) fn refusals() -> Map<String, Value> {
    let mut by_status: BTreeMap<u16, Vec<Kind>> = BTreeMap::new();
    for kind in Kind::ALL {
        by_status.entry(kind.status().as_u16()).or_default().push(kind);
    }
    by_status.values().map(|kinds| (component(kinds[0].status()), refusal(kinds))).collect()
}

fn refusal(kinds: &[Kind]) -> Value {
    let about: Vec<String> = kinds
        .iter()
        .map(|kind| format!("{}: {}", kind.facts().title, kind.facts().meaning))
        .collect();
    let examples: Map<_, _> = kinds
        .iter()
        .filter_map(|kind| Some((kind.facts().slug.to_owned(), examples::of_refusal(*kind)?)))
        .collect();
    let problem = json!({
        "schema": {"$ref": "#/components/schemas/Problem"}, "examples": examples,
    });
    let mut refusal = json!({
        "description": about.join(" "), "content": {"application/problem+json": problem},
    });
    let fields: Vec<&Field> = kinds.iter().flat_map(|kind| kind.fields()).collect();
    if !fields.is_empty() {
        refusal["headers"] = self::fields(fields.into_iter());
    }
    refusal
}
