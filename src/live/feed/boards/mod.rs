//! Answers that readers watch: worked out once for all who watch the same, when something touched
//! their player, and at most four times a second.

use std::{
    collections::HashMap,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{Arc, Mutex},
    time::Duration,
};

use tokio::{
    sync::Notify,
    time::{Instant, sleep_until},
};

use super::{FeedError, Shared};
use crate::{
    live::lock,
    shot::{ClubId, PlayerId, Sequence, TrialId, Units},
};

mod board;

pub(super) use board::Watcher;
use board::{Entry, Shown};

/// The least time between two rounds: a burst of shots costs one answer.
const PACE: Duration = Duration::from_millis(250);

/// Answers that readers watch together.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Board {
    /// Whose.
    pub player: PlayerId,
    /// What of the player's.
    pub what: Watched,
    /// In which units.
    pub units: Units,
}

/// What of a player's is watched.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Watched {
    /// What a club does.
    Profile(ClubId),
    /// Who can take a club's place under the usual brief.
    Verdict {
        /// The club whose place is wanted.
        incumbent: ClubId,
        /// The clubs that are tried; of none, all neighbours.
        candidates: Vec<ClubId>,
    },
    /// The trials that go on, and once more those that have ended.
    Trials,
    /// Whether clubs carry as they did.
    Drifts,
}

/// What an answer of a board is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Topic {
    /// All that the board is about.
    All,
    /// One of the player's trials.
    Trial(TrialId),
}

/// All boards that somebody watches.
#[derive(Default)]
pub(super) struct Boards {
    entries: Mutex<HashMap<Board, Entry>>,
    /// Wakes the thread when there is something to be worked out at once.
    fresh: Notify,
}

impl Boards {
    /// Has a reader watch a board: it gets what is known at once.
    pub(super) fn watch(&self, board: Board, watcher: Watcher) {
        let ends = board.what == Watched::Trials;
        let mut entries = lock(&self.entries);
        if !entries.entry(board).or_default().join(watcher, ends) {
            self.fresh.notify_one();
        }
    }

    /// Lets a reader go, and the boards that nobody watches any more.
    pub(super) fn leave(&self, reader: u64) {
        lock(&self.entries).retain(|_, entry| entry.leave(reader));
    }

    /// Works out the boards that `due` picks by what they are as of; leaves off where the feed ends.
    fn work_out(&self, shared: &Shared, due: impl Fn(Option<Sequence>) -> bool) {
        let all = lock(&self.entries);
        let due = all.iter().filter(|(_, entry)| due(entry.as_of()));
        let due: Vec<_> =
            due.map(|(board, entry)| (board.clone(), entry.as_of(), entry.since())).collect();
        drop(all);
        for (board, before, since) in due {
            // Of a player who is gone there is nothing to show.
            let as_of = shared.teller.live().player_as_of(&board.player).unwrap_or_default();
            if before == Some(as_of) {
                continue;
            }
            let Some(shown) = answers(shared, &board, since) else { return };
            if let Some(entry) = lock(&self.entries).get_mut(&board)
                && !entry.show(shown, (since, as_of))
            {
                self.fresh.notify_one();
            }
        }
    }
}

/// The answers of a board, with what has ended behind `since`; nothing where the feed ends meanwhile.
fn answers(shared: &Shared, board: &Board, since: Sequence) -> Option<Vec<Shown>> {
    let topics = match board.what {
        // A player who is gone has no trials.
        Watched::Trials => {
            let trials = shared.teller.live().trials_since(&board.player, since);
            let trials = trials.unwrap_or_default().into_iter();
            trials.map(|(id, ended)| (Topic::Trial(id), ended)).collect()
        }
        _ => vec![(Topic::All, None)],
    };
    let mut shown = Vec::with_capacity(topics.len());
    for (topic, ended) in topics {
        if shared.has_ended_already() {
            return None;
        }
        // One that cannot be worked out for a fault of the program leaves the others alone.
        let worded = catch_unwind(AssertUnwindSafe(|| {
            shared.teller.wording.board(shared.teller.live(), board, &topic)
        }));
        match worded {
            Ok(text) => shown.extend(text.map(|text| Shown { topic, ended, text })),
            Err(_) => shared.note_failure("boards", "an answer that is watched was lost"),
        }
    }
    Some(shown)
}

/// Works boards out as their players are touched.
pub(super) async fn keep_current(shared: Arc<Shared>) -> Result<(), FeedError> {
    let mut news = shared.teller.news();
    // What a round before this one left undone is done at once.
    let mut touched = true;
    let mut next = Instant::now();
    loop {
        tokio::select! {
            () = shared.boards.fresh.notified() => {
                shared.boards.work_out(&shared, |as_of| as_of.is_none());
            }
            changed = news.changed(), if !touched => match changed {
                Ok(()) => touched = true,
                Err(_) => return Ok(()),
            },
            () = sleep_until(next), if touched => {
                touched = false;
                shared.boards.work_out(&shared, |_| true);
                next = Instant::now() + PACE;
            }
        }
    }
}
