//! `DELETE /v1/shots/{source}/{id}`

use actix_web::{HttpRequest, HttpResponse, web};

use super::one::{Named, PATH, named};
use crate::{
    api::{
        endpoint::{Answer, Endpoint, Success, Verb},
        problem::Kind,
        query::no_query,
        service::Service,
    },
    shot::Act,
};

pub(super) const ENDPOINTS: &[Endpoint] = &[Endpoint {
    verb: Verb::Delete,
    path: PATH,
    handler: || web::to(erase),
    name: "eraseShot",
    about: "Erases a shot: its content is gone from every answer. Its sequence stays empty, and a \
            keyed hash of its identity stays, so that the same shot sent again counts as a duplicate \
            and stores nothing. A retired shot no longer counts either. Afterwards it is 410.",
    successes: &[Success::bare(204, "It is erased.")],
    refusals: &[Kind::Gone],
    ..Endpoint::BASE
}];

async fn erase(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (Named::Stored(shot) | Named::Retired(shot)) = named(&service, &request)?;
    no_query(&request)?;
    service.act(Act::EraseShot { shot }).await?;
    Ok(HttpResponse::NoContent().finish())
}
