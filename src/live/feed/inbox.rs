//! What waits for one reader: events in order, bounded, and the newest answer of each board.

use std::{
    collections::VecDeque,
    sync::{
        Mutex,
        atomic::{AtomicU64, Ordering::Relaxed},
    },
};

use bytes::{Bytes, BytesMut};
use tokio::sync::Notify;

use super::boards::Topic;
use crate::{live::lock, shot::Sequence};

/// What a reader is given at one time, in bytes, unless a single event is longer.
const PIECE_BYTES: usize = 64 * 1024;

/// Why a reader gets no more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// It left more events waiting than may wait.
    Slow,
    /// The service stops.
    Stopping,
    /// What is stored cannot be read.
    Failed,
}

/// What a reader is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Delivery {
    /// Events, boards after them.
    Piece(Bytes),
    /// Nothing any more.
    End(End),
}

/// The inbox of a reader.
pub(super) struct Inbox {
    waiting: Mutex<Waiting>,
    wake: Notify,
    most: usize,
}

#[derive(Default)]
struct Waiting {
    events: VecDeque<(Sequence, Bytes)>,
    /// All that the reader follows up to here was put in.
    upto: Sequence,
    /// The newest answers of boards, by the board's place among those that the reader follows.
    boards: Vec<((usize, Topic), Bytes)>,
    end: Option<End>,
}

impl Inbox {
    /// An inbox in which so many events may wait.
    pub(super) fn new(most: usize) -> Self {
        Self { waiting: Mutex::default(), wake: Notify::new(), most }
    }

    /// Puts in all that the reader follows up to `upto`; false if that is too much: then what waited is
    /// let go, and the reader has come to its end.
    pub(super) fn push(
        &self,
        events: impl Iterator<Item = (Sequence, Bytes)>,
        upto: Sequence,
    ) -> bool {
        let mut waiting = lock(&self.waiting);
        let before = waiting.events.len();
        for event in events {
            if waiting.events.len() == self.most {
                *waiting = Waiting { end: Some(End::Slow), ..Waiting::default() };
                self.wake.notify_one();
                return false;
            }
            waiting.events.push_back(event);
        }
        waiting.upto = upto;
        if waiting.events.len() > before {
            self.wake.notify_one();
        }
        true
    }

    /// Puts a board's newest answer in, in place of the one on the same that still waits.
    pub(super) fn put(&self, board: usize, topic: &Topic, text: Bytes) {
        let mut waiting = lock(&self.waiting);
        if waiting.end.is_some() {
            return;
        }
        let is_same = |(at, about): &(usize, Topic)| *at == board && about == topic;
        match waiting.boards.iter_mut().find(|(known, _)| is_same(known)) {
            Some((_, known)) => *known = text,
            None => waiting.boards.push(((board, topic.clone()), text)),
        }
        self.wake.notify_one();
    }

    /// Says that nothing more comes; what waits is still given.
    pub(super) fn end(&self, end: End) {
        lock(&self.waiting).end.get_or_insert(end);
        self.wake.notify_one();
    }

    /// How far a reader is that has been given all that waits; `place` stays where something does.
    pub(super) fn settle(&self, place: &mut Sequence) {
        lock(&self.waiting).settle(place);
    }

    /// Waits for what comes next. Up to `place` the reader was given all that it follows, and `sent`
    /// counts.
    pub(super) async fn next(&self, place: &mut Sequence, sent: &AtomicU64) -> Delivery {
        loop {
            if let Some(delivery) = self.take(place, sent) {
                return delivery;
            }
            self.wake.notified().await;
        }
    }

    fn take(&self, place: &mut Sequence, sent: &AtomicU64) -> Option<Delivery> {
        let mut waiting = lock(&self.waiting);
        let mut texts: Vec<Bytes> = Vec::new();
        let mut bytes = 0;
        while bytes < PIECE_BYTES
            && let Some((sequence, text)) = waiting.events.pop_front()
        {
            bytes += text.len();
            *place = sequence;
            texts.push(text);
        }
        if waiting.events.is_empty() {
            waiting.settle(place);
            texts.extend(std::mem::take(&mut waiting.boards).into_iter().map(|(_, text)| text));
        }
        if texts.is_empty() {
            return waiting.end.map(Delivery::End);
        }
        drop(waiting);
        sent.fetch_add(texts.len() as u64, Relaxed);
        Some(Delivery::Piece(joined(texts)))
    }
}

impl Waiting {
    fn settle(&self, place: &mut Sequence) {
        // Of a reader that is cut nothing is known any more: what waited was let go.
        if self.events.is_empty() {
            *place = self.upto.max(*place);
        }
    }
}

