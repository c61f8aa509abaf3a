//! `/v1/players/{player}`

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
    shot::{Document, Player, PlayerId, Subject},
};

const PATH: &str = "/v1/players/{player}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/players",
        handler: || web::to(list),
        name: "listPlayers",
        about: "All players.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<Player>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readPlayer",
        about: "One player.",
        successes: &[Success::new(200, "The player.", spec::entry_of::<Player>)],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putPlayer",
        about: "Puts a player, in place of what was there.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Player>),
        successes: &[
            Success::new(201, "The player is new.", spec::entry_of::<Player>),
            Success::new(200, "The player was replaced.", spec::entry_of::<Player>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deletePlayer",
        about: "Removes a player without shots, with the clubs and bags.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(listing(service.live().players()))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let entry = found(service.live().player(&player))?;
    no_query(&request)?;
    Ok(ok(&entry))
}

async fn replace(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let player: PlayerId = path::new_name(&request, "player")?;
    let document = document(&service, &request, payload, Player::from_json).await?;
    let status = put(&service, Document::Player { player: player.clone(), document }).await?;
    shown(&request, status, service.live().player(&player))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    found(service.live().player(&player))?;
    remove(&service, &request, Subject::Player(player)).await
}
