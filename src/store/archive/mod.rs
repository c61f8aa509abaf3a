//! A store as lines of text: what an export writes and an import reads.
//!
//! NDJSON: a head, one line a frame in sequence order (a run of plain holes is one line), and an end
//! with counts and a hash of all bytes before it, so that a cut file is told from a whole one.

mod line;
mod reader;
mod spool;
mod writer;

use serde::{Deserialize, Serialize};

use crate::shot::{PlayerId, Sequence};

pub(super) use line::{Told, plain_hole};
pub use reader::BadLine;
pub(super) use spool::{NAMES, Unfinished, commit, discard_received};
pub use spool::{Received, Spool};
pub use writer::ArchiveWriter;

/// The name and version of the format.
const FORMAT: &str = "evencarry.export.v1";

/// The first line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ArchiveHead {
    format: String,
    /// The id of the store that was exported, in hexadecimal digits.
    pub store: String,
    /// The last frame told.
    pub last_sequence: Sequence,
    /// Whose frames are told; without it everybody's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub player: Option<PlayerId>,
}

impl ArchiveHead {
    /// The head of an export up to a frame.
    #[must_use]
    pub fn new(store: String, last_sequence: Sequence, player: Option<PlayerId>) -> Self {
        Self { format: FORMAT.to_owned(), store, last_sequence, player }
    }
}

/// The last line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct End {
    /// Frames, holes included.
    frames: u64,
    /// Shots told whole.
    shots: u64,
    /// BLAKE3 of all bytes before this line, in hexadecimal digits.
    blake3: String,
}
