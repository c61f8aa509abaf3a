//! `/`: the built-in page, and the files that it loads.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use bytes::Bytes;
use utoipa::openapi::{RefOr, Schema};

use super::{
    endpoint::{Answer, Caching, Components, Endpoint, Success},
    media::{self, Media},
    path,
    problem::{Kind, Problem},
    query::no_query,
    spec,
};
use crate::page::{self, Asset};

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/",
        handler: || web::to(whole),
        name: "readPage",
        about: "The page for players and fitters: bags, clubs, head-to-heads, trials, sources. It uses \
            nothing but this API.",
        gives: &[Media::Html],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The page.", text)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: "/page/{file}",
        handler: || web::to(file),
        name: "readPageFile",
        about: "A file that the page loads.",
        gives: &[Media::Script, Media::Css, Media::Svg],
        caching: Caching::Fixed,
        successes: &[Success::new(200, "The file.", text)],
        ..Endpoint::BASE
    },
];

fn text(_: &mut Components) -> RefOr<Schema> {
    spec::text()
}

/// What the page may load: scripts, styles, pictures and answers of this service, and nothing else. No
/// other page may frame it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
    connect-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

fn answer(media: &'static str, text: &'static str) -> HttpResponse {
    HttpResponse::build(StatusCode::OK)
        .insert_header((header::CONTENT_TYPE, media))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::REFERRER_POLICY, "no-referrer"))
        .body(Bytes::from_static(text.as_bytes()))
}

async fn whole(request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(answer("text/html; charset=utf-8", page::PAGE))
}

async fn file(request: HttpRequest) -> Answer {
    let name: String = path::name(&request, "file")?;
    let Asset { kind, text, .. } = page::asset(&name)
        .ok_or_else(|| Problem::new(Kind::NotFound, "the page has no file of this name"))?;
    let (form, media) = match kind {
        page::Kind::Style => (Media::Css, "text/css; charset=utf-8"),
        page::Kind::Script => (Media::Script, "text/javascript; charset=utf-8"),
        page::Kind::Picture => (Media::Svg, "image/svg+xml"),
    };
    if media::accepted(request.headers(), &[form]).is_none() {
        let detail = format!("this is given as {}", form.name());
        return Err(Problem::new(Kind::NotAcceptable, detail));
    }
    no_query(&request)?;
    Ok(answer(media, text))
}
