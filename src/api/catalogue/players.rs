//! `/v1/players/{player}`

use actix_web::{HttpRequest, HttpResponse, web};

use super::{document, found, put, shown};
use crate::{
    api::{
        answer::ok,
        conditions::Conditions,
        endpoint::{Answer, Caching, Endpoint, Success, Verb},
        media::Media,
        path,
        query::{Form, FromText, Parameter, Query, Table, Words, no_query},
        service::Service,
        spec,
    },
    shot::{Act, Document, Keyed, Player, PlayerId, Subject},
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
        caching: Caching::Exact,
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
        about: "Removes a player without shots. With `shots=erase` it erases the person: all their \
                shots, their clubs and bags, and their name in every context; what was sent under \
                their name and is another's now is retired. Only a keyed hash of the id stays, which \
                answers 410. A new shot that names the id is stored and waits without a player: only \
                putting the player anew brings somebody back.",
        parameters: OF_DELETE,
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
];

const OF_DELETE: Table = &[&[Parameter::new(
    "shots",
    Form::OneOf(Shots::spellings),
    "What becomes of the player's shots: `erase`. Without it a player with shots stays.",
)]];

/// What becomes of a player's shots.
enum Shots {
    Erase,
}

impl Words for Shots {
    fn spellings() -> Vec<&'static str> {
        vec!["erase"]
    }
}

impl FromText for Shots {
    fn from_text(text: &str) -> Result<Self, String> {
        match text {
            "erase" => Ok(Self::Erase),
            _ => Err(format!("is `{text}`: give erase, or leave it out")),
        }
    }
}

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(ok(&service.live().players()))
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
    let put_there = Document::Player { player: player.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, service.live().player(&player)).await?;
    Ok(shown(&request, put, (player, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let now = Ok(found(service.live().player(&player))?);
    let mut query = Query::read(request.query_string(), OF_DELETE)?;
    let shots = query.one("shots");
    query.done()?;
    let act = match shots {
        Some(Shots::Erase) => {
            let salt = *service.store.store_id().bytes();
            Act::ErasePlayer { player: Keyed::of_player(salt, &player) }
        }
        None => Act::Remove(Subject::Player(player)),
    };
    service.act_if(act, Conditions::of_entry(&request, &now)).await?;
    Ok(HttpResponse::NoContent().finish())
}
