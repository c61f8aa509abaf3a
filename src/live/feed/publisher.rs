//! The thread that tells all readers of what happens.

use std::{sync::Arc, time::Duration};

use tokio::time::sleep;

use super::{FeedError, Shared};

/// What the delivery of one event to one reader takes of a core, about. Events that come while readers
/// still take the last ones go out together, so that many readers cost a bounded number of wakes.
const READERS_A_MILLISECOND: usize = 50;
/// The longest that an event waits for others.
const LONGEST_PACE: Duration = Duration::from_millis(25);

/// Tells of frames as they are shown by the store, until some cannot be read.
///
/// # Errors
/// What is stored cannot be read; nobody was told of it, nor of what comes after.
pub(super) async fn publish(shared: Arc<Shared>) -> Result<(), FeedError> {
    let mut news = shared.teller.news();
    loop {
        let Some((published, readers)) = shared.readers.published() else {
            shared.readers.came.notified().await;
            continue;
        };
        let last = shared.teller.last();
        if published >= last {
            tokio::select! {
                () = shared.readers.came.notified() => {}
                changed = news.changed() => if changed.is_err() { return Ok(()) },
            }
            continue;
        }
        let (events, upto) = shared.teller.read(published, last)?;
        shared.readers.deliver(&events, upto, &*shared.teller.wording);
        let pace = pace(readers);
        if !pace.is_zero() {
            sleep(pace).await;
        }
    }
}

fn pace(readers: usize) -> Duration {
    let pace = Duration::from_millis((readers / READERS_A_MILLISECOND) as u64);
    pace.min(LONGEST_PACE)
}
