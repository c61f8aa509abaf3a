//! What is made durable together: frames that have their numbers, and those who wait for them.

use tokio::sync::{OwnedSemaphorePermit, oneshot};

use super::error::{ActError, WriteError};
use super::frame::{Frame, NewShot};
use super::journal::Mark;
use super::projection::Projection;
use crate::shot::{Act, Sequence};

/// How the shots of one call hang together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Batch {
    /// Each is stored or not for itself.
    Each,
    /// A conflict of one withholds all; a torn write leaves all or none.
    AllOrNothing,
}

/// Whether a sender waits for what the fold says about its shots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReceiptWanted {
    /// Every stored shot comes with its receipt.
    Yes,
    /// None does; the fold may do less.
    No,
}

/// What became of a shot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ShotOutcome<R> {
    /// It is durable and folded.
    Stored {
        /// Its place.
        sequence: Sequence,
        /// What the fold says, if that was wanted.
        receipt: Option<R>,
    },
    /// It is here already, with the same content.
    Duplicate {
        /// The place of the first one.
        sequence: Sequence,
    },
    /// Its identity is here already, with other content; nothing was stored.
    Conflict {
        /// The place of the first one; none when that is an earlier shot of a batch that was withheld.
        sequence: Option<Sequence>,
    },
    /// Nothing is wrong with it, but its batch has a conflict; nothing was stored.
    Withheld,
}

pub(super) type ShotsReply<P> =
    oneshot::Sender<Result<Vec<ShotOutcome<<P as Projection>::Receipt>>, WriteError>>;
pub(super) type ActOutcome<P> =
    Result<(Sequence, <P as Projection>::Receipt), ActError<<P as Projection>::Refusal>>;

/// Shots that ask to be stored.
pub(super) struct ShotsAsk<P: Projection> {
    pub(super) shots: Vec<NewShot>,
    pub(super) batch: Batch,
    pub(super) wanted: ReceiptWanted,
    pub(super) reply: ShotsReply<P>,
    /// Their room in the queue, given back with the answer.
    pub(super) room: OwnedSemaphorePermit,
}

/// An act that asks to happen.
pub(super) struct ActAsk<P: Projection> {
    pub(super) act: Box<Act>,
    pub(super) condition: P::Condition,
    pub(super) reply: oneshot::Sender<ActOutcome<P>>,
}

/// Who waits for a group.
pub(super) enum Waiting<P: Projection> {
    Shots {
        verdicts: Vec<Verdict>,
        wanted: ReceiptWanted,
        reply: ShotsReply<P>,
        room: OwnedSemaphorePermit,
    },
    Act(oneshot::Sender<ActOutcome<P>>),
}

/// What the identity check says about a shot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    New,
    Duplicate(Sequence),
    Conflict(Sequence),
    ConflictInBatch,
    Withheld,
}

/// A group that is being gathered.
pub(super) struct Group<P: Projection> {
    pub(super) first: Sequence,
    pub(super) frames: Vec<(Frame, Mark)>,
    pub(super) waiting: Vec<Waiting<P>>,
}

impl<P: Projection> Group<P> {
    /// An empty group after the frame `last`.
    pub(super) const fn after(last: Sequence) -> Self {
        let first = Sequence::new(last.get() + 1);
        Self { first, frames: Vec::new(), waiting: Vec::new() }
    }

    /// The sequence of the next frame that joins.
    pub(super) const fn next(&self) -> Sequence {
        Sequence::new(self.first.get() + self.frames.len() as u64)
    }

    /// The frame with this sequence, if it is in the group.
    pub(super) fn frame(&self, sequence: Sequence) -> Option<&Frame> {
        let nth = sequence.get().checked_sub(self.first.get())?;
        self.frames.get(usize::try_from(nth).ok()?).map(|(frame, _)| frame)
    }
}

impl<P: Projection> Waiting<P> {
    /// Answers that an act may not happen.
    pub(super) fn refuse(self, refusal: P::Refusal) {
        if let Self::Act(reply) = self {
            drop(reply.send(Err(ActError::Refused(refusal))));
        }
    }

    /// Answers that nothing was stored.
    pub(super) fn fail(self, error: WriteError) {
        // A caller that no longer waits needs no answer.
        match self {
            Self::Shots { reply, .. } => drop(reply.send(Err(error))),
            Self::Act(reply) => drop(reply.send(Err(ActError::Write(error)))),
        }
    }
}
