//! `POST /v1/shots`

use actix_web::{HttpRequest, web};

use crate::api::{
    body::Body,
    endpoint::{Answer, Components, Endpoint, Success, Verb, shape},
    intake,
    media::{self, Media},
    problem::{Kind, Problem},
    progress::Progress,
    query::{Form, Parameter, Query, Table},
    service::Service,
    spec,
};
use crate::{
    shot::{CsvMapping, CsvMappingId},
    store::NewShot,
};
use utoipa::openapi::{RefOr, Schema};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/shots",
    handler: || web::to(post),
    name: "sendShots",
    about: "Stores shots: one, an array, or an NDJSON stream of any length; one or a list of them \
            in envelopes of CloudEvents; or a CSV table of any length, read by a mapping. A success \
            means that they are on the disk. Items of an array, lines of a stream and rows of a \
            table are taken or refused one by one. A body may be compressed with gzip or zstd.",
    parameters: PARAMETERS,
    takes: &[Media::Json, Media::Ndjson, Media::CloudEvent, Media::CloudEvents, Media::Csv],
    body: Some(spec::shots_sent),
    line: Some(spec::shot_event),
    successes: &[
        Success::new(201, "One shot was stored.", shape::<intake::Stored>),
        Success::new(200, "One shot was stored already, or many were judged.", one_or_many),
    ],
    refusals: &[Kind::Conflict],
    ..Endpoint::BASE
}];

const PARAMETERS: Table = &[&[
    Parameter::new(
        "all_or_nothing",
        Form::Truth,
        "Whether one refused item refuses all. The shots are limited in number then (`atomic_shots`), \
         and a stream is a plain body (`body_bytes`): `/docs` shows both.",
    ),
    Parameter::new("mapping", Form::Name, "What the columns of a CSV table are."),
    Parameter::new(
        "dry_run",
        Form::Truth,
        "Whether a CSV table is only looked at: its first rows come back as the events that would \
         be stored.",
    ),
]];

fn one_or_many(components: &mut Components) -> RefOr<Schema> {
    spec::one_of([
        shape::<intake::Stored>(components),
        shape::<Progress>(components),
        shape::<intake::Rehearsal>(components),
    ])
}

/// How a table is taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Taking {
    /// Each row for itself.
    Each,
    /// All rows or none.
    AllOrNothing,
    /// Nothing is stored.
    DryRun,
}

async fn post(service: web::Data<Service>, request: HttpRequest, payload: web::Payload) -> Answer {
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let whole = query.one("all_or_nothing").unwrap_or(false);
    let dry_run = query.one("dry_run").unwrap_or(false);
    refuse_binary_mode(&request)?;
    let body = Body::open(&request, payload, &service.limits)?;
    if body.media == Media::Csv {
        let taking = match (dry_run, whole) {
            (true, _) => Taking::DryRun,
            (false, true) => Taking::AllOrNothing,
            (false, false) => Taking::Each,
        };
        let mapping = mapping(&service, query)?;
        return table(&service, body, (mapping, taking)).await;
    }
    for name in ["mapping", "dry_run"] {
        if query.text(name).is_some() {
            query.fault(name, format!("`{name}` is for text/csv only: leave it out"));
        }
    }
    if body.media == Media::Ndjson && !whole {
        query.done()?;
        return intake::stream(&service, body, intake::Events::new(&service.limits)).await;
    }
    let media = body.media;
    let text = body.whole().await?;
    let (listed, read): (_, intake::Reader) = match media {
        Media::Ndjson => {
            query.done()?;
            let events = intake::Events::new(&service.limits);
            return intake::whole_stream(&service, text, events).await;
        }
        Media::CloudEvent => (false, intake::enveloped),
        Media::CloudEvents => (true, intake::enveloped),
        _ => (intake::is_array(&text), NewShot::parse),
    };
    match (listed, whole) {
        (true, true) => intake::whole_array(&service, query, text, read).await,
        (true, false) => intake::array(&service, query, text, read).await,
        (false, _) => intake::one(service, query, read(text)).await,
    }
}

/// The mapping that a query names.
fn mapping(service: &Service, mut query: Query<'_>) -> Result<CsvMapping, Problem> {
    let named: Option<CsvMappingId> = query.needed("mapping");
    let known = named.map(|named| service.live().csv_mapping(&named));
    if let Some(Err(error)) = &known {
        query.fault("mapping", format!("{error}: put it at `/v1/csv-mappings` first"));
    }
    query.done()?;
    let known = known.and_then(Result::ok).map(|listed| listed.document);
    // What is missing was told above.
    known.ok_or_else(|| Problem::new(Kind::Invalid, "`mapping` is missing"))
}

async fn table(service: &Service, body: Body, how: (CsvMapping, Taking)) -> Answer {
    let (mapping, taking) = how;
    let table = intake::Table::new(mapping, &service.limits);
    match taking {
        Taking::Each => intake::stream(service, body, table).await,
        Taking::AllOrNothing => intake::whole_stream(service, body.whole().await?, table).await,
        Taking::DryRun => intake::rehearse(service, body, table).await,
    }
}

/// Refuses CloudEvents in binary mode, whose attributes stand in the head (CloudEvents 1.0, HTTP
/// protocol binding, 3.1): an event that came so would be taken without them.
fn refuse_binary_mode(request: &HttpRequest) -> Result<(), Problem> {
    let headers = request.headers();
    let attributes = headers.keys().any(|name| name.as_str().starts_with("ce-"));
    let enveloped = media::of_body(headers, &[Media::CloudEvent, Media::CloudEvents]).is_some();
    if !attributes || enveloped {
        return Ok(());
    }
    let detail = "CloudEvents are not taken in binary mode, which `ce-` headers are of: send \
                  attributes and data in structured mode, as application/cloudevents+json";
    Err(Problem::new(Kind::UnsupportedMediaType, detail))
}
