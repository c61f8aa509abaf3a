//! `POST /v1/retirements`: the content of many shots goes, what statistics rest on stays.

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{
    answer::ok,
    body::Body,
    endpoint::{Answer, Endpoint, Success, Verb, shape},
    errors,
    media::Media,
    problem::{Fault, Problem},
    query::Query,
    service::{Service, ask},
    spec,
};
use crate::{
    live::Receipt,
    shot::{Act, Retirement, Sequence},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/retirements",
    handler: || web::to(retire),
    name: "retireShots",
    about: "Retires all shots that a filter finds, in one act: their events as sent are gone and they \
            are listed no more, while every profile, ladder and verdict that rests on them stays as it \
            is. With `dry_run` it says only what it would do.",
    takes: &[Media::Json],
    body: Some(spec::retirement),
    successes: &[Success::new(200, "What it did, or would do.", shape::<Retired>)],
    ..Endpoint::BASE
}];

/// What a retirement did, or would do.
#[derive(Serialize, utoipa::ToSchema)]
struct Retired {
    /// Shots that the filter found, those apart that are retired already.
    matched: usize,
    /// Those that it retired.
    changed: usize,
    /// The act's place in the one order, or for a dry run the last sequence that was looked at.
    as_of: Sequence,
    /// Whether nothing was changed yet.
    dry_run: bool,
}

async fn retire(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let query = Query::read(request.query_string(), &[])?;
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let read = Retirement::from_json(&text).map_err(errors::of_rejection);
    let retirement = query.done_beside(read.and_then(of_many))?;
    if retirement.dry_run {
        return rehearse(service, retirement).await;
    }
    let (as_of, receipt) = service.act(Act::Retire(retirement)).await?;
    let (matched, changed) = match receipt {
        Receipt::Amended { matched, changed } => (matched, changed),
        Receipt::Shot { .. } | Receipt::Put { .. } | Receipt::Done => (0, 0),
    };
    Ok(ok(&Retired { matched, changed, as_of, dry_run: false }))
}

/// Retention is by time and owner, never by a shot's name.
fn of_many(retirement: Retirement) -> Result<Retirement, Problem> {
    match &retirement.filter.id {
        None => Ok(retirement),
        Some(_) => Err(Problem::invalid(vec![Fault {
            pointer: String::from("/filter/id"),
            detail: String::from(
                "a retirement is for many shots: DELETE /v1/shots/{source}/{id} erases one",
            ),
            parameter: None,
        }])),
    }
}

async fn rehearse(service: web::Data<Service>, retirement: Retirement) -> Answer {
    let found = ask(move || {
        let found = service.live().would_retire(&retirement);
        found.map_err(|refusal| errors::of_refusal(&refusal))
    })
    .await?;
    let (matched, changed, as_of) = (found.matched, found.changed, found.as_of);
    Ok(ok(&Retired { matched, changed, as_of, dry_run: true }))
}
