//! `POST /v1/import`: an export, taken into a store that holds nothing.

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{
    answer::ok,
    body::Body,
    endpoint::{Answer, Endpoint, Success, Verb, shape},
    errors,
    lines::{Line, Lines},
    media::Media,
    problem::{Kind, Problem},
    query::Query,
    service::{Service, ask},
    spec,
};
use crate::{shot::Sequence, store::Spool};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Post,
    path: "/v1/import",
    handler: || web::to(import),
    name: "importAll",
    about: "Takes what `/v1/export` gave, into a store that holds nothing: all frames with their \
            sequences and times, so that every answer is the same. It is received and verified whole \
            before any of it is stored; one that is cut off or changed stores nothing.",
    takes: &[Media::Ndjson],
    body: Some(spec::any_object),
    line: Some(spec::any_object),
    refusals: &[Kind::Conflict],
    successes: &[Success::new(200, "All of it is stored.", shape::<Taken>)],
    ..Endpoint::BASE
}];

/// What an import stored.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = Imported)]
struct Taken {
    /// Frames, holes included.
    frames: u64,
    /// Shots told whole.
    shots: u64,
    /// Shots left out, since an earlier one of the export has the same identity.
    left_out: u64,
    /// The last sequence.
    as_of: Sequence,
}

/// What a line of an export takes beside the longest event, which may stand in it as a string with
/// every byte escaped.
const ESCAPED: usize = 6;
/// Bytes of lines that are handed on at once.
const PART: usize = 1024 * 1024;

async fn import(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let query = Query::read(request.query_string(), &[])?;
    let body = Body::open(&request, payload, &service.limits)?;
    query.done()?;
    let begun = {
        let service = service.clone();
        ask(move || begin(&service)).await?
    };
    let time = service.limits.import_time;
    let received = tokio::time::timeout(time, receive(&service, body, begun)).await;
    let spool = received.map_err(|_| {
        let detail = format!("the export was not whole after {} s", time.as_secs());
        Problem::new(Kind::Timeout, detail)
    })??;
    let limits = service.limits.clone();
    let finished = ask(move || spool.finish().map_err(|e| errors::of_import(e, &limits))).await?;
    let stored = service.store.import(finished).await;
    let stored = stored.map_err(|error| errors::of_import(error, &service.limits))?;
    Ok(ok(&Taken {
        frames: stored.frames,
        shots: stored.shots,
        left_out: stored.left_out,
        as_of: service.store.last(),
    }))
}

fn begin(service: &Service) -> Result<Spool, Problem> {
    service.store.begin_import().map_err(|error| errors::of_import(error, &service.limits))
}

/// Receives all lines. What was received is dropped when the body breaks off or takes too long, and
/// another may come.
async fn receive(
    service: &web::Data<Service>,
    mut body: Body,
    mut spool: Spool,
) -> Result<Spool, Problem> {
    let mut lines = Lines::new(service.limits.body_bytes.saturating_mul(ESCAPED));
    let (mut part, mut bytes) = (Vec::new(), 0);
    while let Some(chunk) = body.next_chunk().await? {
        lines.feed(chunk);
        while let Some(line) = lines.next_line() {
            bytes += size(&line);
            part.push(line);
        }
        if bytes >= PART {
            spool = hand_on(service, std::mem::take(&mut part), spool).await?;
            bytes = 0;
        }
    }
    part.extend(lines.finish());
    hand_on(service, part, spool).await
}

fn size(line: &Line) -> usize {
    match line {
        Line::Text { text, .. } => text.len(),
        Line::TooLong { .. } => 0,
    }
}

async fn hand_on(
    service: &web::Data<Service>,
    part: Vec<Line>,
    mut spool: Spool,
) -> Result<Spool, Problem> {
    let limits = service.limits.clone();
    ask(move || {
        for line in part {
            let text = match &line {
                Line::Text { text, .. } => &text[..],
                // Longer than any line of an export: no line at all.
                Line::TooLong { .. } => b"",
            };
            spool.line(text).map_err(|error| errors::of_import(error, &limits))?;
        }
        Ok(spool)
    })
    .await
}
