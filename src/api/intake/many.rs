//! Many shots: a stream, an array, or all of them or none.

use actix_web::http::StatusCode;
use bytes::Bytes;

use super::{
    Intake,
    cut::Cut,
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
        problem::{Kind, Problem},
        progress::Tally,
        query::Query,
        service::Service,
    },
    shot,
    store::Batch,
};

/// Takes a stream of any length. What was acknowledged stays, however the stream ends.
pub(in crate::api) async fn stream(service: &Service, mut body: Body, cut: impl Cut) -> Answer {
    let mut intake = Intake::new(service);
    let last_call = service.stop.last_call(service.limits.shutdown_time);
    let read = tokio::select! {
        biased;
        () = last_call => Err(stopped(&service.limits)),
        read = read_stream(&mut body, cut, &mut intake) => read,
    };
    answer(intake, read.err()).await
}

fn stopped(limits: &Limits) -> Problem {
    Problem::new(Kind::Unavailable, "the service stops: send what follows `last_line` again later")
        .with_retry_after(limits.retry_after)
}

/// Reads a stream to its end. What it took may still be counted when it is given up half-way.
async fn read_stream(
    body: &mut Body,
    mut cut: impl Cut,
    intake: &mut Intake<'_>,
) -> Result<(), Problem> {
    loop {
        let chunk = if let Some(at_hand) = body.chunk_at_hand() {
            at_hand?
        } else {
            intake.hand_on().await?;
            body.next_chunk().await?
        };
        let Some(chunk) = chunk else { break };
        cut.feed(chunk);
        while let Some(item) = cut.next_item()? {
            intake.take(item).await?;
        }
    }
    while let Some(item) = cut.last_item()? {
        intake.take(item).await?;
    }
    Ok(())
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

/// Takes all items of a stream, or none.
pub(in crate::api) async fn whole_stream(
    service: &Service,
    body: Bytes,
    mut cut: impl Cut,
) -> Answer {
    let mut items = AllOrNothing::new(&service.limits);
    cut.feed(body);
    while let Some(item) = cut.next_item()? {
        items.add(item)?;
    }
    while let Some(item) = cut.last_item()? {
        items.add(item)?;
    }
    items.settle(service).await
}

/// Takes all items of a JSON array, or none.
pub(in crate::api) async fn whole_array(
    service: &Service,
    query: Query<'_>,
    body: Bytes,
    read: Reader,
) -> Answer {
    let items = query.done_beside(items(&body))?;
    let mut all = AllOrNothing::new(&service.limits);
    for (number, text) in items {
        all.add(Item::new(number, read(text)))?;
    }
    all.settle(service).await
}

/// Items that are stored together or not at all.
struct AllOrNothing<'l> {
    group: Group,
    limits: &'l Limits,
}

impl<'l> AllOrNothing<'l> {
    fn new(limits: &'l Limits) -> Self {
        Self { group: Group::default(), limits }
    }

    fn add(&mut self, item: Item) -> Result<(), Problem> {
        self.group.add(item);
        let most = self.limits.atomic_shots;
        if self.group.len() <= most {
            return Ok(());
        }
        let detail = format!("all or nothing is for at most {most} shots");
        Err(Problem::new(Kind::BodyTooLarge, detail))
    }

    async fn settle(mut self, service: &Service) -> Answer {
        let invalid = self.group.withhold_if_any_is_refused();
        let mut tally = Tally::new(self.limits.refusals, &service.meters);
        let settled = self.group.settle(service.store.clone(), Batch::AllOrNothing).await;
        settled.count(&mut tally).map_err(|error| errors::of_write(error, self.limits))?;
        let progress = tally.into_whole();
        if progress.refused == 0 {
            return Ok(json(StatusCode::OK, &progress));
        }
        let kind = if invalid { Kind::Invalid } else { Kind::Conflict };
        let detail = format!("{} were refused, so nothing was stored", progress.refused);
        Err(Problem::new(kind, detail).with_progress(progress))
    }
}

/// The items of an array, counted from 1 as lines are.
fn items(body: &Bytes) -> Result<Vec<(u64, Bytes)>, Problem> {
    let items = shot::split_array(body).map_err(errors::of_rejection)?;
    Ok((1..).zip(items.into_iter().map(|item| body.slice_ref(item))).collect())
}
