//! `/v1/balls/{ball}`

use actix_web::{HttpRequest, web};

use super::{document, found, put, remove, shown};
use crate::{
    api::{
        answer::ok,
        endpoint::{Answer, Caching, Endpoint, Success, Verb},
        media::Media,
        path,
        query::no_query,
        service::Service,
        spec,
    },
    shot::{Ball, BallId, Document, Subject},
};

const PATH: &str = "/v1/balls/{ball}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/balls",
        handler: || web::to(list),
        name: "listBalls",
        about: "All balls.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<Ball>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readBall",
        about: "One ball.",
        successes: &[Success::new(200, "The ball.", spec::entry_of::<Ball>)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putBall",
        about: "Puts a ball, in place of what was there.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Ball>),
        successes: &[
            Success::new(201, "The ball is new.", spec::entry_of::<Ball>),
            Success::new(200, "The ball was replaced.", spec::entry_of::<Ball>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deleteBall",
        about: "Removes a ball without shots.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(ok(&service.live().balls()))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let ball: BallId = path::name(&request, "ball")?;
    let entry = found(service.live().ball(&ball))?;
    no_query(&request)?;
    Ok(ok(&entry))
}

async fn replace(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let ball: BallId = path::new_name(&request, "ball")?;
    let document = document(&service, &request, payload, Ball::from_json).await?;
    let put_there = Document::Ball { ball: ball.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, service.live().ball(&ball)).await?;
    Ok(shown(&request, put, (ball, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let ball: BallId = path::name(&request, "ball")?;
    let now = service.live().ball(&ball);
    remove(&service, &request, Subject::Ball(ball), now).await
}
