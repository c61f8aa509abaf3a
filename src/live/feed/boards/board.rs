//! One board: what it shows, and what each of its readers has of that.

use std::{sync::Arc, time::Duration};

use bytes::Bytes;
use tokio::time::Instant;

use super::Topic;
use crate::{live::feed::inbox::Inbox, shot::Sequence};

/// The pause before a board that failed is tried again; each further one is twice as long.
const PAUSE: Duration = Duration::from_millis(250);
/// The longest pause.
const LONGEST_PAUSE: Duration = Duration::from_secs(30);

/// A board that somebody watches.
#[derive(Default)]
pub(super) struct Entry {
    /// The last sequence that touched the player when it was worked out; nothing where that is due.
    as_of: Option<Sequence>,
    /// What has ended behind this is told with the next answers.
    since: Sequence,
    shown: Vec<Shown>,
    watching: Vec<Watcher>,
    /// Whether one of them has come who waits for it to be worked out.
    is_awaited: bool,
    trouble: Option<Trouble>,
}

/// A board of which some answers could not be worked out.
struct Trouble {
    /// How long the pause after this failure is.
    pause: Duration,
    /// When it is tried again.
    again: Instant,
}

/// An answer as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Shown {
    pub(super) topic: Topic,
    /// The sequence that ended what it is about, if that has ended: it is told to who was there before.
    pub(super) ended: Option<Sequence>,
    pub(super) text: Bytes,
}

/// A reader of a board.
pub(in crate::live::feed) struct Watcher {
    reader: u64,
    /// The board's place among those of the reader.
    place: usize,
    /// It knows what has ended up to here.
    since: Sequence,
    /// Whether it was given anything yet.
    is_new: bool,
    inbox: Arc<Inbox>,
}

impl Watcher {
    /// A reader whose `place`th board it is, and who knows what has ended up to `since`.
    pub(in crate::live::feed) fn new(
        (reader, place): (u64, usize),
        since: Sequence,
        inbox: &Arc<Inbox>,
    ) -> Self {
        Self { reader, place, since, is_new: true, inbox: Arc::clone(inbox) }
    }

    /// Gives it answers, each with whether it is news to who has had the last ones.
    fn take<'a>(&mut self, answers: impl Iterator<Item = (&'a Shown, bool)>) {
        for (shown, is_news) in answers {
            let knows_the_end = shown.ended.is_some_and(|ended| ended <= self.since);
            if (is_news || self.is_new) && !knows_the_end {
                self.inbox.put(self.place, &shown.topic, shown.text.clone());
            }
        }
        self.is_new = false;
    }
}

impl Entry {
    pub(super) fn as_of(&self) -> Option<Sequence> {
        self.as_of
    }

    pub(super) fn since(&self) -> Sequence {
        self.since
    }

    /// Takes a reader in, who gets what is shown. False where that is to be worked out for it: there is
    /// nothing yet, or, where things end, some may have ended since the reader was there.
    pub(super) fn join(&mut self, mut watcher: Watcher, ends: bool) -> bool {
        let known = self.as_of.filter(|as_of| !ends || watcher.since >= *as_of);
        if let Some(as_of) = known {
            watcher.take(self.shown.iter().map(|shown| (shown, true)));
            // It was shown no later state, however late it came.
            watcher.since = as_of;
        } else {
            let is_first = self.watching.is_empty();
            self.since = if is_first { watcher.since } else { self.since.min(watcher.since) };
            self.as_of = None;
        }
        self.watching.push(watcher);
        known.is_some()
    }

    /// Notes that a reader waits for it; false if one did before.
    pub(super) fn begin_waiting(&mut self) -> bool {
        !std::mem::replace(&mut self.is_awaited, true)
    }

    /// Notes that it is worked out for who waits for it; false if nobody does.
    pub(super) fn end_waiting(&mut self) -> bool {
        std::mem::take(&mut self.is_awaited)
    }

    /// Lets a reader go; false if it was the last.
    pub(super) fn leave(&mut self, reader: u64) -> bool {
        self.watching.retain(|watcher| watcher.reader != reader);
        !self.watching.is_empty()
    }

