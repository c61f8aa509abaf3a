//! Whether the service lives and is ready, and what describes it: `/healthz`, `/readyz`,
//! `/openapi.json`, `/schemas/shot-event.json`.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use serde::Serialize;

use super::{
    answer::ok,
    endpoint::{Answer, Caching, Endpoint, Success, shape},
    judge::Asked,
    media::Media,
    problem::{Kind, Problem},
    query::no_query,
    service::{Fixed, Service},
    spec,
};
use crate::{shot::Sequence, store::Health};

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/healthz",
        handler: || web::to(live),
        name: "checkLiveness",
        about: "Whether the service runs.",
        caching: Caching::Never,
        successes: &[Success::new(200, "It runs.", shape::<Alive>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/readyz",
        handler: || web::to(ready),
        name: "checkReadiness",
        about: "Whether writes are taken, and whoever follows is told of them; if not, the problem says why, and \
                by `takes_writes` which of the two fails, while reads go on.",
        caching: Caching::Never,
        successes: &[Success::new(200, "Writes are taken and told.", shape::<Ready>)],
        refusals: &[Kind::Unavailable],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/openapi.json",
        handler: || web::to(openapi),
        name: "readOpenApi",
        about: "This description.",
        caching: Caching::Fixed,
        successes: &[Success::new(200, "OpenAPI 3.1.", spec::any_object)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/schemas/shot-event.json",
        handler: || web::to(schema),
        name: "readShotEventSchema",
        about: "The JSON Schema (2020-12) of the shot event.",
        gives: &[Media::Schema, Media::Json],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The schema.", spec::any_object)],
        ..Endpoint::BASE
    },
];

/// The service runs.
#[derive(Serialize, utoipa::ToSchema)]
struct Alive {
    /// Always `alive`.
    status: &'static str,
}

/// Writes are taken, and whoever follows is told of them.
#[derive(Serialize, utoipa::ToSchema)]
struct Ready {
    /// Always `ready`.
    status: &'static str,
    /// The last sequence that is durable and folded.
    as_of: Sequence,
}

async fn live(request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(ok(&Alive { status: "alive" }))
}

async fn ready(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    if let Some(error) = service.live().broken() {
        return Err(refusing(&service, error.to_string()));
    }
    match service.store.health() {
        Health::Accepting => match service.feed.trouble() {
            None => Ok(ok(&Ready { status: "ready", as_of: service.store.last() })),
            Some(cause) => {
                let detail = format!("nobody is told of what happens until a restart: {cause}");
                Err(not_ready(&service, detail).with_takes_writes(true))
            }
        },
        Health::Full { cause, file } => {
            Err(refusing(&service, format!("there is no room to store more: {cause} ({file})")))
        }
        Health::Refusing { cause, file } => {
            Err(refusing(&service, format!("nothing is stored until a restart: {cause} ({file})")))
        }
    }
}

/// It takes no writes.
fn refusing(service: &Service, detail: String) -> Problem {
    not_ready(service, detail).with_takes_writes(false)
}

fn not_ready(service: &Service, detail: String) -> Problem {
    Problem::new(Kind::Unavailable, detail).with_retry_after(service.limits.retry_after)
}

async fn openapi(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(text(Media::Json, service.openapi()))
}

async fn schema(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(text(Asked::of(&request).gives, &service.schema))
}

fn text(media: Media, text: &Fixed) -> HttpResponse {
    HttpResponse::build(StatusCode::OK)
        .insert_header((header::CONTENT_TYPE, media.name()))
        .insert_header((header::ETAG, text.tag.value()))
        .body(text.text.clone())
}
