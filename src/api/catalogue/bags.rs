//! `/v1/players/{player}/bags/{bag}`

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{document, found, put, remove, shown};
use crate::{
    api::{
        answer::ok,
        cursor,
        endpoint::{Answer, Caching, Endpoint, Success, Verb, shape},
        media::Media,
        path,
        query::{Form, Parameter, Query, Table, no_query},
        service::Service,
        spec,
    },
    live::BagChange,
    shot::{Bag, BagId, Document, PlayerId, Sequence, Subject},
};

const PATH: &str = "/v1/players/{player}/bags/{bag}";
const CHANGES: &str = "/v1/players/{player}/bags/{bag}/changes";

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
        caching: Caching::Exact,
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
    Endpoint {
        path: CHANGES,
        handler: || web::to(list_changes),
        name: "listBagChanges",
        about: "What was changed of a bag since it was made, the newest change first: clubs that \
                came and went, and new names.",
        parameters: PARAMETERS,
        successes: &[Success::new(200, "A page of changes.", shape::<BagChanges>)],
        ..Endpoint::BASE
    },
];

const PARAMETERS: Table = &[&[
    Parameter::new("limit", Form::PageItems, "Changes that a page holds."),
    Parameter::new("cursor", Form::Opaque, "The `next` of the page before."),
]];

/// A page of a bag's changes.
#[derive(Serialize, utoipa::ToSchema)]
struct BagChanges {
    /// The changes, the newest first.
    items: Vec<BagChange>,
    /// The cursor of the next page; absent at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    next: Option<String>,
    /// The last sequence that changed the bag.
    as_of: Sequence,
}

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bags = found(service.live().bags(&player))?;
    no_query(&request)?;
    Ok(ok(&bags))
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
    let now = service.live().bag(&player, &bag);
    let put_there = Document::Bag { player, bag: bag.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, now).await?;
    Ok(shown(&request, put, (bag, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bag: BagId = path::name(&request, "bag")?;
    let now = service.live().bag(&player, &bag);
    remove(&service, &request, Subject::Bag(player, bag), now).await
}

async fn list_changes(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let bag: BagId = path::name(&request, "bag")?;
    let as_of = found(service.live().bag(&player, &bag))?.as_of;
    let mut query = Query::read(request.query_string(), PARAMETERS)?;
    let limit = query.page_items("limit", &service.limits);
    let question = request.uri().path();
    let beyond = query.text("cursor").map(|text| cursor::read(text, question));
    let beyond = beyond.and_then(|read| {
        read.map_err(|detail| query.fault("cursor", format!("`cursor` {detail}"))).ok()
    });
    query.done()?;
    let mut items = found(service.live().bag_changes(&player, &bag))?;
    items.retain(|change| beyond.is_none_or(|beyond| change.as_of < beyond));
    let more = items.len() > limit;
    items.truncate(limit);
    let next = items.last().filter(|_| more).map(|last| cursor::write(last.as_of, question));
    Ok(ok(&BagChanges { items, next, as_of }))
}
