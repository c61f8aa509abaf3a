//! Many shots: a stream, an array, or all of them or none.

use actix_web::{HttpResponse, http::StatusCode};
use bytes::Bytes;

use super::{Group, Intake};
use crate::api::{
    answer::json,
    body::Body,
    endpoint::Answer,
    errors,
    limits::Limits,
    lines::{Line, Lines},
    media::Media,
    problem::{Fault, Kind, Problem},
    progress::Tally,
    service::Service,
};
use crate::shot;

/// Takes an NDJSON stream of any length. What was acknowledged stays, however the stream ends.
pub(in crate::api) async fn stream(service: &Service, mut body: Body) -> Answer {
    let mut intake = Intake::new(service);
    let read = read_stream(&mut body, &mut intake).await;
    answer(intake, read.err()).await
}

async fn read_stream(body: &mut Body, intake: &mut Intake<'_>) -> Result<(), Problem> {
    let mut lines = Lines::new(intake.limits.line_bytes);
    loop {
        let chunk = match body.chunk_at_hand() {
            Some(chunk) => chunk?,
            None => {
                intake.hand_on().await?;
                body.next_chunk().await?
            }
        };
        let Some(chunk) = chunk else { break };
        lines.feed(chunk);
        while let Some(line) = lines.next_line() {
            intake.take(line).await?;
        }
    }
    if let Some(line) = lines.finish() {
        intake.take(line).await?;
    }
    Ok(())
}

/// Takes the items of a JSON array, each for itself.
pub(in crate::api) async fn array(service: &Service, body: Bytes) -> Answer {
    let items = items(&body)?;
    let mut intake = Intake::new(service);
    for item in items {
        if let Err(problem) = intake.take(item).await {
            return answer(intake, Some(problem)).await;
        }
    }
    answer(intake, None).await
}

async fn answer(intake: Intake<'_>, stopped: Option<Problem>) -> Answer {
    let (tally, failed) = intake.finish().await;
    match failed.or(stopped) {
        None => Ok(json(StatusCode::OK, &tally.into_whole())),
        Some(problem) => Err(problem.with_progress(tally.into_partial())),
    }
}

/// Takes all shots of a body or none of them.
pub(in crate::api) async fn all_or_nothing(service: &Service, media: Media, body: Bytes) -> Answer {
    let limits = &service.limits;
    let items = if media == Media::Ndjson { all_lines(body, limits) } else { items(&body)? };
    let mut group = Group::default();
    for item in items {
        if group.len() >= limits.atomic_shots {
            return Err(too_many(limits));
        }
        group.add(item, limits);
    }
    let mut tally = Tally::new(limits.refusals);
    let unreadable = group.has_refusals();
    if unreadable {
        group.forget_shots();
    }
    let settled = group.settle_whole(&service.store).await;
    settled.count_whole(&mut tally).map_err(|error| errors::of_write(error, limits))?;
    let progress = tally.into_whole();
    if progress.refused == 0 {
        return Ok(json(StatusCode::OK, &progress));
    }
    let kind = if unreadable { Kind::Invalid } else { Kind::Conflict };
    let detail = format!("{} were refused, so nothing was stored", progress.refused);
    Err(Problem::new(kind, detail).with_progress(progress))
}
