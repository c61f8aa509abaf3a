//! `GET /metrics`: how the service does, for a scraper, as Prometheus text or OpenMetrics.
//!
//! What is counted on the way of a request lies in atomics that are found without a search: a route knows its number
//! from the start. Everything else is read where it stands when somebody asks. Labels hold patterns of paths, kinds and
//! classes; never a name, an id or a raw path.

mod families;
mod page;
mod process;

use std::sync::{
    Arc,
    atomic::{AtomicU64, Ordering::Relaxed},
};
use std::time::Duration;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use utoipa::openapi::{
    RefOr, Schema,
    schema::{ObjectBuilder, Type},
};

use super::{
    endpoint::{Answer, Caching, Components, Endpoint, Success},
    judge::Asked,
    media::Media,
    problem::{Kind, Problem},
    query::no_query,
    routes,
    service::{Service, ask},
};
use crate::store::Histogram;

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    path: "/metrics",
    handler: || web::to(metrics),
    name: "readMetrics",
    about: "How the service does, for a scraper: Prometheus text, or OpenMetrics for who asks for it.",
    gives: &[Media::PrometheusText, Media::OpenMetrics],
    caching: Caching::Never,
    successes: &[Success::new(200, "The figures as they stand.", text_shape)],
    ..Endpoint::BASE
}];

fn text_shape(_: &mut Components) -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().schema_type(Type::String).into())
}

async fn metrics(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    let form = page::Form::of(Asked::of(&request).gives);
    // Figures of the fold take locks.
    let text = ask(move || {
        page::write(form, families::Families::of(service)).map_err(|error| {
            Problem::new(Kind::Internal, "the figures cannot be written")
                .with_cause(error.to_string())
        })
    })
    .await?;
    Ok(HttpResponse::build(StatusCode::OK)
        .insert_header((header::CONTENT_TYPE, form.content_type()))
        .body(text))
}

const MILLISECOND: u64 = 1_000_000;

/// Bounds of the time to an answer, in nanoseconds: a question of milliseconds, a write that waits for the disk, a
/// stream that goes on for minutes.
const DURATION: &[u64] = &[
    MILLISECOND / 4,
    MILLISECOND / 2,
    MILLISECOND,
    2 * MILLISECOND,
    5 * MILLISECOND,
    10 * MILLISECOND,
    20 * MILLISECOND,
    50 * MILLISECOND,
    100 * MILLISECOND,
    500 * MILLISECOND,
    2_000 * MILLISECOND,
    10_000 * MILLISECOND,
    60_000 * MILLISECOND,
];

/// The classes that an answer may be of: its status' first digit.
const CLASSES: [&str; 4] = ["2xx", "3xx", "4xx", "5xx"];

/// The statuses with which a shot is refused.
const REFUSALS: [u16; 4] = [400, 409, 413, 422];

/// What is counted on the way of requests.
#[derive(Debug)]
pub(super) struct Meters {
    /// One for each endpoint, in their order.
    routes: Box<[RouteMeter]>,
    /// Requests that come to no endpoint: refused at the gate, no such path, no such method.
    nowhere: RouteMeter,
    problems: [AtomicU64; Kind::ALL.len()],
    refused: [AtomicU64; REFUSALS.len()],
    in_flight: AtomicU64,
    connections: AtomicU64,
    /// Shots that the fold had found unassigned before the service began: a replay is no news.
    unassigned_before: u64,
}

#[derive(Debug)]
struct RouteMeter {
    by_class: [AtomicU64; CLASSES.len()],
    duration: Histogram,
}

impl RouteMeter {
    fn new() -> Self {
        Self { by_class: Default::default(), duration: Histogram::new(DURATION) }
    }

    fn add(&self, status: StatusCode, took: Duration) {
        let class = usize::from(status.as_u16() / 100).saturating_sub(2).min(CLASSES.len() - 1);
        self.by_class[class].fetch_add(1, Relaxed);
        self.duration.add_time(took);
    }
}

impl Meters {
    /// Nothing counted yet.
    pub(super) fn new(unassigned_before: u64) -> Self {
        Self {
            routes: routes::endpoints().map(|_| RouteMeter::new()).collect(),
            nowhere: RouteMeter::new(),
            problems: Default::default(),
            refused: Default::default(),
            in_flight: AtomicU64::new(0),
            connections: AtomicU64::new(0),
            unassigned_before,
        }
    }

    /// Counts a request as in flight for as long as what is returned is kept.
    pub(super) fn begin(&self) -> impl Drop + use<'_> {
        self.in_flight.fetch_add(1, Relaxed);
        Leaving(&self.in_flight)
    }

    /// Counts a connection as open for as long as what is returned is kept.
    pub(super) fn connect(self: &Arc<Self>) -> Connected {
        self.connections.fetch_add(1, Relaxed);
        Connected(Arc::clone(self))
    }

    /// Counts an answer: of the endpoint with this number, or of none.
    pub(super) fn answered(&self, endpoint: Option<usize>, status: StatusCode, took: Duration) {
        let route = endpoint.and_then(|number| self.routes.get(number)).unwrap_or(&self.nowhere);
        route.add(status, took);
    }

    /// Counts a problem that a client is told of.
    pub(super) fn problem(&self, kind: Kind) {
        if let Some(at) = Kind::ALL.iter().position(|known| *known == kind) {
            self.problems[at].fetch_add(1, Relaxed);
        }
    }

    /// Counts a shot that was refused with this status; a write that could not be made durable is no refusal.
    pub(super) fn refused(&self, status: u16) {
        if let Some(at) = REFUSALS.iter().position(|known| *known == status) {
            self.refused[at].fetch_add(1, Relaxed);
        }
    }
}

/// Counts one less when it goes.
struct Leaving<'a>(&'a AtomicU64);

impl Drop for Leaving<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Relaxed);
    }
}

/// An open connection.
pub(super) struct Connected(Arc<Meters>);

impl Drop for Connected {
    fn drop(&mut self) {
        self.0.connections.fetch_sub(1, Relaxed);
    }
}
