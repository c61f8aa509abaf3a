//! What there is, and how one stands.

use actix_web::{HttpRequest, http::header, web};
use serde::Serialize;

use super::{OF_LIST, OF_ONE};
use crate::{
    api::{
        answer::ok,
        conditions::Conditions,
        endpoint::Answer,
        errors,
        insight::Asked,
        path,
        problem::Problem,
        query::Query,
        service::Service,
        tag::{Question, Tag},
        units::Units,
    },
    bag::ListedTrial,
    live::{ReadError, Version},
    shot::{PlayerId, Sequence, TrialId, TrialState},
};

/// The trials of a player.
#[derive(Serialize, utoipa::ToSchema)]
pub(super) struct TrialList {
    /// The trials, the newest first.
    items: Vec<ListedTrial>,
    /// The last sequence that changed any of them, or took one out.
    as_of: Sequence,
}

pub(super) async fn list(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let player: PlayerId = path::name(&request, "player")?;
    let (mut items, as_of) = found(service.live().trials(&player))?;
    let mut query = Query::read(request.query_string(), OF_LIST)?;
    let state: Option<TrialState> = query.one("state");
    query.done()?;
    items.retain(|trial| state.is_none_or(|state| trial.state == state));
    Ok(ok(&TrialList { items, as_of }))
}

pub(super) async fn one(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, trial) = named(&service, &request)?;
    let query = Query::read(request.query_string(), OF_ONE)?;
    let asked = Asked::read(query, (&service, &request), player)?;
    let units = asked.units;
    let answered =
        asked.answer(service, move |live, player| found(live.trial(player, &trial, units)));
    let mut answer = answered.await?;
    if let Some(tag) = Tag::of(answer.headers()) {
        answer.headers_mut().insert(header::ETAG, tag.strengthened().value());
    }
    Ok(answer)
}

/// The conditions of a request that changes a trial: it stands as reads in these units show it.
pub(super) fn conditions(
    request: &HttpRequest,
    service: &Service,
    (player, trial): (&PlayerId, &TrialId),
    units: Units,
) -> Result<Conditions, Problem> {
    if !Conditions::has_any(request) {
        return Ok(Conditions::default());
    }
    let (trials, _) = found(service.live().trials(player))?;
    let shown = found(service.live().player_as_of(player))?;
    let tag = Question::of(request, service, units.as_str()).tag(shown).strengthened();
    let known = trials.into_iter().find(|known| known.id == *trial);
    Ok(Conditions::of(request, known.map(|known| (tag, Version::AsOf(known.as_of)))))
}

/// The trial that the path names, which is there.
pub(in crate::api) fn named(
    service: &Service,
    request: &HttpRequest,
) -> Result<(PlayerId, TrialId), Problem> {
    let player: PlayerId = path::name(request, "player")?;
    found(service.live().player(&player))?;
    let trial: TrialId = path::name(request, "trial")?;
    found(service.live().find_trial(&player, &trial))?;
    Ok((player, trial))
}

/// What the path names, or the refusal.
pub(super) fn found<T>(found: Result<T, ReadError>) -> Result<T, Problem> {
    found.map_err(|error| errors::of_question(&error))
}
