//! `POST /v1/assignments`: many shots corrected at once.

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
    shot::{Act, Assignment, Correction, Sequence, ShotFilter, ShotSet},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/assignments",
    handler: || web::to(assign),
    name: "assignShots",
    about: "Corrects all shots that a filter finds, in one act, 100,000 at most: how shots that wait \
            get their player and club, and how shots are put right that were hit with another club \
            than was said. With `dry_run` it says only what it would do; what finds nothing writes \
            nothing.",
    takes: &[Media::Json],
    body: Some(spec::assignment),
    successes: &[Success::new(200, "What it did, or would do.", shape::<Assigned>)],
    ..Endpoint::BASE
}];

/// What an assignment did, or would do.
#[derive(Serialize, utoipa::ToSchema)]
struct Assigned {
    /// Shots that the filter found.
    matched: usize,
    /// Those that it changed.
    changed: usize,
    /// The act's place in the one order, or for a dry run the last sequence that was looked at.
    as_of: Sequence,
    /// Whether nothing was changed yet.
    dry_run: bool,
}

async fn assign(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let query = Query::read(request.query_string(), &[])?;
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let Assignment { filter, set, dry_run } =
        query.done_beside(Assignment::from_json(&text).map_err(errors::of_rejection))?;
    let asked = service.clone();
    let (found, patch) = (filter.clone(), set.clone());
    let (shots, would) = ask(move || rehearse(&asked, &found, &patch)).await?;
    if dry_run || shots.is_empty() {
        return Ok(ok(&Assigned { dry_run, ..would }));
    }
    let act = Act::Assign { filter: Box::new(filter), shots, set, left: Vec::new() };
    let (as_of, receipt) = service.act(act).await?;
    let (matched, changed) = match receipt {
        Receipt::Amended { matched, changed } => (matched, changed),
        _ => (0, 0),
    };
    Ok(ok(&Assigned { matched, changed, as_of, dry_run: false }))
}

/// The shots that a filter finds, and what a correction of them would do.
fn rehearse(
    service: &Service,
    filter: &ShotFilter,
    set: &Correction,
) -> Result<(ShotSet, Assigned), Problem> {
    let shots = chosen::find(service, filter)?;
    let (changed, as_of) =
        service.live().would_change(&shots, set).map_err(|refusal| errors::of_refusal(&refusal))?;
    let would = Assigned { matched: shots.len(), changed, as_of, dry_run: true };
    Ok((shots, would))
}
