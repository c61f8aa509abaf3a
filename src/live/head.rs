//! What last touched an owner: all that tags and `as_of` need to know of a roll.

use serde::{Deserialize, Serialize};

use super::{LiveError, document, key, ledger::Owner};
use crate::{shot::Sequence, store::Chunks};

/// The last sequences that touched an owner.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
pub(super) struct Head {
    /// What conclusions rest on.
    pub as_of: Sequence,
    /// What lists show, and no conclusion rests on.
    #[serde(default)]
    pub hidden: Sequence,
}

impl Head {
    /// As the store has it.
    pub(super) fn load(owner: Owner, chunks: &dyn Chunks) -> Result<Self, LiveError> {
        Ok(document::read(&key::head(owner), chunks)?.unwrap_or_default())
    }

    /// The last sequence that touched anything that lists show.
    pub(super) fn listed(self) -> Sequence {
        self.as_of.max(self.hidden)
    }
}
