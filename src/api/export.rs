//! `GET /v1/export`: everything, or one player's, as NDJSON.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use bytes::Bytes;
use futures_util::stream;

use super::{
    endpoint::{Answer, Caching, Endpoint, Success},
    errors,
    media::Media,
    problem::{Fault, Kind, Problem},
    query::{Form, Parameter, Query, Table},
    service::{Service, ask},
    spec,
};
use crate::{
    live::{Export, ExportError, ReadError},
    shot::{PlayerId, Sequence},
    store::{ArchiveHead, ArchiveWriter},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    path: "/v1/export",
    handler: || web::to(export),
    name: "exportAll",
    about: "Everything that is stored, or one player's, as NDJSON for `/v1/import`: a head, one line a \
            frame in the order of sequences up to the last one at the start, and an end with counts and \
            a hash, so that a cut export is told from a whole one. What was erased is not in it, what \
            was retired only as what statistics rest on. Where something is erased or retired while it \
            goes out, or one of the player's shots becomes another's or another's the player's, it breaks \
            off without an end: ask again.",
    parameters: PARAMETERS,
    gives: &[Media::Ndjson],
    line: Some(spec::any_object),
    caching: Caching::Never,
    refusals: &[Kind::Unavailable],
    successes: &[Success::new(200, "The export.", spec::any_object)],
    ..Endpoint::BASE
}];

const PARAMETERS: Table = &[&[Parameter::new(
    "player",
    Form::Name,
    "Only what concerns this player; other players' names are left out.",
)]];

/// Frames that are read at once: so few that a chunk of the longest events stays bounded.
const FRAMES: usize = 256;
/// How often an export is begun anew because the fold was ahead of the store: an act is for so short a
/// time between the two that a second beginning is rare.
const BEGINNINGS: usize = 100;

async fn export(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let player: Option<PlayerId> = query.one("player");
    query.done()?;
    let begun = {
        let service = service.clone();
        ask(move || Course::begin(service, player)).await?
    };
    let chunks = stream::try_unfold(begun, |course| async move {
        let Some(course) = course else { return Ok(None) };
        if course.service.is_ending() {
            return Err(Problem::new(Kind::Unavailable, "the service stops: ask again later"));
        }
        ask(move || course.next()).await.map(Some)
    });
    Ok(HttpResponse::build(StatusCode::OK)
        .insert_header((header::CONTENT_TYPE, Media::Ndjson.name()))
        .streaming::<_, Problem>(chunks))
}

/// An export on its way.
struct Course {
    service: web::Data<Service>,
    export: Export,
    writer: ArchiveWriter,
    text: Vec<u8>,
    next: Sequence,
    upto: Sequence,
}

impl Course {
    fn begin(
        service: web::Data<Service>,
        player: Option<PlayerId>,
    ) -> Result<Option<Self>, Problem> {
        for _ in 0..BEGINNINGS {
            let upto = service.store.last();
            let store = service.store.store_id();
            let export = service.live().export((*store.bytes(), upto), player.as_ref());
            let export = export.map_err(|error| match error {
                ReadError::State(error) => errors::of_state(&error),
                unknown => {
                    Problem::invalid(vec![Fault::of_parameter("player", unknown.to_string())])
                }
            })?;
            if service.live().has_overtaken(&export) {
                continue;
            }
            let mut text = Vec::new();
            let head = ArchiveHead::new(store.to_string(), upto, player);
            let writer = ArchiveWriter::begin(head, &mut text);
            return Ok(Some(Self { service, export, writer, text, next: Sequence::new(1), upto }));
        }
        Err(Problem::new(Kind::Unavailable, ExportError::Overtaken.to_string())
            .with_retry_after(service.limits.retry_after))
    }

    /// The next lines, and the course that goes on if there are more.
    fn next(mut self) -> Result<(Bytes, Option<Self>), Problem> {
        let service = &self.service;
        let left = self.upto.get().saturating_sub(self.next.get() - 1);
        let limit = usize::try_from(left).unwrap_or(FRAMES).min(FRAMES);
        let frames = service.store.scan(self.next, limit).map_err(|e| errors::of_stored(&e))?;
        for frame in frames {
            self.next = Sequence::new(frame.sequence.get() + 1);
            let told = service.live().told(&self.export, frame);
            self.writer.frame(&told.map_err(|error| broken_off(&error))?, &mut self.text);
        }
        let mut text = std::mem::take(&mut self.text);
        if self.next <= self.upto {
            return Ok((text.into(), Some(self)));
        }
        self.writer.end(&mut text);
        Ok((text.into(), None))
    }
}

/// An export that cannot be told to its end: the connection is cut, so that the client sees.
fn broken_off(error: &ExportError) -> Problem {
    match error {
        ExportError::Overtaken => {
            tracing::warn!(%error, "an export broke off; its client sees it incomplete");
            Problem::new(Kind::Conflict, error.to_string())
        }
        ExportError::State(error) => errors::of_state(error),
    }
}
