//! The shots that an act on many is for: those that its filter finds.

use super::{
    errors,
    problem::{Fault, Problem},
    service::Service,
};
use crate::{
    live::{Live, ReadError},
    shot::{ShotFilter, ShotSet},
};

/// What a filter finds. One with names that nothing has is refused: a mistyped name would find
/// nothing and say so only.
pub(super) fn find(service: &Service, filter: &ShotFilter) -> Result<ShotSet, Problem> {
    check_names(service.live(), filter)?;
    let (Some(source), Some(id)) = (&filter.source, &filter.id) else {
        return service.live().find(filter).map_err(|refusal| errors::of_refusal(&refusal));
    };
    // The store knows which shot an `id` names.
    let named = service.store.find(source, id).map_err(|error| errors::of_table(&error))?;
    let named = named.into_iter().collect();
    service.live().among(filter, &named).map_err(|error| errors::of_state(&error))
}

fn check_names(live: &Live, filter: &ShotFilter) -> Result<(), Problem> {
    let mut faults = Vec::new();
    let mut check = |member: &str, found: Result<(), ReadError>| {
        if let Err(error) = found {
            let pointer = format!("/filter/{member}");
            faults.push(Fault { pointer, detail: error.to_string(), parameter: None });
        }
    };
    if let Some(player) = &filter.player {
        let known = live.player(player).map(drop);
        if let (Some(club), Ok(())) = (&filter.club, &known) {
            check("club", live.club(player, club).map(drop));
        }
        check("player", known);
    }
    if let Some(ball) = &filter.ball {
        check("ball", live.ball(ball).map(drop));
    }
    if let Some(source) = &filter.source {
        check("source", live.source(source).map(drop));
    }
    if faults.is_empty() { Ok(()) } else { Err(Problem::invalid(faults)) }
}
