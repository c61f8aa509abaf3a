//! Trials are opened, changed and removed.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};

use super::{
    OF_ONE,
    read::{conditions, found, named},
};
use crate::{
    api::{
        answer::{json_text, unwritten},
        body::Body,
        endpoint::Answer,
        errors, path,
        query::{Query, no_query},
        service::{Service, ask},
        units::Units,
    },
    bag::Brief,
    shot::{Act, PlayerId, Subject, Trial, TrialId, TrialPatch},
};

pub(super) async fn open(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    found(service.live().player(&player))?;
    let mut query = Query::read(request.query_string(), OF_ONE)?;
    let units = Units::read(&mut query);
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let trial = Trial::from_json(&text, &Brief::usual()).map_err(errors::of_rejection);
    let trial = Box::new(query.done_beside(trial)?);
    let (opened, _) = service.act(Act::OpenTrial { player: player.clone(), trial }).await?;
    let id = TrialId::of(opened);
    let place = format!("{}/{id}", request.uri().path());
    let mut answer = show(service, (player, id), (StatusCode::CREATED, units)).await?;
    if let Ok(place) = header::HeaderValue::from_str(&place) {
        answer.headers_mut().insert(header::LOCATION, place);
    }
    Ok(answer)
}

pub(super) async fn change(
    service: web::Data<Service>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let (player, trial) = named(&service, &request)?;
    let mut query = Query::read(request.query_string(), OF_ONE)?;
    let units = Units::read(&mut query);
    let text = Body::open(&request, payload, &service.limits)?.whole().await?;
    let patch = TrialPatch::from_json(&text).map_err(errors::of_rejection);
    let patch = query.done_beside(patch)?;
    let conditions = conditions(&request, &service, (&player, &trial), units)?;
    if patch.is_empty() {
        conditions.check()?;
    } else {
        let (player, trial) = (player.clone(), trial.clone());
        service.act_if(Act::ChangeTrial { player, trial, patch }, conditions).await?;
    }
    show(service, (player, trial), (StatusCode::OK, units)).await
}

pub(super) async fn delete(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, trial) = named(&service, &request)?;
    no_query(&request)?;
    let conditions = conditions(&request, &service, (&player, &trial), Units::Si)?;
    service.act_if(Act::Remove(Subject::Trial(player, trial)), conditions).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The trial as it stands now.
async fn show(
    service: web::Data<Service>,
    (player, trial): (PlayerId, TrialId),
    (status, units): (StatusCode, Units),
) -> Answer {
    let text = ask(move || {
        let standing = found(service.live().trial(&player, &trial, units))?;
        units.write(&standing).map_err(|error| unwritten(&error))
    });
    Ok(json_text(status, text.await?))
}
