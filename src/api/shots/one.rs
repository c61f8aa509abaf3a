//! `/v1/shots/{source}/{id}`

use actix_web::{HttpRequest, http::StatusCode, web};

use crate::{
    api::{
        answer::json_text,
        body::Body,
        conditions::Conditions,
        endpoint::{Answer, Caching, Endpoint, Success, Verb},
        errors, items,
        media::Media,
        path,
        problem::{Kind, Problem},
        query::{Query, no_query},
        service::{Service, ask},
        spec,
        tag::Tag,
    },
    live::{Receipt, ShotView, Version},
    shot::{Act, Correction, Sequence, ShotId, SourceId},
};

pub(super) const PATH: &str = "/v1/shots/{source}/{id}";

pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: PATH,
        handler: || web::to(read),
        name: "readShot",
        about: "One shot: the event as it was sent, and what is effective.",
        successes: &[Success::new(200, "The shot.", items::SHAPE)],
        refusals: &[Kind::Gone],
        caching: Caching::Exact,
        ..Endpoint::BASE
    },
    Endpoint {
        verb: Verb::Patch,
        path: PATH,
        handler: || web::to(correct),
        name: "correctShot",
        about: "Corrects what is effective of a shot by a JSON Merge Patch (RFC 7396): null lifts an \
                earlier correction. The event stays as it was sent; what was measured is never \
                patched.",
        takes: &[Media::Json, Media::MergePatch],
        body: Some(spec::correction),
        successes: &[Success::new(200, "The shot as it is now.", items::SHAPE)],
        refusals: &[Kind::Gone],
        ..Endpoint::BASE
    },
];

async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let shot = find(&service, &request)?;
    no_query(&request)?;
    show(service, shot).await
}

async fn correct(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let shot = find(&service, &request)?;
    let query = Query::read(request.query_string(), &[])?;
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let patch = Correction::from_json(&text).map_err(errors::of_rejection);
    let patch = query.done_beside(patch)?;
    if patch.is_empty() {
        let (text, conditions) = seen(&service, &request, shot).await?;
        conditions.check()?;
        return Ok(json_text(StatusCode::OK, text));
    }
    // Read before, and shown as of the correction: what others do to the shot later is not told.
    let asked = service.clone();
    let stored = ask(move || items::load(&asked, shot)).await?.ok_or_else(erased)?;
    let conditions = conditions(&service, &request, shot).await?;
    match service.act_if(Act::Correct { shot, patch }, conditions).await? {
        (_, Receipt::Corrected(Some(view))) => {
            let mut text = Vec::new();
            stored.write(&view, &mut text)?;
            Ok(json_text(StatusCode::OK, text))
        }
        (_, Receipt::Corrected(None)) => Err(retired()),
        // The fold broke; the question says why.
        _ => show(service, shot).await,
    }
}

/// The conditions of a request that changes a shot.
pub(super) async fn conditions(
    service: &web::Data<Service>,
    request: &HttpRequest,
    shot: Sequence,
) -> Result<Conditions, Problem> {
    if !Conditions::has_any(request) {
        return Ok(Conditions::default());
    }
    Ok(seen(service, request, shot).await?.1)
}

/// A shot as it is shown now, and the conditions of a request that changes it.
async fn seen(
    service: &web::Data<Service>,
    request: &HttpRequest,
    shot: Sequence,
) -> Result<(Vec<u8>, Conditions), Problem> {
    let asked = service.clone();
    let (text, view) = ask(move || shown(&asked, shot)).await?;
    let now = (Tag::strong(&text), Version::Shot(Box::new(view)));
    let conditions = Conditions::of(request, Some(now));
    Ok((text, conditions))
}

/// A shot that the path names.
pub(super) enum Named {
    /// It is stored.
    Stored(Sequence),
    /// Only what statistics rest on is left of it.
    Retired(Sequence),
}

/// The shot that the path names: 404 where there never was one, 410 where it was erased.
pub(super) fn named(service: &Service, request: &HttpRequest) -> Result<Named, Problem> {
    let source: SourceId = path::name(request, "source")?;
    let id: ShotId = path::name(request, "id")?;
    let found = service.store.find(&source, &id).map_err(|error| errors::of_table(&error))?;
    if let Some(shot) = found {
        return Ok(Named::Stored(shot));
    }
    let gone = service.store.find_gone(&source, &id).map_err(|error| errors::of_table(&error))?;
    let gone = gone.ok_or_else(nowhere)?;
    match service.live().is_retired(gone) {
        Ok(true) => Ok(Named::Retired(gone)),
        Ok(false) => Err(erased()),
        Err(error) => Err(errors::of_state(&error)),
    }
}

/// The same for who needs its content: 410 where it was retired, too.
fn find(service: &Service, request: &HttpRequest) -> Result<Sequence, Problem> {
    match named(service, request)? {
        Named::Stored(shot) => Ok(shot),
        Named::Retired(_) => Err(retired()),
    }
}

fn retired() -> Problem {
    Problem::new(Kind::Gone, "this shot was retired: what statistics rest on is kept, and no more")
}

fn erased() -> Problem {
    Problem::new(Kind::Gone, "this shot was erased")
}

fn nowhere() -> Problem {
    Problem::new(Kind::NotFound, "no shot of this source has this id")
}

async fn show(service: web::Data<Service>, shot: Sequence) -> Answer {
    let (text, _) = ask(move || shown(&service, shot)).await?;
    Ok(json_text(StatusCode::OK, text))
}

/// A shot as it is shown, in text.
fn shown(service: &Service, shot: Sequence) -> Result<(Vec<u8>, ShotView), Problem> {
    let view = service.live().shot(shot).map_err(|error| errors::of_state(&error))?;
    let view = view.ok_or_else(erased)?;
    let mut text = Vec::new();
    items::load(service, shot)?.ok_or_else(erased)?.write(&view, &mut text)?;
    Ok((text, view))
}
