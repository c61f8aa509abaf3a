//! Answers that readers watch: worked out once for all who watch the same, when something touched
//! their player, and at most four times a second.

use std::{
    collections::HashMap,
    sync::{Arc, Mutex},
    time::Duration,
};

use bytes::Bytes;
use tokio::{
    sync::Notify,
    time::{Instant, sleep_until},
};

use super::{Shared, inbox::Inbox, teller::Teller};
use crate::{
    live::lock,
    shot::{ClubId, PlayerId, Sequence, Units},
};

/// The least time between two rounds: a burst of shots costs one answer.
const PACE: Duration = Duration::from_millis(250);

/// An answer that readers watch.
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
    /// The trials that are not closed, and those that were closed since.
    Trials,
    /// Whether clubs carry as they did.
    Drifts,
}

/// All boards that somebody watches.
#[derive(Default)]
pub(super) struct Boards {
    entries: Mutex<HashMap<Board, Entry>>,
    /// Wakes the thread when there is a new one.
    fresh: Notify,
}

#[derive(Default)]
struct Entry {
    /// The last sequence that touched the player when it was worked out.
    as_of: Option<Sequence>,
    text: Option<Bytes>,
    watching: Vec<(u64, usize, Arc<Inbox>)>,
}

impl Boards {
    /// Has a reader watch a board, the `place`th of its own: it gets what is known at once.
    pub(super) fn watch(&self, board: Board, (reader, place): (u64, usize), inbox: &Arc<Inbox>) {
        let mut entries = lock(&self.entries);
        let entry = entries.entry(board).or_default();
        entry.watching.push((reader, place, Arc::clone(inbox)));
        match &entry.text {
            Some(text) => inbox.put(place, text.clone()),
            None => self.fresh.notify_one(),
        }
    }

    /// Lets a reader go, and the boards that nobody watches any more.
    pub(super) fn leave(&self, reader: u64) {
        lock(&self.entries).retain(|_, entry| {
            entry.watching.retain(|(watching, ..)| *watching != reader);
            !entry.watching.is_empty()
        });
    }

    /// Works out the boards that `due` picks by what they are as of.
    fn work_out(&self, teller: &Teller, due: impl Fn(Option<Sequence>) -> bool) {
        let all = lock(&self.entries);
        let due = all.iter().filter(|(_, entry)| due(entry.as_of));
        let due: Vec<(Board, Option<Sequence>)> =
            due.map(|(board, entry)| (board.clone(), entry.as_of)).collect();
        drop(all);
        for (board, before) in due {
            // Of a player who is gone there is nothing to show.
            let as_of = teller.live().player_as_of(&board.player).unwrap_or_default();
            if before == Some(as_of) {
                continue;
            }
            let text = teller.wording.board(teller.live(), &board, before);
            if let Some(entry) = lock(&self.entries).get_mut(&board) {
                entry.show(as_of, text);
            }
        }
    }
}

impl Entry {
    fn show(&mut self, as_of: Sequence, text: Option<Bytes>) {
        self.as_of = Some(as_of);
        if text == self.text {
            return;
        }
        if let Some(text) = &text {
            for (_, place, inbox) in &self.watching {
                inbox.put(*place, text.clone());
            }
        }
        self.text = text;
    }
}

/// Works boards out as their players are touched.
pub(super) async fn keep_current(shared: Arc<Shared>) {
    let mut news = shared.teller.news();
    let mut touched = false;
    let mut next = Instant::now();
    loop {
        tokio::select! {
            () = shared.boards.fresh.notified() => {
                shared.boards.work_out(&shared.teller, |as_of| as_of.is_none());
            }
            changed = news.changed(), if !touched => match changed {
                Ok(()) => touched = true,
                Err(_) => return,
            },
            () = sleep_until(next), if touched => {
                touched = false;
                shared.boards.work_out(&shared.teller, |_| true);
                next = Instant::now() + PACE;
            }
        }
    }
}
