//! A list that waits for its first shot.

use std::time::Duration;

use actix_web::{HttpRequest, web};
use tokio::time::{Instant, timeout_at};

use super::list;
use crate::{
    api::{
        problem::Problem,
        service::{Service, ask},
    },
    live::{
        ShotQuestion,
        feed::{Delivery, Followed},
    },
};

/// Waits until a list has something to show, at most for `time`, or until the service stops.
pub(super) async fn for_shots(
    service: &web::Data<Service>,
    request: &HttpRequest,
    (question, time): (&ShotQuestion, Duration),
) -> Result<(), Problem> {
    let end = Instant::now() + time;
    let filter = &question.filter;
    let followed = Followed {
        player: filter.player.clone(),
        club: filter.club.clone(),
        source: filter.source.clone(),
        ..Followed::default()
    };
    let mut reader = service.follow(followed, service.store.last(), request)?;
    // Whatever comes from now on wakes it; what came before is found.
    if !reader.skip_to_now() {
        return Ok(());
    }
    while !has_any(service, question).await? {
        match timeout_at(end, reader.next()).await {
            Ok(Delivery::Piece(_)) => {}
            Ok(Delivery::End(_)) | Err(_) => return Ok(()),
        }
    }
    Ok(())
}

/// Whether a page would have a shot, or a next page.
async fn has_any(service: &web::Data<Service>, question: &ShotQuestion) -> Result<bool, Problem> {
    let upto = service.store.last();
    let question = ShotQuestion { upto, limit: 1, ..question.clone() };
    let service = service.clone();
    ask(move || {
        list::check_names(&service, &question.filter)?;
        let page = list::page(&service, &question)?;
        Ok(!page.shots.is_empty() || page.next.is_some())
    })
    .await
}
