//! Identity, order, batches, acts and reads.

use std::collections::BTreeSet;
use std::sync::Arc;

use bytes::Bytes;
use evencarry::shot::Sequence;
use evencarry::store::{
    ActError, Batch, Entry, Health, Home, MemoryDisk, MemoryTables, NewShot, OpenError, ReadError,
    ReceiptWanted, ShotOutcome, StoreId, Tables, WriteError,
};

use crate::support::{
    REFUSED, act, clock, conflict, duplicate, frames, fresh_fold, identity, memory_store, open,
    run, send, send_batch, shot, stored, text,
};

#[test]
fn a_shot_sent_again_is_a_duplicate_and_other_content_a_conflict() {
    let store = memory_store();
    let list = vec![shot(1, 1, 150), shot(1, 1, 150), shot(1, 1, 151), shot(2, 1, 150)];
    assert_eq!(send(&store, list).unwrap(), [stored(1), duplicate(1), conflict(1), stored(2)]);
    let list = vec![shot(2, 1, 150), shot(2, 1, 151), shot(1, 2, 150)];
    assert_eq!(send(&store, list).unwrap(), [duplicate(2), conflict(2), stored(3)]);
    let spaced = String::from_utf8(text(1, 2, 150).to_vec()).unwrap().replace(": ", " : ");
    let again = NewShot::parse(spaced.into()).unwrap();
    assert_eq!(send(&store, vec![again]).unwrap(), [duplicate(3)]);
}

#[test]
fn duplicates_and_conflicts_are_known_after_a_restart() {
    let (disk, tables) = (Arc::new(MemoryDisk::default()), Arc::new(MemoryTables::default()));
    let home = || Home {
        disk: disk.clone(),
        tables: tables.clone(),
        clock: clock(),
        new_id: StoreId::random(),
    };
    let store = open(home()).unwrap().0;
    let id = store.store_id();
    send(&store, (0..500).map(|id| shot(id % 3, id, 150)).collect()).unwrap();
    assert_eq!(store.close(), Health::Accepting);
    let (store, report) = open(home()).unwrap();
    assert_eq!((store.store_id(), report.last), (id, Sequence::new(500)));
    let list = vec![shot(1, 400, 150), shot(1, 400, 151), shot(1, 501, 150)];
    assert_eq!(send(&store, list).unwrap(), [duplicate(401), conflict(401), stored(501)]);
}

#[test]
fn a_batch_with_a_conflict_stores_nothing_and_says_why() {
    let store = memory_store();
    send(&store, vec![shot(1, 1, 150)]).unwrap();
    let list =
        vec![shot(1, 2, 150), shot(1, 1, 150), shot(1, 1, 151), shot(1, 2, 150), shot(1, 2, 152)];
    let in_batch = ShotOutcome::Conflict { sequence: None };
    let expected =
        [ShotOutcome::Withheld, duplicate(1), conflict(1), ShotOutcome::Withheld, in_batch];
    assert_eq!(send_batch(&store, list).unwrap(), expected);
    assert_eq!(store.last(), Sequence::new(1));
    let list = vec![shot(1, 2, 152), shot(1, 1, 150), shot(1, 3, 150)];
    assert_eq!(send_batch(&store, list).unwrap(), [stored(2), duplicate(1), stored(3)]);
}

#[test]
fn a_batch_beyond_its_bounds_is_refused_and_a_long_list_is_not() {
    let store = memory_store();
    let list: Vec<_> = (0..10_001).map(|id| shot(1, id, 150)).collect();
    let refused = send_batch(&store, list.clone());
    assert!(matches!(refused, Err(WriteError::TooLarge { most: 10_000, .. })), "{refused:?}");
    assert_eq!(send(&store, list).unwrap().last(), Some(&stored(10_001)));
    assert_eq!(send_batch(&store, Vec::new()).unwrap(), []);
}

#[test]
fn a_receipt_tells_the_fold_with_the_shot_in_it() {
    let store = memory_store();
    let list = vec![shot(1, 1, 150), shot(1, 2, 150)];
    let outcomes = run(store.append_shots(list, Batch::Each, ReceiptWanted::Yes)).unwrap();
    let receipt = |number, receipt| ShotOutcome::Stored {
        sequence: Sequence::new(number),
        receipt: Some(receipt),
    };
    assert_eq!(outcomes, [receipt(1, 1), receipt(2, 2)]);
}

#[test]
fn an_act_is_judged_and_takes_its_place_in_the_order() {
    let store = memory_store();
    send(&store, vec![shot(1, 1, 150)]).unwrap();
    let (sequence, receipt) = run(store.append_act(act("phone rang"))).unwrap();
    assert_eq!((sequence, receipt), (Sequence::new(2), 1));
    let refused = run(store.append_act(act(REFUSED)));
    assert!(matches!(refused, Err(ActError::Refused(why)) if why == REFUSED));
    assert_eq!(send(&store, vec![shot(1, 2, 150)]).unwrap(), [stored(3)]);
    let frames = frames(&store);
    assert!(matches!(&frames[1].entry, Entry::Act(held) if **held == act("phone rang")));
    assert_eq!(store.read(Sequence::new(2)).unwrap(), None);
}

