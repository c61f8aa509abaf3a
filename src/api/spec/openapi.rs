//! The rows of the endpoints as OpenAPI 3.1.

use serde_json::{Map, Value, json};
use utoipa::openapi::{
    ComponentsBuilder, Content, ContentBuilder, Info, OpenApi, OpenApiBuilder, PathsBuilder, Ref,
    RefOr, Required, Response, ResponseBuilder, Schema,
    path::{HttpMethod, Operation, OperationBuilder, ParameterBuilder, ParameterIn, PathItem},
    request_body::RequestBodyBuilder,
    schema::{AllOfBuilder, AnyOfBuilder, Array, KnownFormat, ObjectBuilder, SchemaFormat, Type},
};

use super::{documents, imperial};
use crate::{
    api::{
        endpoint::{Caching, Components, Endpoint, Success, Verb, shape},
        limits::Limits,
        media::Media,
        problem::ProblemBody,
        query::{Form, Parameter},
        routes,
        shots::table,
    },
    bag::{Interval, MetricSummary},
    shot::{
        self, NAME_MAX,
        units::{self, Unit},
    },
};

const ABOUT: &str = "Takes golf shots, keeps them, and says which club can take another's place. \
    Every field that holds a quantity ends in its unit; answers are in SI unless asked otherwise. A success of a write \
    means that it is on the disk. Every refusal is a problem (RFC 9457) that names what is wrong \
    and the mend. `as_of` is the last sequence that touched what an answer is about.";

/// The name of the schema of a page's length.
const PAGE_ITEMS: &str = "PageItems";

/// The description of the API of a service with these limits.
pub(super) fn describe(limits: &Limits) -> Value {
    let mut components = Components::new();
    let paths = routes::endpoints().fold(PathsBuilder::new(), |paths, endpoint| {
        let operation = operation(endpoint, &mut components);
        paths.path(endpoint.path, PathItem::new(method(endpoint.verb), operation))
    });
    shape::<ProblemBody<'static>>(&mut components);
    shape::<MetricSummary>(&mut components);
    shape::<Interval>(&mut components);
    let components = components
        .into_iter()
        .fold(ComponentsBuilder::new(), |all, (name, schema)| all.schema(name, schema));
    let mut info = Info::new("Evencarry", env!("CARGO_PKG_VERSION"));
    info.description = Some(ABOUT.to_owned());
    let api =
        OpenApiBuilder::new().info(info).paths(paths.build()).components(Some(components.build()));
    let mut api = with_hand_made(&api.build(), limits);
    imperial::add_twins(&mut api);
    api
}

/// Adds the schemas that are JSON already: the event's, from its table, those of documents, and that
/// of a page's length, from the limits.
fn with_hand_made(api: &OpenApi, limits: &Limits) -> Value {
    // A description is an object of texts and numbers: it always becomes JSON.
    let mut api = serde_json::to_value(api).unwrap_or_default();
    if let Some(schemas) = api["components"]["schemas"].as_object_mut() {
        schemas.extend(documents::schemas());
        schemas.extend(moved("ShotEvent", shot::schema::shot_event()));
        schemas.extend(moved("CloudEvent", shot::schema::cloud_event()));
        schemas.insert(PAGE_ITEMS.into(), page_items(limits));
    }
    api
}

fn page_items(limits: &Limits) -> Value {
    json!({
        "type": "integer",
        "minimum": 1,
        "maximum": limits.page_items,
        "default": limits.page_items_usual,
    })
}

