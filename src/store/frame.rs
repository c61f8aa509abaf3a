//! What one place in the journal's order holds.

use bytes::Bytes;
use jiff::Timestamp;

use crate::shot::{
    Act, Event, Hole, Keyed, Rejection, RetiredShot, Sequence, Settled, ShotId, SourceId,
};

/// One durable entry of the journal.
#[derive(Clone, Debug)]
pub struct Frame {
    /// Its place in the one order of events.
    pub sequence: Sequence,
    /// When the writer took it in; data, never order.
    pub arrival: Timestamp,
    /// What happened.
    pub entry: Entry,
}

/// What a frame says.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant)] // nearly every frame is a shot: a box each would cost more
pub enum Entry {
    /// A shot, the first of its identity.
    Shot {
        /// The event as parsed.
        event: Event,
        /// The event verbatim, as sent.
        text: Bytes,
        /// What was settled when it came, where the frames before it no longer tell.
        settled: Option<Box<Settled>>,
    },
    /// What is left of a shot that was retired.
    Retired(Box<RetiredShot>),
    /// Nothing any more, or nothing that is told here.
    Hole(Box<Hole>),
    /// Anything else that changes what is true.
    Act(Box<Act>),
}

/// A stored shot as it was sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredShot {
    /// Its place in the one order of events.
    pub sequence: Sequence,
    /// When the writer took it in.
    pub arrival: Timestamp,
    /// The event verbatim.
    pub text: Bytes,
}

/// A shot that asks to be stored.
#[derive(Clone, Debug)]
pub struct NewShot {
    pub(super) event: Event,
    pub(super) text: Bytes,
}

impl NewShot {
    /// A shot from the text it was sent as.
    pub fn parse(text: Bytes) -> Result<Self, Rejection> {
        Ok(Self { event: crate::shot::parse(&text)?, text })
    }

    /// A shot from a text and the event that was parsed from it.
    #[must_use]
    pub const fn new(event: Event, text: Bytes) -> Self {
        Self { event, text }
    }

    /// Its source and id.
    #[must_use]
    pub const fn identity(&self) -> (&SourceId, &ShotId) {
        (&self.event.source, &self.event.id)
    }

    /// Its text.
    #[must_use]
    pub fn text(&self) -> &[u8] {
        &self.text
    }

    /// Bytes of its text.
    #[must_use]
    pub const fn size(&self) -> usize {
        self.text.len()
    }
}

impl Frame {
    /// Bytes of its text, where it has one, and a guess where it has none.
    pub(super) fn size(&self) -> usize {
        match &self.entry {
            Entry::Shot { text, .. } => text.len(),
            _ => 256,
        }
    }
}

impl Entry {
    /// Source and id of a shot; none for anything else.
    #[must_use]
    pub const fn identity(&self) -> Option<(&SourceId, &ShotId)> {
        match self {
            Self::Shot { event, .. } => Some((&event.source, &event.id)),
            Self::Act(_) | Self::Retired(_) | Self::Hole(_) => None,
        }
    }

    /// The keyed hash of a shot's identity whose content is gone.
    #[must_use]
    pub fn keyed(&self) -> Option<Keyed> {
        match self {
            Self::Retired(shot) => Some(shot.shot),
            Self::Hole(hole) => hole.shot,
            Self::Shot { .. } | Self::Act(_) => None,
        }
    }
}
