//! Answers that readers watch: worked out once for all who watch the same, when something touched
//! their player, and at most four times a second.

use std::{
    collections::{HashMap, VecDeque},
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
    live::{Live, LiveError, ReadError, lock},
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
    watched: Mutex<Entries>,
    /// Wakes the thread when there is something to be worked out at once.
    fresh: Notify,
}

#[derive(Default)]
struct Entries {
    by_board: HashMap<Board, Entry>,
    /// Those that a reader has begun to watch who waits for them.
    fresh: VecDeque<Board>,
}

impl Boards {
    /// Has a reader watch a board: it gets what is known at once.
    pub(super) fn watch(&self, board: Board, watcher: Watcher) {
        let ends = board.what == Watched::Trials;
        let mut watched = lock(&self.watched);
        let entry = watched.by_board.entry(board.clone()).or_default();
        if !entry.join(watcher, ends) && entry.begin_waiting() {
            watched.fresh.push_back(board);
            self.fresh.notify_one();
        }
    }

    /// Lets a reader go, and the boards that nobody watches any more.
    pub(super) fn leave(&self, reader: u64) {
        lock(&self.watched).by_board.retain(|_, entry| entry.leave(reader));
    }

    fn all(&self) -> Vec<Board> {
        lock(&self.watched).by_board.keys().cloned().collect()
    }

    /// When the first of those that failed is tried again.
    fn again(&self) -> Option<Instant> {
        lock(&self.watched).by_board.values().filter_map(Entry::again).min()
    }

    /// Works out what was touched of a round's boards; between two of them those that a reader has begun
    /// to watch, who so waits for no round. Leaves off where the feed ends.
    fn work_out(&self, shared: &Shared, mut round: Vec<Board>) {
        while !shared.has_ended_already()
            && let Some(board) = self.next(&mut round)
        {
            self.work_out_one(shared, &board);
        }
    }

    /// The next board that a reader waits for, even if it failed a moment before; else the next of the
    /// round, unless it failed and has its pause.
    fn next(&self, round: &mut Vec<Board>) -> Option<Board> {
        let mut watched = lock(&self.watched);
        let Entries { by_board, fresh } = &mut *watched;
        while let Some(board) = fresh.pop_front() {
            if by_board.get_mut(&board).is_some_and(Entry::end_waiting) {
                return Some(board);
            }
        }
        let now = Instant::now();
        while let Some(board) = round.pop() {
            let entry = by_board.get(&board);
            if entry.is_some_and(|entry| entry.again().is_none_or(|again| again <= now)) {
                return Some(board);
            }
        }
        None
    }

    fn work_out_one(&self, shared: &Shared, board: &Board) {
        let entry = |entry: &Entry| (entry.as_of(), entry.since());
        let Some((before, since)) = lock(&self.watched).by_board.get(board).map(entry) else {
            return;
        };
        let answers = answers(shared, board, (before, since));
        let mut watched = lock(&self.watched);
        let Some(entry) = watched.by_board.get_mut(board) else { return };
        match answers {
            Ok(None) => {}
            Ok(Some(Answers { shown, as_of, are_all: true })) => {
                // Where it is not shown, it is among the fresh ones for who has come meanwhile.
                entry.show(shown, (since, as_of));
            }
            Ok(Some(Answers { shown, as_of, are_all: false })) => {
                entry.show_part(shown, (since, as_of));
                entry.fail(Instant::now());
            }
            Err(error) => {
                shared.note_failure("boards", &error.to_string());
                entry.fail(Instant::now());
            }
        }
    }
}

/// What was worked out of a board.
struct Answers {
    shown: Vec<Shown>,
    /// The last sequence that touched the player before that.
    as_of: Sequence,
    /// Whether none is lacking.
    are_all: bool,
}

/// What a board is about, each with the sequence that ended it, if that has ended.
type Topics = Vec<(Topic, Option<Sequence>)>;

/// The answers of a board, as of `before` until now, with what has ended behind `since`. Nothing where
/// the player was not touched, or the feed ends meanwhile.
fn answers(
    shared: &Shared,
    board: &Board,
    (before, since): (Option<Sequence>, Sequence),
) -> Result<Option<Answers>, LiveError> {
    let touched = touched(shared.teller.live(), board, (before, since))?;
    let Some((as_of, topics)) = touched else { return Ok(None) };
    let mut answers = Answers { shown: Vec::with_capacity(topics.len()), as_of, are_all: true };
    for (topic, ended) in topics {
        if shared.has_ended_already() {
            return Ok(None);
        }
        let worded = catch_unwind(AssertUnwindSafe(|| {
            shared.teller.wording.board(shared.teller.live(), board, &topic)
        }));
        // One that cannot be worked out leaves the others alone.
        let cause = match worded {
            Ok(Ok(text)) => {
                answers.shown.extend(text.map(|text| Shown { topic, ended, text }));
                continue;
            }
            Ok(Err(error)) => error.to_string(),
            Err(_) => String::from("a fault of the program; the log has it"),
        };
        shared.note_failure("boards", &cause);
        answers.are_all = false;
    }
    Ok(Some(answers))
}

/// The last sequence that touched a board's player, and what the board is about; nothing where that was
/// the last before too.
fn touched(
    live: &Live,
    board: &Board,
    (before, since): (Option<Sequence>, Sequence),
) -> Result<Option<(Sequence, Topics)>, LiveError> {
    let as_of = of_who_is_there(live.player_as_of(&board.player))?;
    if before == Some(as_of) {
        return Ok(None);
    }
    let topics = match board.what {
        Watched::Trials => {
            let trials = of_who_is_there(live.trials_since(&board.player, since))?.into_iter();
            trials.map(|(id, ended)| (Topic::Trial(id), ended)).collect()
        }
        _ => vec![(Topic::All, None)],
    };
    Ok(Some((as_of, topics)))
}

/// What is known of a player: of one who is gone nothing, which is no failure.
fn of_who_is_there<T: Default>(known: Result<T, ReadError>) -> Result<T, LiveError> {
    match known {
        Err(ReadError::State(error)) => Err(error),
        known => Ok(known.unwrap_or_default()),
    }
}

/// Works boards out as their players are touched.
pub(super) async fn keep_current(shared: Arc<Shared>) -> Result<(), FeedError> {
    let mut news = shared.teller.news();
    // What a round before this one left undone is done at once.
    let mut touched = true;
    let mut next = Instant::now();
    loop {
        let again = shared.boards.again();
        tokio::select! {
            () = shared.boards.fresh.notified() => {
                shared.boards.work_out(&shared, Vec::new());
            }
            changed = news.changed(), if !touched => match changed {
                Ok(()) => touched = true,
                Err(_) => return Ok(()),
            },
            // What failed is tried again in a round.
            () = sleep_until(again.unwrap_or(next)), if !touched && again.is_some() => touched = true,
            () = sleep_until(next), if touched => {
                touched = false;
                shared.boards.work_out(&shared, shared.boards.all());
                next = Instant::now() + PACE;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn a_player_who_is_gone_is_no_failure_and_a_state_that_cannot_be_read_is_one() {
        let gone = ReadError::ErasedPlayer(PlayerId::parse("rowan").unwrap());
        let unreadable = ReadError::State(LiveError::Unreadable("a bad spot"));
        let at = Sequence::new(7);
        assert_eq!(of_who_is_there(Ok(at)).ok(), Some(at));
        assert_eq!(of_who_is_there::<Sequence>(Err(gone)).ok(), Some(Sequence::default()));
        assert!(of_who_is_there::<Sequence>(Err(unreadable)).is_err());
    }
}