    /// Shows what was worked out as of a sequence, with what had ended behind `since`. False, and
    /// nothing is shown, where a reader has come meanwhile who was there before that.
    pub(super) fn show(&mut self, shown: Vec<Shown>, (since, as_of): (Sequence, Sequence)) -> bool {
        let is_shown = self.give(shown, since);
        if is_shown {
            for watcher in &mut self.watching {
                watcher.since = as_of;
            }
            self.as_of = Some(as_of);
            self.since = as_of;
            self.trouble = None;
        }
        is_shown
    }

    /// Shows what could be worked out, as [`Entry::show`] does; what is lacking may have ended before that,
    /// so nobody knows more than it did.
    pub(super) fn show_part(&mut self, shown: Vec<Shown>, (since, as_of): (Sequence, Sequence)) {
        if self.give(shown, since) {
            for watcher in &mut self.watching {
                watcher.since = watcher.since.min(as_of);
            }
            self.since = self.since.min(as_of);
        }
    }

    /// Has it tried again after a pause.
    pub(super) fn fail(&mut self, now: Instant) {
        let longer = self.trouble.as_ref().map(|trouble| (trouble.pause * 2).min(LONGEST_PAUSE));
        let pause = longer.unwrap_or(PAUSE);
        self.trouble = Some(Trouble { pause, again: now + pause });
        self.as_of = None;
    }

    /// When it is tried again, if some answers could not be worked out.
    pub(super) fn again(&self) -> Option<Instant> {
        self.trouble.as_ref().map(|trouble| trouble.again)
    }

