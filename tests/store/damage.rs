//! Torn tails are cut, damage is refused by name.

use std::sync::Arc;

use evencarry::shot::Sequence;
use evencarry::store::{Home, MemoryTables, OpenError, StoreId, TableRecovery, Tables};
use proptest::prelude::*;

use crate::fault_disk::{Fault, FaultDisk, Work};
use crate::support::{clock, frames, fresh_fold, identity, open, send, send_batch, shot, stored};

const SEGMENT: &str = "journal/00000000000000000001.journal";

fn home(disk: &FaultDisk, id: u8) -> Home {
    Home {
        disk: Arc::new(disk.clone()),
        tables: Arc::new(MemoryTables::default()) as Arc<dyn Tables>,
        clock: clock(),
        new_id: StoreId::from_bytes([id; 16]),
    }
}

/// Where written bytes end.
fn end(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|&byte| byte != 0).unwrap() + 1
}

/// A journal of two groups, the second all-or-nothing or not; its bytes, and where each group ends.
fn two_groups(second: u32, all_or_nothing: bool) -> (FaultDisk, Vec<u8>, usize, usize) {
    let disk = FaultDisk::with_seed(1);
    let store = open(home(&disk, 1)).unwrap().0;
    assert_eq!(
        send(&store, vec![shot(1, 1, 150), shot(1, 2, 151)]).unwrap(),
        [stored(1), stored(2)]
    );
    let first = end(&disk.bytes(SEGMENT));
    let shots = (3..3 + second).map(|id| shot(1, id, 150)).collect();
    let outcomes = if all_or_nothing { send_batch(&store, shots) } else { send(&store, shots) };
    assert_eq!(outcomes.unwrap().len(), second as usize);
    drop(store);
    let bytes = disk.bytes(SEGMENT);
    let last = end(&bytes);
    (disk, bytes, first, last)
}

#[test]
fn a_tail_torn_at_any_byte_is_cut_after_its_last_whole_frame() {
    let (disk, bytes, first, last) = two_groups(3, false);
    let frame = (last - first) / 3;
    for cut in first..=last {
        let mut torn = bytes.clone();
        torn[cut..].fill(0);
        disk.set_bytes(SEGMENT, &torn);
        let (store, report) = open(home(&disk, 1)).unwrap();
        let whole = (cut - first) / frame;
        assert_eq!(store.last(), Sequence::new(2 + whole as u64), "cut at {cut}");
        assert_eq!(fresh_fold(&frames(&store)), store.projection().sums());
        let kept = first + whole * frame;
        let left = torn[kept..cut].iter().rposition(|&byte| byte != 0).map_or(0, |at| at + 1);
        match report.torn {
            None => assert_eq!(left, 0),
            Some(tail) => {
                assert_eq!((tail.offset, tail.bytes), (kept as u64, left as u64));
                let copy = tail.copy.unwrap();
                let copied = disk.bytes(copy.strip_prefix("fault:").unwrap());
                assert_eq!(copied, torn[kept..kept + left]);
            }
        }
        // The same shots are taken again, and the next start finds nothing torn.
        let missing = (3..6).map(|id| shot(1, id, 150)).collect();
        send(&store, missing).unwrap();
        drop(store);
        let (store, report) = open(home(&disk, 1)).unwrap();
        assert_eq!((report.torn, store.last()), (None, Sequence::new(5)));
    }
}

#[test]
fn an_all_or_nothing_batch_torn_at_any_byte_vanishes_whole() {
    let (disk, bytes, first, last) = two_groups(3, true);
    for cut in first..last {
        let mut torn = bytes.clone();
        torn[cut..].fill(0);
        disk.set_bytes(SEGMENT, &torn);
        let (store, report) = open(home(&disk, 1)).unwrap();
        assert_eq!(store.last(), Sequence::new(2), "cut at {cut}");
        let (source, id) = identity(1, 3);
        assert_eq!(store.find(&source, &id).unwrap(), None);
        if let Some(torn) = report.torn {
            assert_eq!(torn.offset, first as u64);
        }
    }
    disk.set_bytes(SEGMENT, &bytes);
    assert_eq!(open(home(&disk, 1)).unwrap().0.last(), Sequence::new(5));
}

#[test]
fn a_flipped_bit_before_a_good_frame_stops_the_start_and_is_named() {
    let (disk, bytes, first, _) = two_groups(3, false);
    let whole_header = 40;
    for byte in (0..whole_header).chain(64..first) {
        disk.set_bytes(SEGMENT, &bytes);
        disk.flip_bit(SEGMENT, byte, byte % 8);
        let error = open(home(&disk, 1)).err().expect("it opened over damage");
        let OpenError::Damaged { file, bad_offset, good_at } = &error else { panic!("{error}") };
        assert_eq!(file, &format!("fault:{SEGMENT}"));
        assert!(*bad_offset <= byte as u64, "{error}");
        assert!(good_at.starts_with("byte "), "{error}");
        assert_eq!(disk.names("aside").len(), 0, "something was cut");
    }
}

