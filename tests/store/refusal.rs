//! What the store does when the disk says no.

use std::io::ErrorKind;
use std::sync::Arc;

use evencarry::shot::Sequence;
use evencarry::store::{Health, Home, MemoryTables, OpenError, StoreId, WriteError};

use crate::fault_disk::{Fault, FaultDisk, Work};
use crate::support::{act, clock, duplicate, frames, identity, open, run, send, shot, stored};

const SEGMENT: &str = "fault:journal/00000000000000000001.journal";

fn home(disk: &FaultDisk) -> Home {
    let tables = Arc::new(MemoryTables::default());
    let new_id = StoreId::from_bytes([1; 16]);
    Home { disk: Arc::new(disk.clone()), tables, clock: clock(), new_id }
}

/// After this fault nothing is stored, nothing is shown of what failed, and reads go on; the restart is sound.
fn ends_acceptance(work: Work, fault: Fault) {
    let disk = FaultDisk::with_seed(3);
    let store = open(home(&disk)).unwrap().0;
    assert_eq!(send(&store, vec![shot(1, 1, 150)]).unwrap(), [stored(1)]);
    disk.fail(work, 0, fault);
    for shots in [vec![shot(1, 2, 150)], vec![shot(1, 3, 150)], vec![shot(1, 1, 150)]] {
        let Err(WriteError::Unavailable { cause, file }) = send(&store, shots) else {
            panic!("{work:?} {fault:?} was taken lightly");
        };
        assert_eq!(file, SEGMENT);
        assert_eq!(store.health(), Health::Refusing { cause, file });
    }
    assert!(run(store.append_act(act("why not"))).is_err());
    let (source, id) = identity(1, 2);
    assert_eq!(store.find(&source, &id).unwrap(), None);
    assert_eq!(store.last(), Sequence::new(1));
    assert_eq!(frames(&store).len(), 1);
    assert!(store.read(Sequence::new(1)).unwrap().is_some());
    assert_eq!(store.read(Sequence::new(2)).unwrap(), None);
    drop(store);

    let (store, _) = open(home(&disk)).unwrap();
    assert_eq!(store.health(), Health::Accepting);
    send(&store, vec![shot(1, 2, 150), shot(1, 3, 150)]).unwrap();
    assert_eq!(send(&store, vec![shot(1, 1, 150)]).unwrap(), [duplicate(1)]);
    drop(store);
    // What the restart took over from memory of the system must have reached the disk by now.
    disk.power_back();
    assert_eq!(open(home(&disk)).unwrap().0.last(), Sequence::new(3));
}

#[test]
fn a_failed_sync_ends_acceptance_until_a_restart() {
    ends_acceptance(Work::Sync, Fault::Error(ErrorKind::Other));
}

#[test]
fn a_failed_write_ends_acceptance_until_a_restart() {
    ends_acceptance(Work::Write, Fault::Error(ErrorKind::Other));
    ends_acceptance(Work::Write, Fault::Error(ErrorKind::StorageFull));
}

#[test]
fn a_short_write_ends_acceptance_until_a_restart() {
    ends_acceptance(Work::Write, Fault::ShortWrite);
}

#[test]
fn frames_seen_after_a_failed_sync_are_made_durable_by_the_restart() {
    let disk = FaultDisk::with_seed(4);
    let store = open(home(&disk)).unwrap().0;
    disk.fail(Work::Sync, 0, Fault::Error(ErrorKind::Other));
    assert!(send(&store, vec![shot(1, 1, 150)]).is_err());
    drop(store);
    let store = open(home(&disk)).unwrap().0;
    let shown = store.last();
    assert_eq!(shown, Sequence::new(1), "the system still held it");
    drop(store);
    disk.power_back();
    assert_eq!(open(home(&disk)).unwrap().0.last(), shown);
}

#[test]
fn nothing_is_shown_folded_or_answered_before_its_sync_has_returned() {
    let disk = FaultDisk::with_seed(7);
    let store = open(home(&disk)).unwrap().0;
    let (source, id) = identity(1, 1);
    disk.hold_syncs();
    let sender = std::thread::spawn({
        let store = store.clone();
        move || send(&store, vec![shot(1, 1, 150)])
    });
    disk.until_a_sync_waits();
    assert_eq!(store.find(&source, &id).unwrap(), None);
    assert_eq!(store.last(), Sequence::new(0));
    assert_eq!(store.read(Sequence::new(1)).unwrap(), None);
    assert!(store.scan(Sequence::new(1), 10).unwrap().is_empty());
    assert!(store.projection().sums().is_empty());
    assert!(!sender.is_finished());
    disk.let_syncs_go();
    assert_eq!(sender.join().unwrap().unwrap(), [stored(1)]);
    assert_eq!(store.find(&source, &id).unwrap(), Some(Sequence::new(1)));
}

#[test]
fn a_full_disk_refuses_for_as_long_as_it_is_full() {
    let disk = FaultDisk::with_seed(5);
    let store = open(home(&disk)).unwrap().0;
    disk.fail(Work::Allocate, 0, Fault::Error(ErrorKind::StorageFull));
    let full = send(&store, vec![shot(1, 1, 150), shot(2, 1, 150)]);
    assert!(matches!(full, Err(WriteError::Full { .. })), "{full:?}");
    assert!(matches!(store.health(), Health::Full { .. }));
    let (source, id) = identity(1, 1);
    assert_eq!(store.find(&source, &id).unwrap(), None);
    assert_eq!(
        send(&store, vec![shot(2, 1, 150), shot(1, 1, 150)]).unwrap(),
        [stored(1), stored(2)]
    );
    assert_eq!(store.health(), Health::Accepting);
}

#[test]
fn a_disk_that_takes_no_files_is_said_to_be_read_only() {
    let disk = FaultDisk::with_seed(6);
    disk.fail(Work::Create, 0, Fault::Error(ErrorKind::ReadOnlyFilesystem));
    let error = open(home(&disk)).err().expect("it opened");
    assert!(matches!(error, OpenError::ReadOnly { .. }), "{error}");
}
