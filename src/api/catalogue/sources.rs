//! `/v1/sources/{source}`

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{document, found, put, remove, shown};
use crate::{
    api::{
        answer::ok,
        conditions::Conditions,
        endpoint::{Answer, Caching, Endpoint, Success, Verb},
        media::Media,
        path,
        problem::Problem,
        query::no_query,
        service::Service,
        spec,
    },
    live::Version,
    shot::{Act, Context, Document, Sequence, Source, SourceId, Subject},
};

const PATH: &str = "/v1/sources/{source}";
const CONTEXT: &str = "/v1/sources/{source}/context";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/v1/sources",
        handler: || web::to(list),
        name: "listSources",
        about: "All sources.",
        successes: &[Success::new(200, "The list, by id.", spec::listing_of::<Source>)],
        ..Endpoint::BASE
    },
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readSource",
        about: "One source.",
        successes: &[Success::new(200, "The source.", spec::entry_of::<Source>)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: PATH,
        handler: || web::to(replace),
        name: "putSource",
        about: "Puts a source, in place of what was there: what its later shots have by default.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Source>),
        successes: &[
            Success::new(201, "The source is new.", spec::entry_of::<Source>),
            Success::new(200, "The source was replaced.", spec::entry_of::<Source>),
        ],
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Delete,
        path: PATH,
        handler: || web::to(delete),
        name: "deleteSource",
        about: "Removes a source without shots.",
        successes: &[Success::bare(204, "It is gone.")],
        ..Endpoint::BASE
    },
    Endpoint {
        path: CONTEXT,
        handler: || web::to(read_context),
        name: "readContext",
        about: "What a source's shots inherit.",
        successes: &[Success::new(200, "The context.", spec::context_entry)],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Put,
        path: CONTEXT,
        handler: || web::to(set_context),
        name: "setContext",
        about: "Says what a source's shots inherit from now on, in place of what was said before; \
                an empty object clears it.",
        takes: &[Media::Json],
        body: Some(spec::document_of::<Context>),
        successes: &[Success::new(200, "The context.", spec::context_entry)],
        ..Endpoint::BASE
    },
];

async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    no_query(&request)?;
    Ok(ok(&service.live().sources()))
}

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let source: SourceId = path::name(&request, "source")?;
    let entry = found(service.live().source(&source))?;
    no_query(&request)?;
    Ok(ok(&entry))
}

async fn replace(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let source: SourceId = path::new_name(&request, "source")?;
    let document = document(&service, &request, payload, Source::from_json).await?;
    let put_there = Document::Source { source: source.clone(), document: document.clone() };
    let put = put(&service, &request, put_there, service.live().source(&source)).await?;
    Ok(shown(&request, put, (source, document)))
}

async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let source: SourceId = path::name(&request, "source")?;
    let now = service.live().source(&source);
    remove(&service, &request, Subject::Source(source), now).await
}

/// A context in an answer.
#[derive(Serialize)]
struct Told {
    #[serde(flatten)]
    context: Context,
    as_of: Sequence,
}

async fn read_context(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let source: SourceId = path::name(&request, "source")?;
    let told = told(&service, &source)?;
    no_query(&request)?;
    Ok(ok(&told))
}

fn told(service: &Service, source: &SourceId) -> Result<Told, Problem> {
    let (context, as_of) = found(service.live().context(source))?;
    Ok(Told { context, as_of })
}

async fn set_context(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let source: SourceId = path::new_name(&request, "source")?;
    let context = document(&service, &request, payload, Context::from_json).await?;
    let now = told(&service, &source).ok();
    let now = now.as_ref().map(|told| (told, Version::AsOf(told.as_of)));
    let conditions = Conditions::of_text(&request, now);
    let act = Act::SetContext { source, context: context.clone() };
    let (as_of, _) = service.act_if(act, conditions).await?;
    Ok(ok(&Told { context, as_of }))
}
