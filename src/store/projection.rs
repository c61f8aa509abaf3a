//! What the store asks of whoever folds its frames.

use bytes::Bytes;

use super::error::TableError;
use super::frame::Frame;
use crate::shot::{Act, Sequence};

/// Folds frames into the state that questions are answered from.
///
/// The writer calls [`judge`](Self::judge), [`apply`](Self::apply), [`absorb`](Self::absorb),
/// [`take_gone`](Self::take_gone) and [`take_changes`](Self::take_changes) from one thread, frame after frame in sequence order and only once a frame is
/// durable; [`committed`](Self::committed) comes from another thread. What a projection does must depend on the frames
/// alone, so that a fold from the start ends in the same state.
pub trait Projection: Send + Sync + 'static {
    /// What a sender is told about a frame once it is folded.
    type Receipt: Send + 'static;
    /// Why an act may not happen.
    type Refusal: Send + 'static;
    /// What a sender may ask to hold for an act to happen; the default asks for nothing. No frame keeps it.
    type Condition: Default + Send + 'static;

    /// Which fold this is: another number whenever the same frames come to mean something else, or lie otherwise in
    /// the chunks. A table that another fold made is set aside and made anew from the journal.
    const VERSION: u32;

    /// Whether an act may happen now, after every earlier frame was applied. What it rests on is looked at once more
    /// here, and the act is put right where that has changed since it was asked for.
    fn judge(&self, act: &mut Act, condition: &Self::Condition) -> Result<(), Self::Refusal>;

    /// Folds the next frame and says what its sender is told.
    fn apply(&self, frame: &Frame) -> Self::Receipt;

    /// Folds the next frame when nobody waits for a receipt: bulk loads, and the replay at a start.
    fn absorb(&self, frame: &Frame) {
        drop(self.apply(frame));
    }

    /// The shots whose content the acts folded since the last call took away, ascending: the store
    /// keeps no more than a keyed hash of their identities.
    fn take_gone(&self) -> Vec<Sequence> {
        Vec::new()
    }

    /// Why the fold cannot go on, if it cannot: nothing more is stored then until a restart.
    fn trouble(&self) -> Option<TableError> {
        None
    }

    /// The chunks of state that changed since the last call, as they stand after the frame last applied.
    ///
    /// # Errors
    /// A fold that could not read its own chunks stands nowhere: the store then takes nothing more, and its next start
    /// folds again from the last mark.
    fn take_changes(&self) -> Result<Vec<Change>, TableError>;

    /// Everything taken up to this frame can now be read back through [`Chunks`].
    fn committed(&self, upto: Sequence);
}

/// A chunk of a projection's state that changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The name of the chunk; keys that share a beginning lie together.
    pub key: Bytes,
    /// Its value now, at most [`MAX_CHUNK_BYTES`]; none when the chunk is gone.
    pub value: Option<Bytes>,
}

/// The longest value of a chunk, in bytes. Above it sled keeps a value in a file of its own, which no sync covers
/// (measured with sled 0.34).
pub const MAX_CHUNK_BYTES: usize = 7_600;

/// What a projection reads its chunks back with: the state of the last committed step.
pub trait Chunks: Send + Sync {
    /// The value of one chunk.
    fn get(&self, key: &[u8]) -> Result<Option<Bytes>, TableError>;

    /// All chunks whose keys begin with `prefix`, in the order of their keys.
    fn prefix(&self, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError>;
}
