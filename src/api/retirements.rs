//! `POST /v1/retirements`: the content of many shots goes, what statistics rest on stays.

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{
    answer::ok,
    body::Body,
    chosen,
    endpoint::{Answer, Endpoint, Success, Verb, shape},
    errors,
    media::Media,
    problem::Problem,
    query::Query,
    service::{Service, ask},
    spec,
};
use crate::{
    live::Receipt,
    shot::{Act, Retirement, Sequence, ShotFilter, ShotSet},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/retirements",
    handler: || web::to(retire),
    name: "retireShots",
    about: "Retires all shots that a filter finds, in one act, 100,000 at most: their events as sent \
            are gone and they are listed no more, while every profile, ladder and verdict that rests \
            on them stays as it is. With `dry_run` it says only what it would do; what finds nothing \
            writes nothing.",
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
    let Retirement { filter, dry_run } =
        query.done_beside(Retirement::from_json(&text).map_err(errors::of_rejection))?;
    let (asked, wanted) = (service.clone(), filter.clone());
    let (shots, would) = ask(move || rehearse(&asked, &wanted)).await?;
    if dry_run || shots.is_empty() {
        return Ok(ok(&Retired { dry_run, ..would }));
    }
    let (as_of, receipt) = service.act(Act::Retire { filter: Box::new(filter), shots }).await?;
    let (matched, changed) = match receipt {
        Receipt::Amended { matched, changed } => (matched, changed),
        _ => (0, 0),
    };
    Ok(ok(&Retired { matched, changed, as_of, dry_run: false }))
}

/// The shots that a filter finds, and what their retirement would do.
fn rehearse(service: &Service, filter: &ShotFilter) -> Result<(ShotSet, Retired), Problem> {
    let shots = chosen::find(service, filter)?;
    let found = shots.len();
    let as_of = service.live().as_of();
    Ok((shots, Retired { matched: found, changed: found, as_of, dry_run: true }))
}
