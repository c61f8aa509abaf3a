//! A table that another version of the fold made is made anew.

use std::sync::Arc;

use bytes::Bytes;
use evencarry::store::{
    Home, MemoryDisk, MemoryTables, Projection, StoreId, TableChange, TableRecovery, Tables, Tree,
};

use crate::support::{Tally, clock, frames, fresh_fold, open, send, shot};

#[test]
fn what_another_fold_made_of_the_journal_is_set_aside() {
    let (disk, tables) = (Arc::new(MemoryDisk::default()), Arc::new(MemoryTables::default()));
    let home = || Home {
        disk: disk.clone(),
        tables: tables.clone(),
        clock: clock(),
        new_id: StoreId::from_bytes([1; 16]),
    };
    let store = open(home()).unwrap().0;
    send(&store, vec![shot(1, 1, 150), shot(2, 1, 151)]).unwrap();
    drop(store);
    assert_eq!(open(home()).unwrap().1.table, TableRecovery::Current, "the same fold goes on");
    let other = (Tally::VERSION + 1).to_be_bytes();
    for (version, told) in [(&other[..], "version 8"), (&[], "version 0")] {
        // What that fold made is wrong here, and the mark fits the journal.
        let table = tables.open().unwrap();
        let key = Bytes::from_static(b"applied");
        let mark = table.get(Tree::Meta, &key).unwrap().unwrap();
        let mark = [&mark[..12], version].concat().into();
        let sums = table.prefix(Tree::Chunks, b"").unwrap().into_iter();
        let wrong = sums.map(|(key, sum)| (Tree::Chunks, key, Bytes::from(vec![9; sum.len()])));
        let changes: Vec<TableChange> = wrong
            .chain([(Tree::Meta, key, mark)])
            .map(|(tree, key, value)| TableChange { tree, key, value: Some(value) })
            .collect();
        table.commit(&changes).unwrap();
        drop(table);

        let (store, report) = open(home()).unwrap();
        assert_eq!(store.projection().sums(), fresh_fold(&frames(&store)));
        match report.table {
            TableRecovery::Rebuilt { reason, .. } => {
                assert!(reason.contains(told), "{reason}");
            }
            other => panic!("{other:?}"),
        }
        drop(store);
        assert_eq!(open(home()).unwrap().1.table, TableRecovery::Current, "once is enough");
    }
}