    /// Gives all readers what is news to them, unless one has come meanwhile who was there before `since`.
    fn give(&mut self, shown: Vec<Shown>, since: Sequence) -> bool {
        if self.since < since {
            return false;
        }
        let news: Vec<bool> = shown.iter().map(|shown| !self.shown.contains(shown)).collect();
        for watcher in &mut self.watching {
            watcher.take(shown.iter().zip(news.iter().copied()));
        }
        self.shown = shown;
        true
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::sync::atomic::AtomicU64;

    use super::*;
    use crate::{live::feed::Delivery, shot::TrialId};

    fn at(sequence: u64) -> Sequence {
        Sequence::new(sequence)
    }

    fn trial(id: u64, ended: Option<u64>, text: &'static str) -> Shown {
        let topic = Topic::Trial(TrialId::of(at(id)));
        Shown { topic, ended: ended.map(at), text: Bytes::from_static(text.as_bytes()) }
    }

    /// A reader's inbox, and a way to join.
    fn reader(number: u64, since: u64) -> (Arc<Inbox>, Watcher) {
        let inbox = Arc::new(Inbox::new(10));
        let watcher = Watcher::new((number, 0), at(since), &inbox);
        (inbox, watcher)
    }

    fn told(inbox: &Inbox) -> String {
        inbox.end(crate::live::feed::End::Stopping);
        let next = async { inbox.next(&mut Sequence::new(0), &AtomicU64::new(0)).await };
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        match runtime.block_on(next) {
            Delivery::Piece(text) => String::from_utf8(text.to_vec()).unwrap(),
            Delivery::End(_) => String::new(),
        }
    }

    #[test]
    fn a_reader_is_told_of_what_ended_since_it_was_there_and_of_nothing_before() {
        let mut board = Entry::default();
        let (new, joins) = reader(0, 60);
        assert!(!board.join(joins, true));
        assert!(board.show(vec![trial(1, None, "1 goes on. ")], (at(60), at(60))));
        let (back, joins) = reader(1, 30);
        assert!(!board.join(joins, true), "something may have ended since 30");
        assert_eq!(board.since(), at(30));
        let all = vec![trial(1, None, "1 goes on. "), trial(2, Some(50), "2 ended. ")];
        assert!(board.show(all, (at(30), at(60))));
        assert_eq!(told(&back), "1 goes on. 2 ended. ");
        assert_eq!(told(&new), "1 goes on. ");
    }

    #[test]
    fn an_end_is_told_once() {
        let mut board = Entry::default();
        let (first, joins) = reader(0, 10);
        board.join(joins, true);
        assert!(board.show(vec![trial(1, Some(20), "1 ended. ")], (at(10), at(20))));
        let (second, joins) = reader(1, 5);
        board.join(joins, true);
        assert!(board.show(vec![trial(1, Some(20), "1 ended, again. ")], (at(5), at(20))));
        assert_eq!(told(&first), "1 ended. ");
        assert_eq!(told(&second), "1 ended, again. ");
    }

    #[test]
    fn who_was_shown_an_older_state_is_told_of_an_end_before_it_came() {
        let mut board = Entry::default();
        let (_, joins) = reader(0, 10);
        board.join(joins, true);
        assert!(board.show(vec![trial(1, None, "1 goes on. ")], (at(10), at(10))));
        // The trial has ended by now, and the board is not worked out anew yet.
        let (late, joins) = reader(1, 30);
        assert!(board.join(joins, true));
        assert!(board.show(vec![trial(1, Some(20), "1 ended. ")], (at(10), at(30))));
        assert_eq!(told(&late), "1 ended. ");
    }

    #[test]
    fn who_waited_for_a_board_knows_no_more_than_it_shows() {
        let mut board = Entry::default();
        let (late, joins) = reader(0, 30);
        board.join(joins, true);
        assert!(board.show(vec![trial(1, None, "1 goes on. ")], (at(30), at(10))));
        assert!(board.show(vec![trial(1, Some(20), "1 ended. ")], (board.since(), at(30))));
        assert_eq!(told(&late), "1 ended. ");
    }

    #[test]
    fn who_was_shown_a_part_of_an_older_state_is_told_of_an_end_before_it_came() {
        let mut board = Entry::default();
        let (late, joins) = reader(0, 30);
        board.join(joins, true);
        board.show_part(vec![trial(1, None, "1 goes on. ")], (at(30), at(10)));
        assert_eq!(board.since(), at(10), "what has ended behind that is asked for");
        assert!(board.show(vec![trial(1, Some(20), "1 ended. ")], (at(10), at(30))));
        assert_eq!(told(&late), "1 ended. ");
    }

    #[test]
    fn what_is_lacking_is_told_when_it_is_there_and_the_rest_before() {
        let mut board = Entry::default();
        let (inbox, joins) = reader(0, 10);
        board.join(joins, true);
        board.show_part(vec![trial(2, None, "2 goes on. ")], (at(10), at(30)));
        board.fail(Instant::now());
        assert_eq!((board.as_of(), board.since()), (None, at(10)), "it is due once more");
        let all = vec![trial(1, Some(20), "1 ended. "), trial(2, None, "2 goes on. ")];
        assert!(board.show(all, (at(10), at(30))));
        assert_eq!(told(&inbox), "2 goes on. 1 ended. ");
    }

    #[test]
    fn a_board_that_fails_is_tried_again_after_longer_and_longer_pauses() {
        let mut board = Entry::default();
        let now = Instant::now();
        assert_eq!(board.again(), None);
        let pauses: Vec<u128> = (0..9)
            .map(|_| {
                board.fail(now);
                (board.again().unwrap() - now).as_millis()
            })
            .collect();
        assert_eq!(pauses, [250, 500, 1_000, 2_000, 4_000, 8_000, 16_000, 30_000, 30_000]);
        assert!(board.show(Vec::new(), (at(0), at(1))));
        assert_eq!(board.again(), None);
        board.fail(now);
        assert_eq!((board.again().unwrap() - now).as_millis(), 250, "it failed anew");
    }

    #[test]
    fn answers_that_were_begun_before_a_reader_came_are_let_go_if_they_lack_what_it_missed() {
        let mut board = Entry::default();
        let (_, joins) = reader(0, 60);
        board.join(joins, true);
        let (back, joins) = reader(1, 30);
        board.join(joins, true);
        assert!(!board.show(vec![trial(1, None, "1 goes on. ")], (at(60), at(60))));
        assert_eq!(board.as_of(), None, "it is due once more");
        assert!(board.show(vec![trial(2, Some(50), "2 ended. ")], (board.since(), at(60))));
        assert_eq!(told(&back), "2 ended. ");
    }
}
