//! `/v1/players/{player}/clubs/{club}`

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
    shot::{Club, ClubId, Document, PlayerId, Subject},
};

const PATH: &str = "/v1/players/{player}/clubs/{club}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/players/{player}/clubs",
        handler: || web::to(list),
        name: "listClubs",
        about: "The clubs of a player.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<Club>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readClub",
        about: "One club.",
        successes: &[Success::new(200, "The club.", spec::entry_of::<Club>)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putClub",
        about: "Puts a club, in place of what was there. A new build starts new evidence.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Club>),
        successes: &[
            Success::new(201, "The club is new.", spec::entry_of::<Club>),
            Success::new(200, "The club was replaced.", spec::entry_of::<Club>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deleteClub",
        about: "Removes a club that has no shots and stands in no bag.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let clubs = found(service.live().clubs(&player))?;
    no_query(&request)?;
    Ok(ok(&clubs))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let club: ClubId = path::name(&request, "club")?;
    let entry = found(service.live().club(&player, &club))?;
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
    let club: ClubId = path::new_name(&request, "club")?;
    let document = document(&service, &request, payload, Club::from_json).await?;
    let now = service.live().club(&player, &club);
    let put_there = Document::Club { player, club: club.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, now).await?;
    Ok(shown(&request, put, (club, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let club: ClubId = path::name(&request, "club")?;
    let now = service.live().club(&player, &club);
    remove(&service, &request, Subject::Club(player, club), now).await
}