/// A schema and what it defines, the definitions moved to where a description has them.
fn moved(name: &str, mut schema: Value) -> Map<String, Value> {
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

fn method(verb: Verb) -> HttpMethod {
    match verb {
        Verb::Get => HttpMethod::Get,
        Verb::Post => HttpMethod::Post,
        Verb::Put => HttpMethod::Put,
        Verb::Patch => HttpMethod::Patch,
        Verb::Delete => HttpMethod::Delete,
    }
}

fn operation(endpoint: &Endpoint, components: &mut Components) -> Operation {
    let mut operation = OperationBuilder::new()
        .operation_id(Some(endpoint.name))
        .summary(Some(endpoint.about.split(['.', ':', ';']).next().unwrap_or_default()))
        .description(Some(endpoint.about));
    for name in names_in(endpoint.path) {
        operation = operation.parameter(path_parameter(name));
    }
    for parameter in endpoint.parameters.iter().copied().flatten() {
        for (spelling, unit) in spellings(parameter) {
            operation = operation.parameter(query_parameter(parameter, &spelling, unit));
        }
    }
    if let Some(body) = endpoint.body {
        let schema = body(components);
        let body = endpoint.takes.iter().fold(RequestBodyBuilder::new(), |body, media| {
            body.content(media.name(), content(*media, schema.clone()))
        });
        operation = operation.request_body(Some(body.required(Some(Required::True)).build()));
    }
    for success in endpoint.successes {
        let status = success.status.to_string();
        operation = operation.response(status, response(endpoint.gives, success, components));
    }
    if endpoint.verb == Verb::Get && endpoint.caching != Caching::Never {
        let unchanged = "Nothing has changed since the answer whose tag `If-None-Match` names.";
        let unchanged = ResponseBuilder::new().description(unchanged).build();
        operation = operation.response("304", unchanged);
    }
    operation.response("default", refusal(endpoint)).build()
}

fn content(media: Media, schema: RefOr<Schema>) -> Content {
    match media {
        // A stream has no schema of its own in OpenAPI 3.1; its lines have the one described.
        Media::Ndjson => {
            ContentBuilder::new().schema(Some(text("One JSON object a line."))).build()
        }
        Media::CloudEvent => Content::new(Some(Ref::from_schema_name("CloudEvent"))),
        // As in an array, a bad item is refused alone.
        Media::CloudEvents => {
            let list = ObjectBuilder::new().schema_type(Type::Array);
            let list = list.description(Some("A list; each item is a `CloudEvent`."));
            Content::new(Some(Schema::from(list)))
        }
        Media::Csv => {
            ContentBuilder::new().schema(Some(text("A table with a header: a shot a row."))).build()
        }
        _ => Content::new(Some(schema)),
    }
}

fn response(gives: &[Media], success: &Success, components: &mut Components) -> Response {
    let response = ResponseBuilder::new().description(success.about);
    let Some(shape) = success.shape else { return response.build() };
    let schema = shape(components);
    gives
        .iter()
        .fold(response, |response, media| {
            let content = match media {
                Media::Csv => ContentBuilder::new().schema(Some(text(table::ABOUT))).build(),
                _ => content(*media, schema.clone()),
            };
            response.content(media.name(), content)
        })
        .build()
}

/// A problem; that of a stream which ended early says also how far it came.
fn refusal(endpoint: &Endpoint) -> Response {
    let problem = Ref::from_schema_name("Problem");
    let problem: RefOr<Schema> = if endpoint.takes.contains(&Media::Ndjson) {
        let progress = Ref::from_schema_name("Progress");
        let ended_early = AllOfBuilder::new().item(problem.clone()).item(progress);
        RefOr::T(AnyOfBuilder::new().item(Schema::from(ended_early)).item(problem).into())
    } else {
        problem.into()
    };
    ResponseBuilder::new()
        .description("A refusal: what is wrong, and the mend.")
        .content("application/problem+json", Content::new(Some(problem)))
        .build()
}

/// The names within braces.
fn names_in(path: &str) -> impl Iterator<Item = &str> {
    path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
}

fn path_parameter(name: &str) -> ParameterBuilder {
    ParameterBuilder::new()
        .name(name)
        .parameter_in(ParameterIn::Path)
        .required(Required::True)
        .description(Some("Percent-encoded; `%2F` stays within the name."))
        .schema(Some(named()))
}

/// The names that a parameter goes by, each with its unit where it has one.
fn spellings(parameter: &Parameter) -> Vec<(String, Option<Unit>)> {
    let unit = |spelling: &str| match parameter.form {
        Form::Quantity { dimension, .. } => units::resolve(parameter.name, dimension, spelling),
        _ => None,
    };
    parameter.spellings().into_iter().map(|spelling| (spelling.clone(), unit(&spelling))).collect()
}

fn query_parameter(parameter: &Parameter, spelling: &str, unit: Option<Unit>) -> ParameterBuilder {
    let needed = if parameter.needed { Required::True } else { Required::False };
    ParameterBuilder::new()
        .name(spelling)
        .parameter_in(ParameterIn::Query)
        .required(needed)
        .description(Some(parameter.about))
        .schema(Some(form(parameter.form, unit)))
}

fn form(form: Form, unit: Option<Unit>) -> RefOr<Schema> {
    match form {
        Form::Name => named(),
        Form::Names => RefOr::T(Array::new(named()).into()),
        Form::OneOf(words) => {
            let words = ObjectBuilder::new().schema_type(Type::String).enum_values(Some(words()));
            RefOr::T(words.into())
        }
        Form::Truth => RefOr::T(ObjectBuilder::new().schema_type(Type::Boolean).into()),
        Form::Count { most } => {
            // Counts are far below the numbers that a double cannot hold.
            let most = u32::try_from(most).unwrap_or(u32::MAX);
            let count = ObjectBuilder::new().schema_type(Type::Integer);
            RefOr::T(count.minimum(Some(1)).maximum(Some(most)).into())
        }
        Form::PageItems => Ref::from_schema_name(PAGE_ITEMS).into(),
        Form::Moment => text("An RFC 3339 instant, or a date, which begins where `zone` says."),
        Form::Zone => text("A name of the IANA time zone database."),
        Form::Opaque => text("As it was given."),
        Form::Flag => text("A flag as shots have it: `mishit`, `unusual:/launch/spin_rate_rpm`."),
        Form::Quantity { low, high, .. } => {
            let bound = |kept| unit.map_or(kept, |unit: Unit| unit.from_si(kept));
            let number = ObjectBuilder::new()
                .schema_type(Type::Number)
                .format(Some(SchemaFormat::KnownFormat(KnownFormat::Double)));
            RefOr::T(number.minimum(Some(bound(low))).maximum(Some(bound(high))).into())
        }
    }
}

fn named() -> RefOr<Schema> {
    let name = ObjectBuilder::new().schema_type(Type::String);
    RefOr::T(name.min_length(Some(1)).max_length(Some(NAME_MAX)).into())
}

fn text(about: &str) -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().schema_type(Type::String).description(Some(about)).into())
}
