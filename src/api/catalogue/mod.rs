//! The catalogue: players with their clubs and bags, balls, sources and their contexts. Each
//! document is replaced whole.

mod bags;
mod balls;
mod clubs;
mod csv_mappings;
mod players;
mod sources;

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use serde::Serialize;

use super::{
    answer::json,
    body::Body,
    conditions::Conditions,
    endpoint::{Answer, Endpoint},
    errors,
    problem::Problem,
    query::{Query, no_query},
    service::Service,
};
use crate::{
    live::{Listed, ReadError, Receipt},
    shot::{Act, Document, Rejection, Sequence, Subject},
};

/// The endpoints of the catalogue.
pub(super) const ENDPOINTS: &[&[Endpoint]] = &[
    players::ENDPOINTS,
    clubs::ENDPOINTS,
    bags::ENDPOINTS,
    balls::ENDPOINTS,
    sources::ENDPOINTS,
    csv_mappings::ENDPOINTS,
];

/// What the path names, or 404.
fn found<T>(found: Result<T, ReadError>) -> Result<T, Problem> {
    found.map_err(|error| errors::of_question(&error))
}

/// Reads a document that was sent.
async fn document<T>(
    service: &Service,
    request: &HttpRequest,
    payload: web::Payload,
    read: fn(&[u8]) -> Result<T, Rejection>,
) -> Result<T, Problem> {
    let query = Query::read(request.query_string(), &[])?;
    let text = Body::open(request, payload, &service.limits)?.whole().await?;
    query.done_beside(read(&text).map_err(errors::of_rejection))
}

/// What came of putting a document.
struct Put {
    created: bool,
    as_of: Sequence,
}

/// Puts a document in place of what is there now, if the request's conditions hold.
async fn put<K: Serialize, D: Serialize>(
    service: &Service,
    request: &HttpRequest,
    document: Document,
    now: Result<Listed<K, D>, ReadError>,
) -> Result<Put, Problem> {
    let conditions = Conditions::of_entry(request, &now);
    let (as_of, receipt) = service.act_if(Act::Put(document), conditions).await?;
    Ok(Put { created: matches!(receipt, Receipt::Put { created: true }), as_of })
}

/// Shows what was put, whatever others put in its place meanwhile, and where it stands if it is new: at
/// the path that it was put to.
fn shown<K: Serialize, D: Serialize>(
    request: &HttpRequest,
    Put { created, as_of }: Put,
    (id, document): (K, D),
) -> HttpResponse {
    let status = if created { StatusCode::CREATED } else { StatusCode::OK };
    let mut answer = json(status, &Listed { id, document, as_of });
    if created && let Ok(place) = header::HeaderValue::from_str(request.uri().path()) {
        answer.headers_mut().insert(header::LOCATION, place);
    }
    answer
}

/// Removes what the path names, if it is there now and the request's conditions hold.
async fn remove<K: Serialize, D: Serialize>(
    service: &Service,
    request: &HttpRequest,
    subject: Subject,
    now: Result<Listed<K, D>, ReadError>,
) -> Answer {
    let now = Ok(found(now)?);
    no_query(request)?;
    let conditions = Conditions::of_entry(request, &now);
    service.act_if(Act::Remove(subject), conditions).await?;
    Ok(HttpResponse::NoContent().finish())
}
