//! `POST /v1/shots`

use actix_web::{HttpRequest, web};

use crate::api::{
    body::Body,
    endpoint::{Answer, Components, Endpoint, Success, Verb, shape},
    field::Field,
    intake,
    media::Media,
    problem::Kind,
    progress::Progress,
    query::{Form, Parameter, Query, Table},
    service::Service,
    spec,
};
use utoipa::openapi::{RefOr, Schema};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/shots",
    handler: || web::to(post),
    name: "sendShots",
    about: "Stores shots: one, an array, or an NDJSON stream of any length. A success means that \
            they are on the disk. Items of an array and lines of a stream are taken or refused one \
            by one.",
    parameters: PARAMETERS,
    takes: &[Media::Json, Media::Ndjson],
    body: Some(spec::shots_sent),
    line: Some(spec::shot_event),
    successes: &[
        Success::new(201, "One shot was stored.", shape::<intake::Stored>).with(&[Field::LOCATION]),
        Success::new(200, "One shot was stored already, or many were judged.", one_or_many),
    ],
    refusals: &[Kind::Conflict],
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
    let body = Body::open(&request, payload, &service.limits)?;
    match (body.media, whole) {
        (Media::Ndjson, true) => intake::whole_stream(&service, query, body.whole().await?).await,
        (Media::Ndjson, false) => {
            query.done()?;
            intake::stream(&service, body).await
        }
        _ => {
            let text = body.whole().await?;
            match (intake::is_array(&text), whole) {
                (true, true) => intake::whole_array(&service, query, text).await,
                (true, false) => intake::array(&service, query, text).await,
                (false, _) => intake::one(service, query, text).await,
            }
        }
    }
}
