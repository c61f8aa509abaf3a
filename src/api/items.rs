//! A stored shot as an answer shows it: the event as it was sent, and beside it what is effective.

use bytes::Bytes;
use serde::Serialize;
use serde_json::value::RawValue;

use super::{
    errors,
    problem::{Kind, Problem},
    service::Service,
    spec,
};
use crate::{
    live::{Changed, ShotView},
    shot::{self, ClubId, Event, Flags, PlayerId, Reason, Sequence},
};

/// A stored shot.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = StoredShot)]
pub(super) struct Item<'a> {
    /// The event as it was sent.
    #[schema(value_type = spec::ShotEvent)]
    event: &'a RawValue,
    /// Its place in the one order.
    sequence: Sequence,
    /// Who hit it, or null while it waits.
    player: Option<&'a PlayerId>,
    /// With which club, or null while it waits.
    club: Option<&'a ClubId>,
    /// In which visit, or null while it waits.
    session: Option<&'a str>,
    /// What is odd about it, as things stand.
    #[schema(value_type = Vec<Flags>)]
    flags: Vec<String>,
    /// Which other club of the player's it flies like, where it has the flag `other_club`.
    flies_like: Option<&'a ClubId>,
    /// Why it was set aside, or null where it counts.
    set_aside: Option<SetAside<'a>>,
    /// What was corrected, as the patch that would do it at once.
    #[schema(schema_with = spec::corrected)]
    changed: &'a Changed,
}

/// Why a shot does not count.
#[derive(Serialize, utoipa::ToSchema)]
struct SetAside<'a> {
    /// In the words of who set it aside.
    #[schema(value_type = String)]
    reason: &'a Reason,
}

/// The shape of a stored shot.
pub(super) const SHAPE: super::endpoint::Shape = super::endpoint::shape::<Item<'static>>;

/// An event as it is stored.
pub(super) struct Stored {
    text: Bytes,
    /// The same, parsed.
    pub(super) event: Event,
}

/// Reads the event of a shot that was seen in the fold; none where its content is gone by now. The
/// fold has the last word, since the journal may still have the text.
pub(super) fn load(service: &Service, shot: Sequence) -> Result<Option<Stored>, Problem> {
    let stored = service.store.read(shot).map_err(|error| errors::of_stored(&error))?;
    if !service.live().is_shown(shot).map_err(|error| errors::of_state(&error))? {
        return Ok(None);
    }
    let Some(stored) = stored else {
        tracing::error!(sequence = shot.get(), "a shot of the fold is not stored");
        return Err(lost());
    };
    let Ok(event) = shot::parse(&stored.text) else {
        tracing::error!(sequence = shot.get(), "a stored event cannot be parsed");
        return Err(lost());
    };
    Ok(Some(Stored { text: stored.text, event }))
}

impl Stored {
    /// An event that was read already; the fold has said that it may be shown.
    pub(super) const fn of(event: Event, text: Bytes) -> Self {
        Self { text, event }
    }

    /// Writes the shot as JSON, with what is effective of it.
    pub(super) fn write(&self, view: &ShotView, into: &mut Vec<u8>) -> Result<(), Problem> {
        let item = Item {
            event: serde_json::from_slice(&self.text).map_err(|_| lost())?,
            sequence: view.sequence,
            player: view.player.as_ref(),
            club: view.club.as_ref(),
            session: view.session.as_deref(),
            flags: view.flags.words(&self.event),
            flies_like: view.flies_like.as_ref(),
            set_aside: view.set_aside.as_ref().map(|reason| SetAside { reason }),
            changed: &view.changed,
        };
        serde_json::to_writer(into, &item).map_err(|_| lost())
    }
}

fn lost() -> Problem {
    Problem::new(Kind::Internal, "a stored shot cannot be shown; the log says which")
}

/// Makes one line of JSON text in place: a line end within JSON is white space, never content
/// (RFC 8259, 7).
pub(super) fn onto_one_line(text: &mut [u8]) {
    for byte in text {
        if matches!(byte, b'\n' | b'\r') {
            *byte = b' ';
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_of_many_lines_becomes_one_with_the_same_meaning() {
        let mut text = b"{\r\n  \"id\": \"a\\nb\"\n}".to_vec();
        onto_one_line(&mut text);
        assert_eq!(text, b"{    \"id\": \"a\\nb\" }");
    }
}
