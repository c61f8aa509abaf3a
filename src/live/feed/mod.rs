//! Who follows what happens, as it happens.
//!
//! What is durable and folded goes out as events in the order of the journal; answers that shots
//! change go out as [`Board`]s, the newest alone. A reader first catches up from the journal, as fast
//! as it takes what it gets, and holds nothing while it does; then it joins those whom one thread
//! tells of each event, by a queue of its own that is bounded: who does not empty it is cut, and
//! nobody waits for anybody. How an event is worded is a port: the rooms above know the forms. A thread
//! that fails begins anew, a bounded number of times; then nobody is told anything until a restart, and
//! whoever asks is told why.

mod boards;
mod event;
mod followed;
mod inbox;
mod publisher;
mod readers;
mod subscription;
mod supervisor;
mod teller;
#[cfg(test)]
mod tests;

use std::{
    sync::{
        Arc, Mutex, OnceLock,
        atomic::{AtomicU64, Ordering::Relaxed},
    },
    thread::JoinHandle,
};

use bytes::Bytes;
use thiserror::Error;
use tokio::sync::watch;

use super::{Live, ShotView, lock};
use crate::{
    shot::{Event, Sequence},
    store::Store,
};

pub use boards::{Board, Topic, Watched};
pub use event::Correction;
pub use followed::Followed;
pub use inbox::{Delivery, End};
pub use subscription::{Caught, Subscription};
pub use teller::FeedError;

use boards::Boards;
use inbox::Inbox;
use readers::Readers;
use teller::Teller;

/// How events are worded.
pub trait Wording: Send + Sync + 'static {
    /// A shot as lists show it; `None` where it cannot be written.
    fn item(&self, view: &ShotView, event: Event, text: Bytes) -> Option<Bytes>;
    /// The event of a shot that came in.
    fn shot(&self, sequence: Sequence, item: &Bytes) -> Bytes;
    /// The event of an act on shots.
    fn correction(&self, correction: &Correction<'_>) -> Bytes;
    /// What a board says of a topic now; `None` where there is nothing to say.
    ///
    /// # Errors
    /// It cannot be worked out or written, which may be so for a moment alone.
    fn board(&self, live: &Live, board: &Board, topic: &Topic) -> Result<Option<Bytes>, FeedError>;
}

/// What readers may take up at most.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Readers at one time.
    pub readers: usize,
    /// Events that wait for one reader.
    pub queue: usize,
}

/// Why nobody can be told anything.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NoPlace {
    /// There are as many readers as there may be.
    #[error("{most} readers follow already, and that is the limit")]
    Full {
        /// How many there may be.
        most: usize,
    },
    /// The system gives it no threads; later it may.
    #[error("events cannot be told: the system gives no threads for it")]
    NoThreads,
    /// It failed again and again.
    #[error("events cannot be told until a restart: {cause}")]
    Failed {
        /// Why, the last time.
        cause: String,
    },
}

/// How the feed does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeedFigures {
    /// Readers now.
    pub readers: usize,
    /// Events and boards that were given to readers.
    pub sent: u64,
    /// Readers that were cut since they were too slow.
    pub cut: u64,
    /// Times that telling, or working out a board, failed; mostly it began anew.
    pub failures: u64,
}

/// All who follow. Its threads begin with the first reader.
pub struct Feed {
    shared: Arc<Shared>,
    threads: Mutex<Vec<JoinHandle<()>>>,
}

/// What threads and readers share.
struct Shared {
    teller: Teller,
    readers: Readers,
    boards: Boards,
    ended: watch::Sender<bool>,
    failures: AtomicU64,
    /// Why it was given up.
    trouble: OnceLock<String>,
}

impl Feed {
    /// A feed of what a store holds.
    #[must_use]
    pub fn new(store: Store<Live>, wording: Arc<dyn Wording>) -> Self {
        let shared = Shared {
            teller: Teller::new(store, wording),
            readers: Readers::default(),
            boards: Boards::default(),
            ended: watch::Sender::new(false),
            failures: AtomicU64::new(0),
            trouble: OnceLock::new(),
        };
        Self { shared: Arc::new(shared), threads: Mutex::default() }
    }

    /// A reader of what happens after `after`, which is no later than the store's last. `name` is what
    /// the log calls it.
    ///
    /// # Errors
    /// [`NoPlace`].
    pub fn subscribe(
        &self,
        followed: Followed,
        (after, name): (Sequence, String),
        bounds: Bounds,
    ) -> Result<Subscription, NoPlace> {
        if let Some(cause) = self.trouble() {
            return Err(NoPlace::Failed { cause: cause.to_owned() });
        }
        self.begin()?;
        let number = self.shared.readers.enter(bounds.readers)?;
        let inbox = Arc::new(Inbox::new(bounds.queue));
        Ok(Subscription::new(Arc::clone(&self.shared), (number, name), followed, (after, inbox)))
    }

    /// How it does.
    #[must_use]
    pub fn figures(&self) -> FeedFigures {
        FeedFigures {
            failures: self.shared.failures.load(Relaxed),
            ..self.shared.readers.figures()
        }
    }

    /// Why nobody is told anything until a restart, if so.
    #[must_use]
    pub fn trouble(&self) -> Option<&str> {
        self.shared.trouble.get().map(String::as_str)
    }

    /// Ends it for all readers, who are told, and for those who still come.
    pub fn close(&self) {
        self.shared.close();
    }

    /// The same, and waits until its threads are done.
    pub fn stop(&self) {
        self.close();
        for thread in std::mem::take(&mut *lock(&self.threads)) {
            // What went wrong there is in the log.
            drop(thread.join());
        }
    }

    fn begin(&self) -> Result<(), NoPlace> {
        let mut threads = lock(&self.threads);
        // Who comes after the end is told so by its subscription.
        if self.shared.has_ended_already() {
            return Ok(());
        }
        let shared = &self.shared;
        let no_threads = |error| {
            tracing::error!(%error, "events cannot be told");
            NoPlace::NoThreads
        };
        if threads.is_empty() {
            let begun = supervisor::spawn("publisher", shared, publisher::publish);
            threads.push(begun.map_err(no_threads)?);
        }
        // The system may have had one and not the other.
        if threads.len() == 1 {
            let begun = supervisor::spawn("boards", shared, boards::keep_current);
            threads.push(begun.map_err(no_threads)?);
        }
        Ok(())
    }
}

impl Drop for Feed {
    fn drop(&mut self) {
        self.stop();
    }
}

impl Shared {
    fn close(&self) {
        // Before the threads end, whose end means failure.
        self.readers.close(End::Stopping);
        self.ended.send_replace(true);
    }

    /// Ends when the feed does.
    async fn has_ended(&self) {
        // The sender cannot be gone: it belongs to us.
        drop(self.ended.subscribe().wait_for(|ended| *ended).await);
    }

    /// Whether the feed has ended.
    fn has_ended_already(&self) -> bool {
        *self.ended.borrow()
    }

    /// Notes that some work failed.
    fn note_failure(&self, work: &str, cause: &str) {
        self.failures.fetch_add(1, Relaxed);
        tracing::error!(work, cause, "what readers should be told failed");
    }

    /// Ends it until a restart, for a reason.
    fn give_up(&self, cause: &str) {
        tracing::error!(cause, "nobody is told of what happens until a restart");
        // The first cause is the one that counts.
        drop(self.trouble.set(cause.to_owned()));
        self.readers.close(End::Failed);
        self.ended.send_replace(true);
    }
}
