//! One row as an operation.

use serde_json::{Map, Value, json};
use utoipa::openapi::{RefOr, Schema};

use super::{openapi::tag, parameters, responses, schemas};
use crate::api::{
    endpoint::{Components, Endpoint, Verb},
    media::Media,
    shots::table,
    stream,
};

/// The operation of a row.
pub(super) fn describe(endpoint: &Endpoint, components: &mut Components) -> Value {
    let mut operation = json!({
        "operationId": endpoint.name,
        "tags": [tag(endpoint.path)],
        "summary": summary(endpoint.about),
        "description": endpoint.about,
        "responses": responses::of(endpoint, components),
    });
    let parameters = parameters::of(endpoint);
    if !parameters.is_empty() {
        operation["parameters"] = parameters.into();
    }
    if let Some(body) = endpoint.body {
        let schema = body(components);
        let contents = contents((endpoint, endpoint.takes), &schema, components);
        operation["requestBody"] = json!({
            "description": "What is sent.", "required": true, "content": contents,
        });
    }
    operation
}

/// What a text says first.
fn summary(about: &str) -> &str {
    about.split(['.', ':', ';']).next().unwrap_or_default()
}

/// A body in each of its forms.
pub(super) fn contents(
    (endpoint, forms): (&Endpoint, &[Media]),
    schema: &RefOr<Schema>,
    components: &mut Components,
) -> Map<String, Value> {
    let mut contents = Map::new();
    for media in forms {
        let schema = match media {
            Media::Ndjson => lines(endpoint, components),
            Media::CloudEvent => json!({"$ref": "#/components/schemas/CloudEvent"}),
            // As in an array, a bad item is refused alone.
            Media::CloudEvents => json!({
                "type": "array", "items": {}, "description": "Each item is a `CloudEvent`.",
            }),
            Media::Csv if endpoint.verb == Verb::Get => schemas::plain_text(table::ABOUT),
            Media::EventStream => stream::schema(),
            Media::Csv => schemas::plain_text("A table with a header: a shot a row (RFC 4180)."),
            json if json.is_json() => schemas::json(schema),
            _ => schemas::plain_text("A text of this type."),
        };
        contents.insert(media.name().to_owned(), json!({"schema": schema}));
    }
    contents
}

/// A stream of lines: a text, whose every line is as its content's schema says.
fn lines(endpoint: &Endpoint, components: &mut Components) -> Value {
    let mut lines = schemas::plain_text("One JSON object a line, each as `contentSchema` says.");
    lines["contentMediaType"] = json!(Media::Ndjson.name());
    if let Some(line) = endpoint.line {
        lines["contentSchema"] = schemas::json(&line(components));
    }
    lines
}