#[test]
fn damage_inside_the_last_group_is_told_from_a_torn_write() {
    let (disk, bytes, first, last) = two_groups(3, false);
    let middle = first + (last - first) / 2;
    disk.flip_bit(SEGMENT, middle, 3);
    let error = open(home(&disk, 1)).err().expect("it opened over damage");
    assert!(matches!(error, OpenError::Damaged { .. }), "{error}");
    disk.set_bytes(SEGMENT, &bytes);
    assert_eq!(open(home(&disk, 1)).unwrap().0.last(), Sequence::new(5));
}

#[test]
fn a_lost_sector_before_a_later_group_is_damage_for_it_was_durable() {
    let (disk, bytes, first, _) = two_groups(3, false);
    let mut holed = bytes;
    holed[64..first].fill(0);
    disk.set_bytes(SEGMENT, &holed);
    let error = open(home(&disk, 1)).err().expect("it opened over damage");
    let good_at = format!("byte {first}");
    assert!(
        matches!(&error, OpenError::Damaged { bad_offset: 64, good_at: at, .. } if *at == good_at),
        "{error}"
    );
}

#[test]
fn a_group_of_another_store_is_never_taken_for_ours() {
    let (disk, bytes, first, last) = two_groups(3, false);
    let other = FaultDisk::with_seed(2);
    let store = open(home(&other, 2)).unwrap().0;
    send(&store, vec![shot(1, 1, 150), shot(1, 2, 151)]).unwrap();
    send(&store, (3..6).map(|id| shot(1, id, 150)).collect()).unwrap();
    drop(store);
    let mut misdirected = bytes;
    misdirected[first..last].copy_from_slice(&other.bytes(SEGMENT)[first..last]);
    disk.set_bytes(SEGMENT, &misdirected);
    let (store, report) = open(home(&disk, 1)).unwrap();
    assert_eq!(store.last(), Sequence::new(2));
    assert_eq!(report.torn.unwrap().offset, first as u64);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn a_group_whose_sectors_came_in_any_order_is_cut_never_refused(
        lost in prop::collection::vec(any::<bool>(), 24),
        all_or_nothing: bool,
    ) {
        let (disk, bytes, first, last) = two_groups(40, all_or_nothing);
        let mut torn = bytes;
        let mut any_lost = false;
        for (sector, _) in lost.iter().enumerate().filter(|(_, lost)| **lost) {
            let start = ((first / 512 + sector) * 512).max(first);
            let end = ((first / 512 + sector + 1) * 512).min(last);
            if start < end {
                torn[start..end].fill(0);
                any_lost = true;
            }
        }
        disk.set_bytes(SEGMENT, &torn);
        let (store, _) = open(home(&disk, 1)).unwrap();
        let shown = store.last().get();
        prop_assert!(!any_lost || shown < 42);
        let whole_or_gone = if any_lost { 2 } else { 42 };
        prop_assert!(!all_or_nothing || shown == whole_or_gone);
        prop_assert_eq!(frames(&store).len() as u64, shown);
        send(&store, (3..43).map(|id| shot(1, id, 150)).collect()).unwrap();
        prop_assert_eq!(store.last(), Sequence::new(42));
    }
}

#[test]
fn a_recovery_that_is_itself_cut_off_at_any_step_ends_in_the_same_answers() {
    let (disk, bytes, first, last) = two_groups(3, false);
    for nth in 0.. {
        let mut torn = bytes.clone();
        torn[last - 5..].fill(0);
        disk.set_bytes(SEGMENT, &torn);
        let mut was_cut = false;
        for again in [nth, nth / 2] {
            disk.fail(Work::Any, again, Fault::Power);
            drop(open(home(&disk, 1)));
            was_cut |= disk.is_dead();
            if disk.is_dead() { disk.power_back() } else { disk.revive() }
        }
        let store = open(home(&disk, 1)).unwrap().0;
        assert_eq!(store.last(), Sequence::new(4), "cut at work {nth}");
        assert!(end(&disk.bytes(SEGMENT)) > first);
        if !was_cut {
            assert!(nth > 5, "the recovery did nothing that could fail");
            return;
        }
    }
}

#[test]
fn a_table_ahead_of_the_journal_is_made_anew() {
    let (disk, bytes, first, _) = two_groups(3, false);
    let tables: Arc<dyn Tables> = Arc::new(MemoryTables::default());
    let with_tables = || Home { tables: Arc::clone(&tables), ..home(&disk, 1) };
    drop(open(with_tables()).unwrap());
    let mut shorter = bytes;
    shorter[first..].fill(0);
    disk.set_bytes(SEGMENT, &shorter);
    let (store, report) = open(with_tables()).unwrap();
    let TableRecovery::Rebuilt { reason, .. } = report.table else { panic!("{report:?}") };
    assert!(reason.contains("ahead of the journal"), "{reason}");
    let (source, id) = identity(1, 3);
    assert_eq!(store.find(&source, &id).unwrap(), None);
    assert_eq!(store.projection().sums(), fresh_fold(&frames(&store)));
}
