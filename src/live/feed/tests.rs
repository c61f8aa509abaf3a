//! What fails, and what ends, with a wording that can be made to.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::{
    sync::{
        Mutex,
        atomic::{AtomicBool, AtomicUsize, Ordering::SeqCst},
        mpsc::{Receiver, Sender, channel},
    },
    time::Duration,
};

use super::*;
use crate::{
    live::{LiveError, ROWS_KEPT},
    shot::{ClubId, PlayerId, Units},
    store::{Batch, NewShot, ReceiptWanted},
};

const BOUNDS: Bounds = Bounds { readers: 100, queue: 100 };
/// How long anything may take before a test fails: far more than it needs.
const PATIENCE: Duration = Duration::from_secs(20);

/// A wording that panics at shots while it is told to, and until it is mended at the club `bad`; until then
/// the club `unread` cannot be read. Each board waits for leave.
#[derive(Default)]
struct Faulty {
    bad_shots: AtomicBool,
    mended: AtomicBool,
    boards: AtomicUsize,
    /// Says which club's board is begun, and waits until it may go on.
    gate: Option<Mutex<(Sender<ClubId>, Receiver<()>)>>,
}

impl Wording for Faulty {
    fn item(&self, _: &ShotView, _: Event, text: Bytes) -> Option<Bytes> {
        Some(text)
    }

    fn shot(&self, sequence: Sequence, _: &Bytes) -> Bytes {
        assert!(!self.bad_shots.load(SeqCst), "a shot that cannot be worded");
        format!("{sequence} ").into()
    }

    fn correction(&self, _: &Correction<'_>) -> Bytes {
        Bytes::new()
    }

    fn board(&self, _: &Live, board: &Board, _: &Topic) -> Result<Option<Bytes>, FeedError> {
        self.boards.fetch_add(1, SeqCst);
        let Watched::Profile(club) = &board.what else { return Ok(None) };
        if let Some(gate) = &self.gate {
            let gate = lock(gate);
            gate.0.send(club.clone()).unwrap();
            gate.1.recv_timeout(PATIENCE).unwrap();
        }
        match club.as_str() {
            "bad" if !self.mended.load(SeqCst) => panic!("an answer that cannot be worded"),
            "unread" if !self.mended.load(SeqCst) => {
                Err(LiveError::Unreadable("a bad spot").into())
            }
            _ => Ok(Some(format!("{club} ").into())),
        }
    }
}

fn feed(wording: &Arc<Faulty>) -> (Feed, Store<Live>) {
    let clock = Arc::new(|| "2026-04-11T12:00:00Z".parse().unwrap());
    let store = Store::in_memory(clock, |chunks| Ok(Live::load(chunks, ROWS_KEPT).unwrap()));
    let store = store.unwrap();
    (Feed::new(store.clone(), Arc::clone(wording) as Arc<dyn Wording>), store)
}

fn reader(feed: &Feed, after: u64) -> Subscription {
    let place = (Sequence::new(after), String::from("a reader"));
    feed.subscribe(Followed::default(), place, BOUNDS).unwrap()
}

fn board(club: &str) -> Board {
    let player = PlayerId::parse("rowan").unwrap();
    let what = Watched::Profile(ClubId::parse(club).unwrap());
    Board { player, what, units: Units::Si }
}

fn wait<T>(work: impl Future<Output = T>) -> T {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
    let in_time = runtime.block_on(async { tokio::time::timeout(PATIENCE, work).await });
    in_time.unwrap()
}

fn send(store: &Store<Live>, id: u32) {
    let text = format!(
        r#"{{"id":"{id}","source":"bay-3","player":"rowan","club":"5h","time":"2026-04-11T10:15:04Z","flight":{{"carry_m":158.3}}}}"#
    );
    let shot = NewShot::parse(text.into()).unwrap();
    wait(store.append_shots(vec![shot], Batch::Each, ReceiptWanted::No)).unwrap();
}

fn piece(text: &'static str) -> Delivery {
    Delivery::Piece(Bytes::from_static(text.as_bytes()))
}

#[test]
fn a_panic_ends_the_readers_and_not_the_feed() {
    let wording = Arc::new(Faulty::default());
    let (feed, store) = feed(&wording);
    let mut first = reader(&feed, 0);
    assert_eq!(first.skip_to_now(), Ok(()));
    send(&store, 1);
    assert_eq!(wait(first.next()), piece("1 "));
    wording.bad_shots.store(true, SeqCst);
    send(&store, 2);
    assert_eq!(wait(first.next()), Delivery::End(End::Failed));
    assert_eq!(first.place(), Sequence::new(1), "it goes on behind what it had");
    wording.bad_shots.store(false, SeqCst);
    let mut again = reader(&feed, first.place().get());
    assert_eq!(again.catch_up().unwrap(), Caught::Piece(Bytes::from_static(b"2 ")));
    assert_eq!(again.catch_up().unwrap(), Caught::Up);
    send(&store, 3);
    assert_eq!(wait(again.next()), piece("3 "));
    assert_eq!((feed.figures().failures, feed.trouble()), (1, None));
}

