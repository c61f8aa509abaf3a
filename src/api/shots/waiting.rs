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
        feed::{Delivery, End, Followed},
    },
};

/// Waits until a list has something to show, at most for `time`, or until the service stops. Refuses where
/// it cannot be told of what comes.
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
    if let Err(end) = reader.skip_to_now() {
        return ended(service, end);
    }
    while !has_any(service, question).await? {
        match timeout_at(end, reader.next()).await {
            Ok(Delivery::Piece(_)) => {}
            Ok(Delivery::End(end)) => return ended(service, end),
            Err(_) => return Ok(()),
        }
    }
    Ok(())
}

/// What a list does when it is told of nothing any more. Where that is a failure, an answer at once would
/// have the client ask again at once.
fn ended(service: &Service, end: End) -> Result<(), Problem> {
    match end {
        End::Slow | End::Stopping => Ok(()),
        End::Failed => {
            let detail = "nobody can be told of new shots at the moment: ask without `wait`";
            Err(service.untold(detail.to_owned()))
        }
    }
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
