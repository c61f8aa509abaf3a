//! Many shots: a stream, an array, or all of them or none.

use actix_web::http::StatusCode;
use bytes::Bytes;

use super::{
    Intake,
    group::Group,
    item::{Item, Reader},
};
use crate::{
    api::{
        answer::json,
        body::Body,
        endpoint::Answer,
        errors,
        limits::Limits,
        lines::Lines,
        problem::{Kind, Problem},
        progress::Tally,
        query::Query,
        service::Service,
    },
    shot,
    store::Batch,
};

/// Takes an NDJSON stream of any length. What was acknowledged stays, however the stream ends.
pub(in crate::api) async fn stream(service: &Service, mut body: Body) -> Answer {
    let mut intake = Intake::new(service);
    let last_call = service.stop.last_call(service.limits.shutdown_time);
    let read = tokio::select! {
        biased;
        () = last_call => Err(stopped(&service.limits)),
        read = read_stream(&mut body, &mut intake) => read,
    };
    answer(intake, read.err()).await
}

fn stopped(limits: &Limits) -> Problem {
    Problem::new(Kind::Unavailable, "the service stops: send what follows `last_line` again later")
        .with_retry_after(limits.retry_after)
}

/// Reads a stream to its end. What it took may still be counted when it is given up half-way.
async fn read_stream(body: &mut Body, intake: &mut Intake<'_>) -> Result<(), Problem> {
    let mut lines = Lines::new(intake.limits.line_bytes);
    loop {
        let chunk = if let Some(at_hand) = body.chunk_at_hand() {
            at_hand?
        } else {
            intake.hand_on().await?;
            body.next_chunk().await?
        };
        let Some(chunk) = chunk else { break };
        lines.feed(chunk);
        while let Some(line) = lines.next_line() {
            intake.take(Item::of_line(line, intake.limits)).await?;
        }
    }
    match lines.finish() {
        Some(line) => intake.take(Item::of_line(line, intake.limits)).await,
        None => Ok(()),
    }
}

/// Takes the items of a JSON array, each for itself.
pub(in crate::api) async fn array(
    service: &Service,
    query: Query<'_>,
    body: Bytes,
    read: Reader,
) -> Answer {
    let items = query.done_beside(items(&body))?;
    let mut intake = Intake::new(service);
    let mut stopped = None;
    for (number, text) in items {
        stopped = intake.take(Item::new(number, read(text))).await.err();
        if stopped.is_some() {
            break;
        }
    }
    answer(intake, stopped).await
}

async fn answer(intake: Intake<'_>, stopped: Option<Problem>) -> Answer {
    let (tally, failed) = intake.finish().await;
    match failed.or(stopped) {
        None => Ok(json(StatusCode::OK, &tally.into_whole())),
        Some(problem) => Err(problem.with_progress(tally.into_partial())),
    }
}

/// Takes all lines of an NDJSON body, or none.
pub(in crate::api) async fn whole_stream(
    service: &Service,
    query: Query<'_>,
    body: Bytes,
) -> Answer {
    query.done()?;
    let limits = &service.limits;
    let mut lines = Lines::new(limits.line_bytes);
    lines.feed(body);
    let next = || lines.next_line().or_else(|| lines.finish());
    let items = std::iter::from_fn(next).map(|line| Item::of_line(line, limits));
    all_or_nothing(service, items).await
}

/// Takes all items of a JSON array, or none.
pub(in crate::api) async fn whole_array(
    service: &Service,
    query: Query<'_>,
    body: Bytes,
    read: Reader,
) -> Answer {
    let items = query.done_beside(items(&body))?;
    let items = items.into_iter().map(|(number, text)| Item::new(number, read(text)));
    all_or_nothing(service, items).await
}

async fn all_or_nothing(service: &Service, items: impl Iterator<Item = Item>) -> Answer {
    let limits = &service.limits;
    let mut group = Group::default();
    for item in items {
        group.add(item);
        if group.len() > limits.atomic_shots {
            let detail = format!("all or nothing is for at most {} shots", limits.atomic_shots);
            return Err(Problem::new(Kind::BodyTooLarge, detail));
        }
    }
    let invalid = group.withhold_if_any_is_refused();
    let mut tally = Tally::new(limits.refusals, &service.meters);
    let settled = group.settle(service.store.clone(), Batch::AllOrNothing).await;
    settled.count(&mut tally).map_err(|error| errors::of_write(error, limits))?;
    let progress = tally.into_whole();
    if progress.refused == 0 {
        return Ok(json(StatusCode::OK, &progress));
    }
    let kind = if invalid { Kind::Invalid } else { Kind::Conflict };
    let detail = format!("{} were refused, so nothing was stored", progress.refused);
    Err(Problem::new(kind, detail).with_progress(progress))
}

/// The items of an array, counted from 1 as lines are.
fn items(body: &Bytes) -> Result<Vec<(u64, Bytes)>, Problem> {
    let items = shot::split_array(body).map_err(errors::of_rejection)?;
    Ok((1..).zip(items.into_iter().map(|item| body.slice_ref(item))).collect())
}
