//! Keeps the feed's threads at work: what fails begins anew after a pause, a bounded number of times.

use std::{
    future::Future,
    io,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::Arc,
    thread::{self, JoinHandle},
    time::{Duration, Instant},
};

use tokio::{
    runtime::{self, Runtime},
    time::sleep,
};

use super::{FeedError, Shared, inbox::End};

/// Beginnings anew before the feed is given up.
const BEGINNINGS: u32 = 5;
/// Work that went on for so long has not failed again, but anew.
const CALM: Duration = Duration::from_mins(1);
/// The first pause before work begins anew; each further one is three times as long, some 6 s together.
/// Tests have less patience.
const PAUSE: Duration = Duration::from_millis(if cfg!(test) { 1 } else { 50 });

/// A thread that works until the feed ends.
pub(super) fn spawn<F: Future<Output = Result<(), FeedError>> + 'static>(
    name: &'static str,
    shared: &Arc<Shared>,
    work: fn(Arc<Shared>) -> F,
) -> io::Result<JoinHandle<()>> {
    let runtime = runtime::Builder::new_current_thread().enable_time().build()?;
    let shared = Arc::clone(shared);
    thread::Builder::new()
        .name(name.to_owned())
        .spawn(move || keep_at_it(&runtime, &shared, (name, work)))
}

fn keep_at_it<F: Future<Output = Result<(), FeedError>>>(
    runtime: &Runtime,
    shared: &Arc<Shared>,
    (name, work): (&str, fn(Arc<Shared>) -> F),
) {
    let mut failures = 0;
    loop {
        let begun = Instant::now();
        let done = catch_unwind(AssertUnwindSafe(|| {
            runtime.block_on(async {
                tokio::select! {
                    () = shared.has_ended() => Ok(()),
                    done = work(Arc::clone(shared)) => done,
                }
            })
        }));
        let cause = match done {
            Ok(Ok(())) => return,
            // Readers wait where they are: nobody was told of a part.
            Ok(Err(error)) => error.to_string(),
            Err(_) => {
                // Some may have been told and others not: each goes on from where it knows that it is.
                shared.readers.end(End::Failed);
                String::from("a fault of the program; the log has it")
            }
        };
        shared.note_failure(name, &cause);
        failures = if begun.elapsed() < CALM { failures + 1 } else { 1 };
        if failures > BEGINNINGS {
            shared.give_up(&cause);
            return;
        }
        runtime.block_on(async {
            tokio::select! {
                () = shared.has_ended() => {}
                () = sleep(PAUSE * 3_u32.pow(failures - 1)) => {}
            }
        });
    }
}
