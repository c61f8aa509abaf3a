//! A table looked at without storing anything of it.

use serde::Serialize;
use serde_json::value::RawValue;

use super::cut::{Cut, Table};
use crate::{
    api::{
        answer::ok,
        body::Body,
        endpoint::Answer,
        problem::{Kind, Problem},
        progress::{Refusal, Tally},
        service::Service,
        spec,
    },
    store::NewShot,
};

/// Rows that are looked at.
const ROWS: u64 = 1_000;
/// Events that are shown.
const SHOWN: usize = 10;

/// What a table would become.
#[derive(Serialize, utoipa::ToSchema)]
pub(in crate::api) struct Rehearsal {
    /// Rows that were looked at: the first 1,000 of the file, or all.
    rows: u64,
    /// The first ten events that would be stored.
    events: Vec<Rehearsed>,
    /// Rows that would be refused.
    refused: u64,
    /// Those rows, by line.
    refusals: Vec<Refusal>,
    /// How many refusals the list leaves out.
    refusals_left_out: u64,
}

/// An event that would be stored.
#[derive(Serialize, utoipa::ToSchema)]
struct Rehearsed {
    /// The line of the file that its row starts on.
    line: u64,
    /// The event.
    #[schema(value_type = spec::ShotEvent)]
    event: Box<RawValue>,
}

/// Reads the first rows of a table and says what they would become. Whether they are stored already
/// is not looked at.
pub(in crate::api) async fn rehearse(
    service: &Service,
    mut body: Body,
    mut table: Table<'_>,
) -> Answer {
    let (mut rows, mut events) = (0, Vec::new());
    let mut tally = Tally::uncounted(service.limits.refusals);
    let mut ended = false;
    while rows < ROWS {
        let item = if ended { table.last_item()? } else { table.next_item()? };
        let Some(item) = item else {
            if ended {
                break;
            }
            match body.next_chunk().await? {
                Some(chunk) => table.feed(chunk),
                None => ended = true,
            }
            continue;
        };
        rows += 1;
        match item.read {
            Ok(shot) if events.len() < SHOWN => {
                events.push(Rehearsed { line: item.line, event: shown(&shot)? });
            }
            Ok(_) => {}
            Err(refusal) => tally.refuse(refusal),
        }
    }
    let told = tally.into_whole();
    Ok(ok(&Rehearsal {
        rows,
        events,
        refused: told.refused,
        refusals: told.refusals,
        refusals_left_out: told.refusals_left_out,
    }))
}

fn shown(shot: &NewShot) -> Result<Box<RawValue>, Problem> {
    let event = serde_json::from_slice(shot.text());
    event.map_err(|_| Problem::new(Kind::Internal, "an event could not be shown"))
}
