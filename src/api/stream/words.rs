//! Events in words: one block of text each, made once for all readers that are told the same.

use bytes::Bytes;
use serde::Serialize;
use serde_json::value::RawValue;

use super::shapes::{LiveCorrection, LiveTrialRemoved};
use crate::{
    api::{
        items::{Stored, onto_one_line},
        units::Units,
    },
    bag::{Filter, ProfileQuestion},
    live::{
        DriftsWanted, Live, PlaceWanted, ReadError, ShotView,
        feed::{Board, Correction, FeedError, Topic, Watched, Wording},
    },
    shot::{ClubId, Event, PlayerId, Sequence, TrialId},
};

/// An event with an id, or without.
pub(super) fn block(kind: &str, id: Option<Sequence>, data: &[u8]) -> Bytes {
    let mut text = Vec::with_capacity(data.len() + 48);
    text.extend_from_slice(b"event: ");
    text.extend_from_slice(kind.as_bytes());
    if let Some(id) = id {
        text.extend_from_slice(format!("\nid: {id}").as_bytes());
    }
    text.extend_from_slice(b"\ndata: ");
    text.extend_from_slice(data);
    text.extend_from_slice(b"\n\n");
    text.into()
}

/// The same of a value.
pub(super) fn block_of<T: Serialize>(kind: &str, id: Option<Sequence>, value: &T) -> Bytes {
    match serde_json::to_vec(value) {
        Ok(data) => block(kind, id, &data),
        Err(error) => {
            tracing::error!(%error, kind, "an event could not be written");
            Bytes::new()
        }
    }
}

/// Words events as the rest of the API does.
pub(in crate::api) struct Words;

impl Wording for Words {
    fn item(&self, view: &ShotView, event: Event, text: Bytes) -> Option<Bytes> {
        let mut item = Vec::with_capacity(text.len() + 256);
        let written = Stored::of(event, text).write(view, &mut item);
        logged(written.map_err(|problem| problem.to_string()))?;
        onto_one_line(&mut item);
        Some(item.into())
    }

    fn shot(&self, sequence: Sequence, item: &Bytes) -> Bytes {
        block("shot", Some(sequence), item)
    }

    fn correction(&self, correction: &Correction<'_>) -> Bytes {
        let shots = correction.shots.iter().map(|item| serde_json::from_slice(item));
        let Some(shots) = logged(shots.collect::<Result<Vec<&RawValue>, _>>()) else {
            return Bytes::new();
        };
        let told = LiveCorrection {
            sequence: correction.sequence,
            act: correction.act,
            shots,
            left: correction.left.clone(),
            more: correction.more,
        };
        block_of("correction", Some(correction.sequence), &told)
    }

    fn board(&self, live: &Live, board: &Board, topic: &Topic) -> Result<Option<Bytes>, FeedError> {
        let Board { player, what, units } = board;
        let told = match (what, topic) {
            (_, Topic::Trial(trial)) => trial_of(live, (player, trial), *units),
            (Watched::Trials, Topic::All) => return Ok(None),
            (Watched::Profile(club), Topic::All) => profile(live, (player, club), *units),
            (Watched::Verdict { incumbent, candidates }, Topic::All) => {
                verdict(live, player, (incumbent, candidates), *units)
            }
            (Watched::Drifts, Topic::All) => {
                let wanted = DriftsWanted { units: *units, ..DriftsWanted::default() };
                told("drift", live.drifts(player, &wanted), *units)
            }
        };
        shown(told)
    }
}

/// What a board shows: nothing of a name that is gone meanwhile.
fn shown(told: Result<Bytes, Untold>) -> Result<Option<Bytes>, FeedError> {
    match told {
        Ok(text) => Ok(Some(text)),
        Err(Untold::Unanswered(ReadError::State(error))) => Err(error.into()),
        Err(Untold::Unanswered(_)) => Ok(None),
        Err(Untold::Unwritten(error)) => Err(FeedError::Unwritten(error)),
    }
}

fn profile(
    live: &Live,
    (player, club): (&PlayerId, &ClubId),
    units: Units,
) -> Result<Bytes, Untold> {
    let question = ProfileQuestion { units, ..ProfileQuestion::from(&Filter::default()) };
    told("profile", live.profile(player, club, question), units)
}

fn verdict(
    live: &Live,
    player: &PlayerId,
    (incumbent, candidates): (&ClubId, &[ClubId]),
    units: Units,
) -> Result<Bytes, Untold> {
    let candidates = candidates.to_vec();
    let wanted = PlaceWanted { candidates, units, ..PlaceWanted::of(incumbent.clone()) };
    told("verdict", live.replacements(player, &wanted), units)
}

/// How a trial stands, or that it was taken out.
fn trial_of(
    live: &Live,
    (player, trial): (&PlayerId, &TrialId),
    units: Units,
) -> Result<Bytes, Untold> {
    match live.trial(player, trial, units) {
        Err(ReadError::UnknownTrial(_)) => {
            let as_of = live.player_as_of(player)?;
            let removed = LiveTrialRemoved { id: trial, player, as_of, state: "removed" };
            let text = serde_json::to_vec(&removed).map_err(Untold::Unwritten)?;
            Ok(block("trial", None, &text))
        }
        standing => told("trial", standing, units),
    }
}

/// Why a board shows nothing.
enum Untold {
    Unanswered(ReadError),
    Unwritten(serde_json::Error),
}

impl From<ReadError> for Untold {
    fn from(error: ReadError) -> Self {
        Self::Unanswered(error)
    }
}

/// An answer as the question of the same kind gives it.
fn told<T: Serialize>(
    kind: &str,
    answer: Result<T, ReadError>,
    units: Units,
) -> Result<Bytes, Untold> {
    let text = units.write(&answer?).map_err(Untold::Unwritten)?;
    Ok(block(kind, None, &text))
}

fn logged<T, E: std::fmt::Display>(written: Result<T, E>) -> Option<T> {
    written.inspect_err(|error| tracing::error!(%error, "an event could not be written")).ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::live::LiveError;

    #[test]
    fn a_name_that_is_gone_shows_nothing_and_a_state_that_cannot_be_read_fails() {
        let gone = ReadError::UnknownClub(ClubId::parse("5h").unwrap());
        assert!(matches!(shown(Err(gone.into())), Ok(None)));
        let unreadable = ReadError::State(LiveError::Unreadable("a bad spot"));
        assert!(matches!(shown(Err(unreadable.into())), Err(FeedError::State(_))));
    }
}
