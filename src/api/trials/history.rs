//! How a trial's evidence grew, page by page.

use actix_web::{HttpRequest, web};
use serde::Serialize;

use super::{
    OF_HISTORY,
    read::{found, named},
};
use crate::{
    api::{
        cursor,
        endpoint::Answer,
        insight::{Asked, Dated},
        query::Query,
        service::Service,
    },
    bag::{HistoryCriterion, HistoryItem, HistoryPart, TrialHistory},
    shot::{PlayerId, Sequence, TrialId},
};

/// A page of a trial's history.
#[derive(Serialize, utoipa::ToSchema)]
pub(super) struct TrialHistoryPage {
    /// Who.
    player: PlayerId,
    /// Which trial.
    trial: TrialId,
    /// The last sequence that touched the player.
    as_of: Sequence,
    /// What the figures of evidence are about, in order.
    criteria: Vec<HistoryCriterion>,
    /// One entry a counted shot, oldest first.
    items: Vec<HistoryItem>,
    /// The cursor of the next page; absent at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    next: Option<String>,
}

impl Dated for TrialHistoryPage {
    fn as_of(&self) -> Sequence {
        self.as_of
    }
}

pub(super) async fn read(service: web::Data<Service>, request: HttpRequest) -> Answer {
    let (player, trial) = named(&service, &request)?;
    let place = request.uri().path().to_owned();
    let mut query = Query::read(request.query_string(), OF_HISTORY)?;
    let limit = query.page_items("limit", &service.limits);
    let after = query.text("cursor").map(|text| cursor::read(text, &place));
    let after = after.and_then(|read| {
        read.map_err(|detail| query.fault("cursor", format!("`cursor` {detail}"))).ok()
    });
    let part = HistoryPart { after: after.unwrap_or_default(), limit };
    let asked = Asked::read(query, (&service, &request), player)?;
    asked
        .answer(service, move |live, player| {
            let history = found(live.trial_history(player, &trial, part))?;
            let TrialHistory { as_of, criteria, items, more } = history;
            let last = items.last().filter(|_| more);
            let next = last.map(|last| cursor::write(last.sequence, &place));
            let player = player.clone();
            Ok(TrialHistoryPage { player, trial, as_of, criteria, items, next })
        })
        .await
}
