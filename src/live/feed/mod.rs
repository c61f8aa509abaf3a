//! Who follows what happens, as it happens.
//!
//! What is durable and folded goes out as events in the order of the journal; answers that shots
//! change go out as [`Board`]s, the newest alone. A reader first catches up from the journal, as fast
//! as it takes what it gets, and holds nothing while it does; then it joins those whom one thread
//! tells of each event, by a queue of its own that is bounded: who does not empty it is cut, and
//! nobody waits for anybody. How an event is worded is a port: the rooms above know the forms.

mod boards;
mod event;
mod followed;
mod inbox;
mod publisher;
mod readers;
mod subscription;
mod teller;

use std::{
    future::Future,
    io,
    sync::{Arc, Mutex},
    thread::{self, JoinHandle},
};

use bytes::Bytes;
use thiserror::Error;
use tokio::{runtime, sync::watch};

use super::{Live, ShotView, lock};
use crate::{
    shot::{Event, Sequence},
    store::Store,
};

pub use boards::{Board, Watched};
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
    /// What a board shows now; `None` where there is nothing to show. `before` is the last sequence of
    /// which it was shown, if it was.
    fn board(&self, live: &Live, board: &Board, before: Option<Sequence>) -> Option<Bytes>;
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NoPlace {
    /// There are as many readers as there may be.
    #[error("{most} readers follow already, and that is the limit")]
    Full {
        /// How many there may be.
        most: usize,
    },
    /// The system gives it no threads.
    #[error("events cannot be told")]
    NoThreads,
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
        self.begin()?;
        let number = self.shared.readers.enter(bounds.readers)?;
        let inbox = Arc::new(Inbox::new(bounds.queue));
        Ok(Subscription::new(Arc::clone(&self.shared), (number, name), followed, (after, inbox)))
    }

    /// How it does.
    #[must_use]
    pub fn figures(&self) -> FeedFigures {
        self.shared.readers.figures()
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
        if threads.is_empty() && !*self.shared.ended.borrow() {
            let begun = [
                spawn("publisher", &self.shared, publisher::publish),
                spawn("boards", &self.shared, boards::keep_current),
            ];
            for thread in begun {
                threads.push(thread.map_err(|error| {
                    tracing::error!(%error, "events cannot be told");
                    NoPlace::NoThreads
                })?);
            }
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
}

/// A thread that works until the feed ends; however it ends, nobody waits for it.
fn spawn<F: Future<Output = ()> + 'static>(
    name: &str,
    shared: &Arc<Shared>,
    work: fn(Arc<Shared>) -> F,
) -> io::Result<JoinHandle<()>> {
    let runtime = runtime::Builder::new_current_thread().enable_time().build()?;
    let shared = Arc::clone(shared);
    thread::Builder::new().name(name.to_owned()).spawn(move || {
        let _end = EndAll(Arc::clone(&shared));
        runtime.block_on(async {
            tokio::select! {
                () = shared.has_ended() => {}
                () = work(Arc::clone(&shared)) => {}
            }
        });
    })
}

/// Ends all readers when a thread of the feed is done, or has panicked.
struct EndAll(Arc<Shared>);

impl Drop for EndAll {
    fn drop(&mut self) {
        self.0.readers.close(End::Failed);
    }
}