#[test]
fn what_is_stored_comes_back_verbatim_with_its_arrival() {
    let store = memory_store();
    send(&store, (0..200).map(|id| shot(1, id, 100 + id)).collect()).unwrap();
    let wanted = [200, 1, 77, 0, 201].map(Sequence::new);
    let shots = wanted.map(|sequence| store.read(sequence).unwrap());
    assert_eq!(shots[0].as_ref().unwrap().text, text(1, 199, 299));
    assert_eq!(shots[1].as_ref().unwrap().text, text(1, 0, 100));
    assert_eq!(shots[2].as_ref().unwrap().arrival, clock()());
    assert_eq!(shots[3..], [None, None]);
    let part = store.scan(Sequence::new(198), 10).unwrap();
    assert_eq!(part.iter().map(|frame| frame.sequence.get()).collect::<Vec<_>>(), [198, 199, 200]);
    assert_eq!(store.verify().unwrap(), 200);
}

#[test]
fn many_senders_at_once_share_one_order_without_gaps() {
    let store = memory_store();
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).build().unwrap();
    let numbers = runtime.block_on(async {
        let senders: Vec<_> = (0..64)
            .map(|source| {
                let store = store.clone();
                tokio::spawn(async move {
                    let mut numbers = Vec::new();
                    for id in 0..50 {
                        let list = vec![shot(source, id, 150)];
                        let sent = store.append_shots(list, Batch::Each, ReceiptWanted::Yes);
                        let outcomes = sent.await.unwrap();
                        let [ShotOutcome::Stored { sequence, receipt }] = &outcomes[..] else {
                            panic!("{outcomes:?}")
                        };
                        assert_eq!(*receipt, Some(u64::from(id) + 1));
                        let (source, id) = identity(source, id);
                        assert_eq!(store.find(&source, &id).unwrap(), Some(*sequence));
                        numbers.push(sequence.get());
                    }
                    assert!(numbers.is_sorted());
                    numbers
                })
            })
            .collect();
        let mut all = BTreeSet::new();
        for sender in senders {
            all.extend(sender.await.unwrap());
        }
        all
    });
    assert_eq!(numbers, (1..=3_200).collect());
    assert_eq!(store.projection().sums(), fresh_fold(&frames(&store)));
}

#[test]
fn closing_brings_the_table_up_to_the_journal_and_ends_writing() {
    let store = memory_store();
    send(&store, (0..1_500).map(|id| shot(1, id, 150)).collect()).unwrap();
    let other = store.clone();
    assert_eq!(store.close(), Health::Accepting);
    assert_eq!(other.projection().committed(), 1_500);
    let refused = send(&other, vec![shot(1, 9_999, 150)]);
    assert!(matches!(refused, Err(WriteError::Unavailable { .. })), "{refused:?}");
    assert!(other.read(Sequence::new(1_500)).unwrap().is_some());
}

fn long_shot(id: u32) -> NewShot {
    let pad = "x".repeat(16_000);
    let text = format!(
        r#"{{"id": "{id:06}", "source": "bay-1", "time": "2026-04-11T10:15:04Z", "flight": {{"carry_m": 150}}, "ext": {{"pad": "{pad}"}}}}"#
    );
    NewShot::parse(Bytes::from(text)).unwrap()
}

#[test]
fn a_long_journal_goes_on_in_further_segments() {
    let (disk, tables) = (Arc::new(MemoryDisk::default()), Arc::new(MemoryTables::default()));
    let home = || Home {
        disk: disk.clone(),
        tables: tables.clone(),
        clock: clock(),
        new_id: StoreId::random(),
    };
    let store = open(home()).unwrap().0;
    for start in (0..4_800).step_by(100) {
        send(&store, (start..start + 100).map(long_shot).collect()).unwrap();
    }
    let segments = evencarry::store::Disk::list(&*disk, "journal").unwrap();
    assert_eq!(segments.len(), 3, "{segments:?}");
    let all = store.projection().sums();
    assert_eq!(store.verify().unwrap(), 4_800);
    drop(store);
    for table_is_lost in [false, true] {
        if table_is_lost {
            tables.set_aside().unwrap();
        }
        let store = open(home()).unwrap().0;
        assert_eq!(store.projection().sums(), all);
        for nth in [1, 2_099, 2_100, 2_101, 2_102, 4_800] {
            let shot = store.read(Sequence::new(nth)).unwrap().unwrap();
            let id = format!(r#""id": "{:06}""#, nth - 1);
            assert!(String::from_utf8(shot.text.to_vec()).unwrap().contains(&id));
        }
    }

    let sealed = evencarry::store::Disk::open(&*disk, &format!("journal/{}", segments[0])).unwrap();
    sealed.write_at(b"?", 1_000_000).unwrap();
    let store = open(home()).unwrap().0;
    assert!(matches!(store.verify(), Err(ReadError::Damaged { .. })));
    assert!(store.read(Sequence::new(1_000)).unwrap().is_some(), "other frames can still be read");
    drop(store);
    tables.set_aside().unwrap();
    let error = open(home()).err().expect("it folded over damage");
    assert!(matches!(error, OpenError::Damaged { .. }), "{error}");
}
