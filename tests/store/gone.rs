//! Shots whose content the fold took away: what their identities answer, over restarts, kills and a table made anew.

use std::sync::Arc;

use evencarry::shot::{Act, Sequence};
use evencarry::store::{Home, MemoryTables, StoreId, Tables};

use crate::fault_disk::FaultDisk;
use crate::support::{clock, conflict, duplicate, identity, open, run, send, shot, stored};

fn erase(shot: u64) -> Act {
    Act::EraseShot { shot: Sequence::new(shot) }
}

#[test]
fn a_re_send_of_what_is_gone_is_a_duplicate_also_after_any_restart() {
    let disk = FaultDisk::with_seed(11);
    let tables = Arc::new(MemoryTables::default());
    let home = || Home {
        disk: Arc::new(disk.clone()),
        tables: Arc::clone(&tables) as Arc<dyn Tables>,
        clock: clock(),
        new_id: StoreId::from_bytes([1; 16]),
    };
    let mut store = open(home()).unwrap().0;
    send(&store, vec![shot(1, 1, 150), shot(1, 2, 150)]).unwrap();
    run(store.append_act(erase(1))).unwrap();
    for start in ["none", "in order", "kill", "table made anew"] {
        match start {
            "in order" => drop(store.close()),
            "kill" => {
                disk.kill();
                drop(store);
                disk.revive();
            }
            "table made anew" => {
                drop(store.close());
                tables.set_aside().unwrap();
            }
            _ => drop(store),
        }
        store = open(home()).unwrap().0;
        let (source, id) = identity(1, 1);
        assert_eq!(store.find(&source, &id).unwrap(), None, "{start}");
        assert_eq!(store.find_gone(&source, &id).unwrap(), Some(Sequence::new(1)), "{start}");
        let again = send(&store, vec![shot(1, 1, 150), shot(1, 1, 99), shot(1, 2, 99)]).unwrap();
        assert_eq!(again, [duplicate(1), duplicate(1), conflict(2)], "{start}");
        let (source, id) = identity(2, 1);
        assert_eq!(store.find_gone(&source, &id).unwrap(), None, "{start}");
    }
    assert_eq!(send(&store, vec![shot(2, 1, 150)]).unwrap(), [stored(4)]);
}
