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
use crate::store::NewShot;
use utoipa::openapi::{RefOr, Schema};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/shots",
    handler: || web::to(post),
    name: "sendShots",
    about: "Stores shots: one, an array, or an NDJSON stream of any length; one or a list of them \
            in envelopes of CloudEvents. A success means that they are on the disk. Items of an \
            array and lines of a stream are taken or refused one by one. A body may be compressed \
            with gzip or zstd.",
    parameters: PARAMETERS,
    takes: &[Media::Json, Media::Ndjson, Media::CloudEvent, Media::CloudEvents],
    body: Some(spec::shots_sent),
    successes: &[
        Success::new(201, "One shot was stored.", shape::<intake::Stored>),
        Success::new(200, "One shot was stored already, or many were judged.", one_or_many),
    ],
    ..Endpoint::BASE
}];

const PARAMETERS: Table = &[&[Parameter::new(
    "all_or_nothing",
    Form::Truth,
    "Whether one refused item refuses all; at most 10,000 shots or 16 MiB then.",
)]];

fn one_or_many(components: &mut Components) -> RefOr<Schema> {
    spec::one_of([shape::<intake::Stored>(components), shape::<Progress>(components)])
}

async fn post(service: web::Data<Service>, request: HttpRequest, payload: web::Payload) -> Answer {
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let whole = query.one("all_or_nothing").unwrap_or(false);
    refuse_binary_mode(&request)?;
    let body = Body::open(&request, payload, &service.limits)?;
    let media = body.media;
    if media == Media::Ndjson && !whole {
        query.done()?;
        return intake::stream(&service, body).await;
    }
    let text = body.whole().await?;
    let (listed, read): (_, intake::Reader) = match media {
        Media::Ndjson => return intake::whole_stream(&service, query, text).await,
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