/// Texts as one; a single one is shared and not copied.
fn joined(mut texts: Vec<Bytes>) -> Bytes {
    if texts.len() == 1 {
        return texts.swap_remove(0);
    }
    let mut all = BytesMut::with_capacity(texts.iter().map(Bytes::len).sum());
    for text in texts {
        all.extend_from_slice(&text);
    }
    all.freeze()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn events(range: std::ops::Range<u64>) -> impl Iterator<Item = (Sequence, Bytes)> {
        range.map(|at| (Sequence::new(at), Bytes::from(format!("{at} "))))
    }

    fn push(inbox: &Inbox, range: std::ops::Range<u64>) -> bool {
        let last = Sequence::new(range.end - 1);
        inbox.push(events(range), last)
    }

    fn taken(inbox: &Inbox) -> Option<Delivery> {
        inbox.take(&mut Sequence::new(0), &AtomicU64::new(0))
    }

    fn piece(text: &'static str) -> Delivery {
        Delivery::Piece(Bytes::from_static(text.as_bytes()))
    }

    #[test]
    fn events_come_in_order_and_boards_after_them_the_newest_alone() {
        let inbox = Inbox::new(10);
        inbox.put(1, &Topic::All, Bytes::from_static(b"old "));
        inbox.put(1, &Topic::All, Bytes::from_static(b"new "));
        assert!(push(&inbox, 1..4));
        assert_eq!(taken(&inbox), Some(piece("1 2 3 new ")));
        assert_eq!(taken(&inbox), None);
    }

    #[test]
    fn an_answer_on_one_trial_takes_no_other_ones_place() {
        let inbox = Inbox::new(10);
        let trial = |at| Topic::Trial(crate::shot::TrialId::of(Sequence::new(at)));
        inbox.put(0, &trial(1), Bytes::from_static(b"1 is closed "));
        inbox.put(0, &trial(2), Bytes::from_static(b"2 is open "));
        inbox.put(0, &trial(2), Bytes::from_static(b"2 is paused "));
        assert_eq!(taken(&inbox), Some(piece("1 is closed 2 is paused ")));
    }

    #[test]
    fn the_place_is_as_far_as_all_that_is_followed_was_given() {
        let inbox = Inbox::new(10);
        let (mut place, sent) = (Sequence::new(0), AtomicU64::new(0));
        inbox.push(events(7..9), Sequence::new(20));
        inbox.settle(&mut place);
        assert_eq!(place, Sequence::new(0), "two events still wait");
        inbox.take(&mut place, &sent).unwrap();
        assert_eq!(place, Sequence::new(20), "the others up to 20 are not followed");
        inbox.put(0, &Topic::All, Bytes::from_static(b"board"));
        inbox.take(&mut place, &sent).unwrap();
        inbox.push(events(0..0), Sequence::new(30));
        inbox.settle(&mut place);
        assert_eq!((place, sent.into_inner()), (Sequence::new(30), 3));
    }

    #[test]
    fn a_piece_that_is_full_leaves_the_place_at_its_last_event() {
        let inbox = Inbox::new(10);
        let long = |at| (Sequence::new(at), Bytes::from(vec![b'x'; PIECE_BYTES]));
        inbox.push([long(1), long(5)].into_iter(), Sequence::new(9));
        let (mut place, sent) = (Sequence::new(0), AtomicU64::new(0));
        inbox.take(&mut place, &sent).unwrap();
        assert_eq!(place, Sequence::new(1));
        inbox.take(&mut place, &sent).unwrap();
        assert_eq!(place, Sequence::new(9));
    }

    #[test]
    fn the_place_of_a_reader_that_is_cut_stays_before_what_it_missed() {
        let inbox = Inbox::new(2);
        let mut place = Sequence::new(0);
        assert!(push(&inbox, 1..3));
        assert!(!push(&inbox, 3..4));
        inbox.settle(&mut place);
        assert_eq!(place, Sequence::new(0));
    }

    #[test]
    fn too_many_events_end_it_and_let_go_of_what_waited() {
        let inbox = Inbox::new(3);
        assert!(push(&inbox, 1..4));
        assert!(!push(&inbox, 4..5));
        assert_eq!(taken(&inbox), Some(Delivery::End(End::Slow)));
        inbox.put(0, &Topic::All, Bytes::from_static(b"board"));
        assert_eq!(taken(&inbox), Some(Delivery::End(End::Slow)));
    }

    #[test]
    fn who_is_told_to_stop_is_given_what_waits_first() {
        let inbox = Inbox::new(3);
        push(&inbox, 1..3);
        inbox.end(End::Stopping);
        inbox.end(End::Failed);
        assert_eq!(taken(&inbox), Some(piece("1 2 ")));
        assert_eq!(taken(&inbox), Some(Delivery::End(End::Stopping)));
    }
}
