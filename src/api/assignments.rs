//! `POST /v1/assignments`: many shots corrected at once.

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
    shot::{Act, Assignment, Sequence},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/assignments",
    handler: || web::to(assign),
    name: "assignShots",
    about: "Corrects all shots that a filter finds, in one act: how shots that wait get their \
            player and club. With `dry_run` it says only what it would do.",
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
    let read = Assignment::from_json(&text).map_err(errors::of_rejection);
    let assignment = query.done_beside(read.and_then(of_many))?;
    if assignment.dry_run {
        return rehearse(service, assignment).await;
    }
    let (as_of, receipt) = service.act(Act::Assign(assignment)).await?;
    let (matched, changed) = match receipt {
        Receipt::Amended { matched, changed } => (matched, changed),
        Receipt::Shot { .. } | Receipt::Put { .. } | Receipt::Done => (0, 0),
    };
    Ok(ok(&Assigned { matched, changed, as_of, dry_run: false }))
}

/// One shot by its name is what a correction is for.
fn of_many(assignment: Assignment) -> Result<Assignment, Problem> {
    match &assignment.filter.id {
        None => Ok(assignment),
        Some(_) => Err(Problem::invalid(vec![Fault {
            pointer: String::from("/filter/id"),
            detail: String::from(
                "an assignment is for many shots: PATCH /v1/shots/{source}/{id} corrects one",
            ),
            parameter: None,
        }])),
    }
}

async fn rehearse(service: web::Data<Service>, assignment: Assignment) -> Answer {
    let found = ask(move || {
        let found = service.live().dry_run(&assignment);
        found.map_err(|refusal| errors::of_refusal(&refusal))
    })
    .await?;
    let (matched, changed, as_of) = (found.matched, found.changed, found.as_of);
    Ok(ok(&Assigned { matched, changed, as_of, dry_run: true }))
}
