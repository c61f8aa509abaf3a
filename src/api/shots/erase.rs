//! `DELETE /v1/shots/{source}/{id}`

use actix_web::{HttpRequest, HttpResponse, web};

use super::one::{Named, PATH, conditions, named};
use crate::{
    api::{
        conditions::Conditions,
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
    let named = named(&service, &request)?;
    no_query(&request)?;
    let (shot, conditions) = match named {
        Named::Stored(shot) => (shot, conditions(&service, &request, shot).await?),
        // Nothing of it can be read, so that nothing can be named.
        Named::Retired(shot) => (shot, Conditions::of(&request, None)),
    };
    service.act_if(Act::EraseShot { shot }, conditions).await?;
    Ok(HttpResponse::NoContent().finish())
}
