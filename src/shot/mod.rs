//! The shot event: identity, parsing, equality of content.

use std::fmt;

use serde::{Deserialize, Serialize};

/// The place of a frame in the one order of the journal; the first frame is 1, 0 is "before all".
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Sequence(u64);

impl Sequence {
    /// The sequence with this number.
    #[must_use]
    pub const fn new(number: u64) -> Self {
        Self(number)
    }

    /// Its number.
    #[must_use]
    pub const fn get(self) -> u64 {
        self.0
    }
}

impl fmt::Display for Sequence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The name of what sends shots.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SourceId(String);

/// The name of a shot within its source.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ShotId(String);

impl SourceId {
    /// The name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl ShotId {
    /// The name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A shot as it was sent.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Event {
    /// What sent it.
    pub source: SourceId,
    /// Its name there.
    pub id: ShotId,
}

/// Why a text is no event.
#[derive(Debug, thiserror::Error)]
#[error("not an event: {0}")]
pub struct Rejection(String);

impl Event {
    /// Reads an event.
    pub fn parse(text: &[u8]) -> Result<Self, Rejection> {
        serde_json::from_slice(text).map_err(|error| Rejection(error.to_string()))
    }
}

/// Whether two texts say the same.
#[must_use]
pub fn same_content(one: &[u8], other: &[u8]) -> bool {
    let read = |text| serde_json::from_slice::<serde_json::Value>(text).ok();
    one == other || (read(one).is_some() && read(one) == read(other))
}

/// Everything that is not a shot and changes what is true.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Act {
    /// Sets a shot aside.
    SetAside {
        /// The source of the shot.
        source: SourceId,
        /// The shot.
        id: ShotId,
        /// Why.
        reason: String,
    },
}
