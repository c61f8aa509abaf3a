//! Brings the table after the journal, step by step, on a thread of its own.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use super::error::TableError;
use super::panic::panic_message;
use super::projection::Projection;
use super::shared::{Shared, Step};

/// A step of this many frames is full: the writer waits for the applier when so many have not been handed to it.
pub(super) const STEP_FRAMES: u64 = 1_000;
/// The rest between two steps, so that what changes with every shot is written once for many (measured: with a step for
/// every small group the table took half of the service's time). What it lacks after a crash is folded at the start.
const REST: Duration = Duration::from_millis(100);

/// The writer's end of the applier. One step is under way at most.
pub(super) struct Applier {
    steps: Option<SyncSender<Step>>,
    news: Receiver<News>,
    thread: Option<JoinHandle<()>>,
    state: State,
}

/// What the applier does now.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Working,
    Resting,
    Rested,
}

/// What the applier's thread says.
enum News {
    Done(Result<(), TableError>),
    Rested,
}

impl Applier {
    /// Starts the thread. `nudge` is called after the rest that follows every step.
    pub(super) fn start<P: Projection>(
        shared: Arc<Shared<P>>,
        nudge: impl Fn() + Send + 'static,
    ) -> io::Result<Self> {
        let (steps, queue) = sync_channel::<Step>(1);
        let (say, news) = channel();
        let thread = thread::Builder::new().name("store-applier".to_owned());
        let thread = thread.spawn(move || work(&shared, &queue, &say, &nudge))?;
        Ok(Self { steps: Some(steps), news, thread: Some(thread), state: State::Rested })
    }

    /// Whether a step should begin now that so many frames wait for it: a full one once the last is done, another after
    /// the rest. An error is what ended the last one, and there will be no other.
    pub(super) fn is_due(&mut self, waiting: u64) -> Result<bool, TableError> {
        while let Ok(news) = self.news.try_recv() {
            self.hear(news)?;
        }
        Ok(match self.state {
            State::Working => false,
            State::Resting => waiting >= STEP_FRAMES,
            State::Rested => waiting > 0,
        })
    }

    /// Waits until a step could begin.
    pub(super) fn wait(&mut self) -> Result<(), TableError> {
        while self.state == State::Working {
            let news = self.news.recv().map_err(|_| gone())?;
            self.hear(news)?;
        }
        Ok(())
    }

    fn hear(&mut self, news: News) -> Result<(), TableError> {
        match news {
            News::Done(outcome) => {
                self.state = State::Resting;
                outcome
            }
            // A step may have begun meanwhile.
            News::Rested if self.state == State::Resting => {
                self.state = State::Rested;
                Ok(())
            }
            News::Rested => Ok(()),
        }
    }

    /// Begins a step; to be called when idle.
    pub(super) fn begin(&mut self, step: Step) -> Result<(), TableError> {
        let sent = self.steps.as_ref().map(|steps| steps.send(step));
        self.state = State::Working;
        sent.and_then(Result::ok).ok_or_else(gone)
    }
}

impl Drop for Applier {
    fn drop(&mut self) {
        self.steps = None;
        if let Some(thread) = self.thread.take() {
            // A panic there was reported as the outcome of its step.
            drop(thread.join());
        }
    }
}

/// Commits steps until there are no more.
fn work<P: Projection>(
    shared: &Shared<P>,
    queue: &Receiver<Step>,
    say: &Sender<News>,
    nudge: &dyn Fn(),
) {
    let mut next = queue.recv().ok();
    while let Some(step) = next {
        if say.send(News::Done(commit(shared, &step))).is_err() {
            return;
        }
        next = match queue.recv_timeout(REST) {
            Ok(step) => Some(step),
            Err(RecvTimeoutError::Disconnected) => None,
            Err(RecvTimeoutError::Timeout) => {
                // A writer that is gone asks for nothing more.
                drop(say.send(News::Rested));
                nudge();
                queue.recv().ok()
            }
        };
    }
}

fn commit<P: Projection>(shared: &Shared<P>, step: &Step) -> Result<(), TableError> {
    let committed = catch_unwind(AssertUnwindSafe(|| shared.commit_step(step)));
    committed.unwrap_or_else(|panic| {
        Err(TableError { file: "table".to_owned(), cause: panic_message(&*panic) })
    })
}

fn gone() -> TableError {
    TableError { file: "table".to_owned(), cause: "the applier has ended".to_owned() }
}
