//! Pictures: an answer drawn, for any `<img>`, as SVG.
//!
//! **Where they stand.** A resource's picture stands at its own path with `.svg` behind it; where a
//! resource has several, they stand below it, each under a name of its own. A picture takes what its
//! resource takes to choose the evidence, and `theme` and `width`.
//!
//! **What each must let a person decide**, which is also the question that it bears as its title:
//!
//! | picture | decision | so it shows |
//! | --- | --- | --- |
//! | `…/ladder.svg` | which club to move, drop or add | every club's middle carry on one line, its slot, how far its mean is known, eight in ten shots; wide gaps hatched, clubs for one carry joined |
//! | `…/clubs/{club}/profile.svg` | where to aim with it, and what lies within its reach | its landings from above in true proportions, the target line, the ellipse that should hold a share of them |
//! | `…/comparisons/landings.svg` | whether the other club lands in the same place, and no wider | both clubs' like-for-like landings and ellipses, one over the other |
//! | `…/comparisons/flights.svg` | whether it gets there on the flight that is wanted | both typical flights from the side with their spread, the slot on the ground and where each comes down in it |
//! | `…/comparisons/wind.svg` | on which days which club is the better one | the carry of both from a strong tail wind to a strong head wind, told at 20 mph either way |
//! | `…/replacements.svg` | whether it flies as low and spins as little as the brief asks, and not too low | launch against spin, the brief's limits as lines with all outside hatched, both clubs' middles and how far the candidate's is known |
//! | `…/trials/{trial}/history.svg` | whether to stop or to hit on, and what is still to be shown | the evidence of every criterion shot by shot against the line of proof, the hindmost drawn boldest |
//! | `…/drifts.svg` | whether a club still carries what its place in the bag says | every visit's carry against the slot, with the visits on which the day may be why, and the visit that raised the question |
//!
//! **How.** Each says in words under the drawing, and to who does not see it, what it shows, with its
//! numbers as the API rounds them in sentences. Lines are named where they run and not in a legend; what
//! a colour tells a line or a mark tells too. What is missing is said in place of a drawing; it is no
//! error. The same question as of the same sequence gives the same bytes.

mod above;
mod axes;
mod drifts;
mod endpoint;
mod evidence;
mod flights;
mod ink;
mod ladder;
mod landings;
mod launches;
mod letters;
mod look;
mod profile;
mod scale;
mod sheet;
mod wind;
mod words;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{
        StatusCode,
        header::{self, HeaderName},
    },
    web,
};
use bytes::Bytes;

use self::look::Look;
use super::{
    endpoint::{Answer, Endpoint},
    insight::{Asked, known},
    media::Media,
    path,
    problem::Problem,
    query::{Query, Table},
    service::Service,
};
use crate::{
    live::Live,
    shot::{PlayerId, Sequence},
};

pub(super) const ENDPOINTS: &[Endpoint] = &[
    ladder::ENDPOINT,
    profile::ENDPOINT,
    landings::ENDPOINT,
    flights::ENDPOINT,
    wind::ENDPOINT,
    launches::ENDPOINT,
    evidence::ENDPOINT,
    drifts::ENDPOINT,
];

/// What a picture may load and do, if it is opened by itself: nothing. An `<img>` elsewhere may show it; no
/// page may frame it.
const POLICY: &str = "default-src 'none'; frame-ancestors 'none'; sandbox";

/// An `<img>` of any page may show it, also of one that isolates itself (HTML Standard, 7.1.4); to read
/// it takes an `Origin`, which the gate judges.
const SHOWN_ANYWHERE: (HeaderName, &str) = (header::CROSS_ORIGIN_RESOURCE_POLICY, "cross-origin");

/// Whose picture is asked for, its query, and how it shall look.
fn of_player<'r>(
    (service, request): (&Service, &'r HttpRequest),
    parameters: Table,
) -> Result<(PlayerId, Query<'r>, Look), Problem> {
    let player = path::name(request, "player")?;
    known(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), parameters)?;
    let look = Look::read(&mut query);
    Ok((player, query, look))
}

/// Answers with a picture, and the sequence that it is as of.
async fn picture(
    asked: Asked,
    service: web::Data<Service>,
    draw: impl FnOnce(&Live, &PlayerId) -> Result<(Sequence, String), Problem> + Send + 'static,
) -> Answer {
    let drawn = asked.made(service, move |live, player| {
        let (as_of, picture) = draw(live, player)?;
        Ok((as_of, Bytes::from(picture)))
    });
    match drawn.await? {
        (tag, None) => Ok(tag.unchanged()),
        (tag, Some(picture)) => Ok(HttpResponse::build(StatusCode::OK)
            .insert_header((header::CONTENT_TYPE, Media::Svg.name()))
            .insert_header((header::ETAG, tag.value()))
            .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
            .insert_header(SHOWN_ANYWHERE)
            .body(picture)),
    }
}