#[test]
fn a_feed_that_fails_again_and_again_is_given_up_and_says_why() {
    let wording = Arc::new(Faulty { bad_shots: AtomicBool::new(true), ..Faulty::default() });
    let (feed, store) = feed(&wording);
    let deadline = std::time::Instant::now() + PATIENCE;
    for id in 0.. {
        assert!(std::time::Instant::now() < deadline, "it is never given up");
        let place = (store.last(), String::from("a reader"));
        match feed.subscribe(Followed::default(), place, BOUNDS) {
            Ok(mut reader) => {
                if reader.skip_to_now().is_ok() {
                    send(&store, id);
                    assert_eq!(wait(reader.next()), Delivery::End(End::Failed));
                }
            }
            Err(error) => {
                assert_eq!(error, NoPlace::Failed { cause: feed.trouble().unwrap().to_owned() });
                break;
            }
        }
    }
    assert!(feed.figures().failures > 5);
    assert_eq!(feed.figures().readers, 0);
}

#[test]
fn an_answer_that_cannot_be_worked_out_leaves_the_others_alone() {
    let wording = Arc::new(Faulty::default());
    let (feed, _store) = feed(&wording);
    let mut reader = reader(&feed, 0);
    reader.watch(board("bad"));
    let deadline = std::time::Instant::now() + PATIENCE;
    while feed.figures().failures == 0 {
        assert!(std::time::Instant::now() < deadline, "it never fails");
        std::thread::yield_now();
    }
    for club in ["5h", "4u"] {
        reader.watch(board(club));
    }
    let mut told = String::new();
    while told.len() < 6 {
        let Delivery::Piece(text) = wait(reader.next()) else { panic!("the reader is ended") };
        told.push_str(std::str::from_utf8(&text).unwrap());
    }
    assert!(told.contains("5h ") && told.contains("4u "), "{told}");
    assert_eq!(feed.trouble(), None);
}

#[test]
fn an_answer_that_could_not_be_worked_out_is_tried_again_after_a_pause() {
    for club in ["bad", "unread"] {
        let wording = Arc::new(Faulty::default());
        let (feed, _store) = feed(&wording);
        let mut reader = reader(&feed, 0);
        let begun = std::time::Instant::now();
        reader.watch(board(club));
        // Nothing touches the player meanwhile.
        while feed.figures().failures < 2 {
            assert!(begun.elapsed() < PATIENCE, "{club} is not tried again");
            std::thread::yield_now();
        }
        // The thread counts on while this one is held up: what it has done, then how long it had for it.
        let failures = feed.figures().failures;
        let most = begun.elapsed().as_millis() / 250 + 1;
        assert!(u128::from(failures) <= most, "{club}: {failures} failures, {most} at most");
        wording.mended.store(true, SeqCst);
        let Delivery::Piece(told) = wait(reader.next()) else { panic!("the reader is ended") };
        assert_eq!(told, format!("{club} "));
        assert_eq!(feed.trouble(), None);
    }
}

#[test]
fn a_new_reader_waits_for_one_answer_and_not_for_a_round() {
    let ((begun, is_begun), (go_on, may_go_on)) = (channel(), channel());
    let gate = Some(Mutex::new((begun, may_go_on)));
    let wording = Arc::new(Faulty { gate, ..Faulty::default() });
    let (feed, store) = feed(&wording);
    let mut reader = reader(&feed, 0);
    for club in 0..20 {
        reader.watch(board(&format!("c{club}")));
    }
    for _ in 0..20 {
        is_begun.recv_timeout(PATIENCE).unwrap();
        go_on.send(()).unwrap();
    }
    // All are touched; while the first is worked out somebody comes.
    send(&store, 1);
    is_begun.recv_timeout(PATIENCE).unwrap();
    reader.watch(board("new"));
    go_on.send(()).unwrap();
    assert_eq!(is_begun.recv_timeout(PATIENCE).unwrap().as_str(), "new");
    feed.close();
    go_on.send(()).unwrap();
}

#[test]
fn a_stop_waits_for_one_answer_and_not_for_all_that_are_watched() {
    let ((begun, is_begun), (go_on, may_go_on)) = (channel(), channel());
    let gate = Some(Mutex::new((begun, may_go_on)));
    let wording = Arc::new(Faulty { gate, ..Faulty::default() });
    let (feed, _store) = feed(&wording);
    let mut reader = reader(&feed, 0);
    for club in 0..20 {
        reader.watch(board(&format!("c{club}")));
    }
    // The first may have been begun alone; all others are due when the next one is.
    is_begun.recv_timeout(PATIENCE).unwrap();
    go_on.send(()).unwrap();
    is_begun.recv_timeout(PATIENCE).unwrap();
    feed.close();
    go_on.send(()).unwrap();
    feed.stop();
    assert_eq!(wording.boards.load(SeqCst), 2);
}
