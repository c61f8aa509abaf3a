//! One reader: from its place in the journal to the events as they happen.

use std::sync::{Arc, atomic::Ordering::Relaxed};

use bytes::{Bytes, BytesMut};

use super::{
    Board, Delivery, End, FeedError, Followed, Shared,
    boards::Watcher,
    inbox::Inbox,
    readers::{Join, Member},
};
use crate::shot::Sequence;

/// A piece is given out when it has so many bytes.
const PIECE_BYTES: usize = 64 * 1024;
/// It is given out after so many reads, too, so that a reader of rare events is not silent.
const PIECE_READS: usize = 32;

/// A reader. It leaves when it is dropped.
pub struct Subscription {
    shared: Arc<Shared>,
    number: u64,
    name: String,
    followed: Followed,
    boards: usize,
    /// It was given all that it follows up to here.
    place: Sequence,
    /// It knows what has ended up to here.
    answered: Sequence,
    inbox: Arc<Inbox>,
}

/// How far a reader is that catches up.
#[derive(Debug, PartialEq, Eq)]
pub enum Caught {
    /// Events; there may be more. It may be empty.
    Piece(Bytes),
    /// All there are: what comes from now on is [`next`](Subscription::next).
    Up,
    /// Nothing any more.
    End(End),
}

impl Subscription {
    pub(super) fn new(
        shared: Arc<Shared>,
        (number, name): (u64, String),
        followed: Followed,
        (place, inbox): (Sequence, Arc<Inbox>),
    ) -> Self {
        Self { shared, number, name, followed, boards: 0, place, answered: place, inbox }
    }

    /// It was given all that it follows up to here, whether that was anything or not.
    #[must_use]
    pub fn place(&self) -> Sequence {
        self.place
    }

    /// The same for a reader that has taken all it was given: what it does not follow takes it on too.
    pub fn settle(&mut self) -> Sequence {
        self.inbox.settle(&mut self.place);
        self.place
    }

    /// Reckons with a reader that has been here before and comes back behind its place: what was answered a
    /// moment before that may have been lost. Blocks while it reads when that was.
    pub fn come_back(&mut self) {
        self.answered = self.shared.teller.surely_answered(self.place);
    }

    /// Watches a board too: what it shows comes with the events, at once and when it changes. What has
    /// ended since the reader was there is told as ended.
    pub fn watch(&mut self, board: Board) {
        let watcher = Watcher::new((self.number, self.boards), self.answered, &self.inbox);
        self.shared.boards.watch(board, watcher);
        self.boards += 1;
    }

    /// Reads the next events from the journal, or joins those who have caught up. Blocks while it reads.
    ///
    /// # Errors
    /// What is stored cannot be read.
    pub fn catch_up(&mut self) -> Result<Caught, FeedError> {
        match self.join() {
            Join::Joined => Ok(Caught::Up),
            Join::Closed(end) => Ok(Caught::End(end)),
            Join::Behind => self.read(self.shared.teller.last()).map(Caught::Piece),
        }
    }

    /// Reads the next events up to `upto` from the journal; nothing when all of them were given.
    ///
    /// # Errors
    /// What is stored cannot be read.
    pub fn replay(&mut self, upto: Sequence) -> Result<Option<Bytes>, FeedError> {
        if self.place >= upto || self.shared.readers.closed().is_some() {
            return Ok(None);
        }
        self.read(upto).map(Some)
    }

    /// Passes over what is behind the others, and joins them.
    ///
    /// # Errors
    /// Why nobody is told anything any more.
    pub fn skip_to_now(&mut self) -> Result<(), End> {
        loop {
            match self.join() {
                Join::Joined => return Ok(()),
                Join::Closed(end) => return Err(end),
                Join::Behind => self.place = self.shared.teller.last(),
            }
        }
    }

    /// Waits for what happens next.
    pub async fn next(&mut self) -> Delivery {
        self.inbox.next(&mut self.place, &self.shared.readers.sent).await
    }

    fn join(&self) -> Join {
        let member = Member {
            number: self.number,
            name: self.name.clone(),
            from: self.place,
            followed: self.followed.clone(),
            inbox: Arc::clone(&self.inbox),
        };
        self.shared.readers.join(member, self.shared.teller.last())
    }

    fn read(&mut self, upto: Sequence) -> Result<Bytes, FeedError> {
        let teller = &self.shared.teller;
        let mut piece = BytesMut::new();
        let mut sent = 0;
        for _ in 0..PIECE_READS {
            if piece.len() >= PIECE_BYTES || self.place >= upto {
                break;
            }
            let (events, seen) = teller.read(self.place, upto).inspect_err(|error| {
                self.shared.note_failure("catching up", &error.to_string());
            })?;
            for event in events {
                if let Some(text) = event.told(&self.followed, &*teller.wording) {
                    piece.extend_from_slice(&text);
                    sent += 1;
                }
            }
            self.place = seen;
        }
        self.shared.readers.sent.fetch_add(sent, Relaxed);
        Ok(piece.freeze())
    }
}

impl Drop for Subscription {
    fn drop(&mut self) {
        self.shared.boards.leave(self.number);
        self.shared.readers.leave(self.number);
    }
}
