//! `/v1/players/{player}/bags/{bag}`

use actix_web::{HttpRequest, web};

use super::{document, found, listing, put, remove, shown};
use crate::{
    api::{
        answer::ok,
        endpoint::{Answer, Endpoint, Success, Verb},
        media::Media,
        path,
        query::no_query,
        service::Service,
        spec,
    },
    shot::{Bag, BagId, Document, PlayerId, Subject},
};

const PATH: &str = "/v1/players/{player}/bags/{bag}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/players/{player}/bags",
        handler: || web::to(list),
        name: "listBags",
        about: "The bags of a player.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<Bag>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readBag",
        about: "One bag.",
        successes: &[Success::new(200, "The bag.", spec::entry_of::<Bag>)],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putBag",
        about: "Puts a bag, in place of what was there. Its clubs are there already.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Bag>),
        successes: &[
            Success::new(201, "The bag is new.", spec::entry_of::<Bag>),
            Success::new(200, "The bag was replaced.", spec::entry_of::<Bag>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deleteBag",
        about: "Removes a bag; its clubs stay.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bags = found(service.live().bags(&player))?;
    no_query(&request)?;
    Ok(listing(bags))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bag: BagId = path::name(&request, "bag")?;
    let entry = found(service.live().bag(&player, &bag))?;
    no_query(&request)?;
    Ok(ok(&entry))
}

async fn replace(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    found(service.live().player(&player))?;
    let bag: BagId = path::new_name(&request, "bag")?;
    let document = document(&service, &request, payload, Bag::from_json).await?;
    let status =
        put(&service, Document::Bag { player: player.clone(), bag: bag.clone(), document }).await?;
    shown(status, service.live().bag(&player, &bag))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bag: BagId = path::name(&request, "bag")?;
    found(service.live().bag(&player, &bag))?;
    remove(&service, &request, Subject::Bag(player, bag)).await
}
