//! Brings the table after the journal, step by step, on a thread of its own.

use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, TryRecvError, channel, sync_channel};
use std::thread::{self, JoinHandle};

use super::error::TableError;
use super::panic::panic_message;
use super::projection::Projection;
use super::shared::{Shared, Step};

/// The writer's end of the applier. One step is under way at most.
pub(super) struct Applier {
    steps: Option<SyncSender<Step>>,
    done: Receiver<Result<(), TableError>>,
    thread: Option<JoinHandle<()>>,
    busy: bool,
}

impl Applier {
    /// Starts the thread. `nudge` is called after every step.
    pub(super) fn start<P: Projection>(
        shared: Arc<Shared<P>>,
        nudge: impl Fn() + Send + 'static,
    ) -> io::Result<Self> {
        let (steps, queue) = sync_channel::<Step>(1);
        let (report, done) = channel();
        let work = move || {
            for step in queue {
                let outcome = commit(&shared, &step);
                if report.send(outcome).is_err() {
                    break;
                }
                nudge();
            }
        };
        let thread = thread::Builder::new().name("store-applier".to_owned()).spawn(work)?;
        Ok(Self { steps: Some(steps), done, thread: Some(thread), busy: false })
    }

    /// Whether a step could begin now; an error is what ended the last one, and there will be no other.
    pub(super) fn is_idle(&mut self) -> Result<bool, TableError> {
        if self.busy {
            match self.done.try_recv() {
                Err(TryRecvError::Empty) => return Ok(false),
                outcome => self.finish(outcome.unwrap_or_else(|_| Err(gone())))?,
            }
        }
        Ok(true)
    }

    /// Waits until a step could begin.
    pub(super) fn wait(&mut self) -> Result<(), TableError> {
        if self.busy {
            let outcome = self.done.recv();
            self.finish(outcome.unwrap_or_else(|_| Err(gone())))?;
        }
        Ok(())
    }

    fn finish(&mut self, outcome: Result<(), TableError>) -> Result<(), TableError> {
        self.busy = false;
        outcome
    }

    /// Begins a step; to be called when idle.
    pub(super) fn begin(&mut self, step: Step) -> Result<(), TableError> {
        let sent = self.steps.as_ref().map(|steps| steps.send(step));
        self.busy = true;
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

fn commit<P: Projection>(shared: &Shared<P>, step: &Step) -> Result<(), TableError> {
    let committed = catch_unwind(AssertUnwindSafe(|| shared.commit_step(step)));
    committed.unwrap_or_else(|panic| {
        Err(TableError { file: "table".to_owned(), cause: panic_message(&*panic) })
    })
}

fn gone() -> TableError {
    TableError { file: "table".to_owned(), cause: "the applier has ended".to_owned() }
}
