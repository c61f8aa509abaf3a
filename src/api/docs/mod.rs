//! `/docs`: pages for people, made by the server from the tables that the program itself reads. They
//! ask no other host for anything, run no script, and work without a network.

mod html;
mod index;
mod reference;
mod refusals;
mod schemas;

use std::sync::LazyLock;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use bytes::Bytes;
use utoipa::openapi::{RefOr, Schema};

use super::{
    endpoint::{Answer, Caching, Components, Endpoint, Success},
    media::Media,
    path,
    problem::{Kind, Problem},
    query::no_query,
    service::Service,
    spec,
};

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/docs",
        handler: || web::to(first),
        name: "readDocs",
        about: "What the service is, where to start, the event, limits and refusals: for people.",
        gives: &[Media::Html],
        successes: &[Success::new(200, "The page.", page_shape)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/docs/api",
        handler: || web::to(api),
        name: "readDocsOfApi",
        about: "This description for people, with all examples.",
        gives: &[Media::Html],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The page.", page_shape)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/docs/errors/{error}",
        handler: || web::to(error),
        name: "readDocsOfError",
        about: "What a problem's `type` leads to: what it means, when it comes, and the mend.",
        gives: &[Media::Html],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The page.", page_shape)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/docs/style.css",
        handler: || web::to(style),
        name: "readDocsStyle",
        about: "How the pages look.",
        gives: &[Media::Css],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The style sheet.", page_shape)],
        ..Endpoint::BASE
    },
];

fn page_shape(_: &mut Components) -> RefOr<Schema> {
    spec::text()
}

/// What a page may load: our own style sheet, and nothing else. No other page may frame it.
const POLICY: &str = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

fn answer(media: &str, text: impl Into<Bytes>) -> HttpResponse {
    HttpResponse::build(StatusCode::OK)
        .insert_header((header::CONTENT_TYPE, media))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::REFERRER_POLICY, "no-referrer"))
        .body(text.into())
}

fn page(text: impl Into<Bytes>) -> HttpResponse {
    answer("text/html; charset=utf-8", text)
}

async fn first(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    // The gate has found that this is a name of ours.
    let host = request.headers().get(header::HOST).and_then(|host| host.to_str().ok());
    Ok(page(index::page(host.unwrap_or("localhost"), &service.limits)))
}

async fn api(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    let reference = service.reference();
    let mut answer = page(reference.text.clone());
    answer.headers_mut().insert(header::ETAG, reference.tag.value());
    Ok(answer)
}

async fn error(request: HttpRequest) -> Answer {
    static PAGES: LazyLock<Vec<(&'static str, String)>> = LazyLock::new(refusals::pages);
    let slug: String = path::name(&request, "error")?;
    let found = PAGES.iter().find(|(known, _)| *known == slug);
    let (_, text) = found.ok_or_else(|| {
        Problem::new(Kind::NotFound, "no error is called so: `/docs` lists all of them")
    })?;
    no_query(&request)?;
    Ok(page(text.clone()))
}

async fn style(request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(answer("text/css; charset=utf-8", Bytes::from_static(include_bytes!("style.css"))))
}

/// The description of the API as a page.
pub(super) fn reference_of(description: &[u8]) -> String {
    // The description is our own JSON: it can always be read.
    reference::page(&serde_json::from_slice(description).unwrap_or_default())
}
