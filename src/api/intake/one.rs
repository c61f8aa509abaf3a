//! One shot.

use actix_web::{
    HttpResponse,
    http::{StatusCode, header},
    web,
};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Serialize;

use crate::{
    api::{
        answer::json,
        endpoint::Answer,
        errors,
        problem::Problem,
        query::Query,
        service::{Service, ask},
    },
    live::Receipt,
    shot::{self, Flags, Rejection, Sequence, ShotId, SourceId},
    store::{Batch, NewShot, ReceiptWanted, ShotOutcome},
};

/// What became of one shot.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub(in crate::api) struct Stored {
    /// Its place in the one order.
    sequence: Sequence,
    /// What became of it.
    status: Status,
    /// What is odd about it, at this moment.
    #[schema(value_type = Vec<Flags>)]
    flags: Vec<String>,
}

/// What became of a shot that was taken.
#[derive(Debug, Serialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum Status {
    /// Stored, with its player and club.
    Stored,
    /// Stored already, with the same content.
    Duplicate,
    /// Stored; it waits for a player or a club.
    Unassigned,
}

/// Takes one shot in.
pub(in crate::api) async fn one(
    service: web::Data<Service>,
    query: Query<'_>,
    read: Result<NewShot, Rejection>,
) -> Answer {
    let answer = take(&service, query, read).await;
    if let Err(problem) = &answer {
        service.meters.refused(problem.kind().status().as_u16());
    }
    answer
}

async fn take(
    service: &web::Data<Service>,
    query: Query<'_>,
    read: Result<NewShot, Rejection>,
) -> Answer {
    let shot = query.done_beside(read.map_err(errors::of_rejection))?;
    let (source, id) = shot.identity();
    let (source, id) = (source.clone(), id.clone());
    let stored = service.store.append_shots(vec![shot], Batch::Each, ReceiptWanted::Yes).await;
    let outcomes = stored.map_err(|error| errors::of_write(error, &service.limits))?;
    match outcomes.into_iter().next() {
        Some(ShotOutcome::Stored { sequence, receipt }) => {
            Ok(created(sequence, receipt, (&source, &id)))
        }
        Some(ShotOutcome::Duplicate { sequence }) => duplicate(service.clone(), sequence).await,
        Some(ShotOutcome::Conflict { .. } | ShotOutcome::Withheld) | None => {
            Err(errors::conflict())
        }
    }
}

fn created(
    sequence: Sequence,
    receipt: Option<Receipt>,
    name: (&SourceId, &ShotId),
) -> HttpResponse {
    let (assigned, flags) = match receipt {
        Some(Receipt::Shot { assigned, flags }) => (assigned, flags),
        _ => (true, Vec::new()),
    };
    let status = if assigned { Status::Stored } else { Status::Unassigned };
    let mut answer = json(StatusCode::CREATED, &Stored { sequence, status, flags });
    if let Ok(place) = location(name).try_into() {
        answer.headers_mut().insert(header::LOCATION, place);
    }
    answer
}

/// What may stand in a path as it is (RFC 3986, 2.3).
const KEPT: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

fn location((source, id): (&SourceId, &ShotId)) -> String {
    let source = utf8_percent_encode(source.as_str(), KEPT);
    let id = utf8_percent_encode(id.as_str(), KEPT);
    format!("/v1/shots/{source}/{id}")
}

async fn duplicate(service: web::Data<Service>, sequence: Sequence) -> Answer {
    let flags = ask(move || flags_now(&service, sequence)).await?;
    Ok(json(StatusCode::OK, &Stored { sequence, status: Status::Duplicate, flags }))
}

fn flags_now(service: &Service, sequence: Sequence) -> Result<Vec<String>, Problem> {
    let view = service.live().shot(sequence).map_err(|error| errors::of_state(&error))?;
    let stored = service.store.read(sequence).map_err(|error| errors::of_stored(&error))?;
    let event = stored.and_then(|stored| shot::parse(&stored.text).ok());
    Ok(view.zip(event).map(|(view, event)| view.flags.words(&event)).unwrap_or_default())
}
