//! An archive on its way in, stopped at every work of the disk: all of it is stored, or nothing.

use std::future::Future;
use std::io::ErrorKind;
use std::sync::Arc;
use std::task::{Context, Waker};

use evencarry::shot::Sequence;
use evencarry::store::{
    ArchiveHead, ArchiveWriter, Entry, Frame, Health, Home, ImportError, MemoryTables, NewShot,
    StoreId, Tables, WriteError,
};

use crate::fault_disk::{Fault, FaultDisk, Work};
use crate::support::{
    TestStore, act, clock, duplicate, frames, identity, memory_store, open, run, send, shot,
    stored, text,
};

/// So many that they take several groups.
const SHOTS: u32 = 2_500;

fn home(disk: &FaultDisk, tables: &Arc<MemoryTables>) -> Home {
    Home {
        disk: Arc::new(disk.clone()),
        tables: Arc::clone(tables) as Arc<dyn Tables>,
        clock: clock(),
        new_id: StoreId::from_bytes([2; 16]),
    }
}

/// Shots, an act and a plain hole, as a store holds them and as lines.
fn archive() -> (Vec<Frame>, Vec<u8>) {
    archive_of((1..=SHOTS).map(|id| shot(1, id, 150)).collect())
}

fn archive_of(shots: Vec<NewShot>) -> (Vec<Frame>, Vec<u8>) {
    let store = memory_store();
    send(&store, shots).unwrap();
    run(store.append_act(act("phone rang"))).unwrap();
    let mut all = frames(&store);
    let entry = Entry::Hole(Box::default());
    let sequence = Sequence::new(store.last().get() + 1);
    all.push(Frame { sequence, arrival: jiff::Timestamp::UNIX_EPOCH, entry });
    let mut lines = Vec::new();
    let head = ArchiveHead::new(store.store_id().to_string(), sequence, None);
    let mut writer = ArchiveWriter::begin(head, &mut lines);
    for frame in &all {
        writer.frame(frame, &mut lines);
    }
    writer.end(&mut lines);
    (all, lines)
}

fn import(store: &TestStore, archive: &[u8]) -> Result<u64, ImportError> {
    let mut spool = store.begin_import()?;
    for line in archive.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
        spool.line(line)?;
    }
    Ok(run(store.import(spool.finish()?))?.frames)
}

/// The same identity as that of [`shot`], with so much to say that every group needs more room.
fn long_shot(id: u32) -> NewShot {
    let said = "y".repeat(4_500);
    let text = String::from_utf8(text(1, id, 150).to_vec()).unwrap();
    let text = text.replace(r#""flight""#, &format!(r#""ext": {{"said": "{said}"}}, "flight""#));
    NewShot::parse(text.into()).unwrap()
}

/// Everything that a frame says.
fn told(frames: &[Frame]) -> Vec<String> {
    frames.iter().map(|frame| format!("{frame:?}")).collect()
}

#[test]
fn an_import_cut_at_any_work_of_the_disk_is_all_there_after_a_start_or_not_at_all() {
    let (all, archive) = archive();
    let expected = told(&all);
    let mut outcomes = [0, 0];
    for cut in 0.. {
        let disk = FaultDisk::with_seed(100 + cut);
        let tables = Arc::new(MemoryTables::default());
        let store = open(home(&disk, &tables)).unwrap().0;
        disk.fail(Work::Any, cut, Fault::Power);
        let imported = import(&store, &archive);
        drop(store);
        let whole = imported.is_ok();
        disk.power_back();
        // The table did not lose power: it may be ahead of a journal that did.
        tables.set_aside().unwrap();
        let store = open(home(&disk, &tables)).unwrap().0;
        let found = told(&frames(&store));
        assert!(found.is_empty() || found == expected, "cut {cut}: {} frames", found.len());
        assert!(!whole || !found.is_empty(), "cut {cut}: an import that was answered is lost");
        assert_eq!(disk.names("").iter().filter(|name| name.contains("import")).count(), 0);
        outcomes[usize::from(found.is_empty())] += 1;
        let more = send(&store, vec![shot(1, 1, 150), shot(7, 1, 150)]).unwrap();
        let next = found.len() as u64;
        let first = if found.is_empty() { stored(1) } else { duplicate(1) };
        assert_eq!(more, [first, stored(next + 1 + u64::from(next == 0))]);
        if whole {
            break;
        }
    }
    assert!(outcomes[0] > 3 && outcomes[1] > 1, "{outcomes:?}: both happen");
}

#[test]
fn an_import_that_finds_no_room_half_way_takes_nothing_else_until_a_restart_has_finished_it() {
    let (all, archive) = archive();
    let disk = FaultDisk::with_seed(9);
    let tables = Arc::new(MemoryTables::default());
    let store = open(home(&disk, &tables)).unwrap().0;
    disk.fail(Work::Allocate, 0, Fault::Error(ErrorKind::StorageFull));
    let refused = import(&store, &archive);
    assert!(
        matches!(refused, Err(ImportError::Unfinished(WriteError::Full { .. }))),
        "{refused:?}"
    );
    let Health::Refusing { cause, .. } = store.health() else { panic!("it goes on") };
    assert!(cause.contains("import is unfinished"), "{cause}");
    assert!(send(&store, vec![shot(7, 1, 150)]).is_err());
    drop(store);
    let store = open(home(&disk, &tables)).unwrap().0;
    assert_eq!(told(&frames(&store)), told(&all));
    assert_eq!(store.health(), Health::Accepting);
}

#[test]
fn an_import_that_fails_at_any_work_loses_nothing_over_an_orderly_stop_and_a_restart() {
    let (short, long) = (archive(), archive_of((1..=SHOTS).map(long_shot).collect()));
    for (work, kind) in [
        (Work::Allocate, ErrorKind::StorageFull),
        (Work::Write, ErrorKind::StorageFull),
        (Work::Write, ErrorKind::Other),
        (Work::Sync, ErrorKind::Other),
        (Work::Any, ErrorKind::Other),
    ] {
        let (all, archive) = if work == Work::Allocate { &long } else { &short };
        let expected = told(all);
        let mut half_way = 0;
        for nth in 0.. {
            let disk = FaultDisk::with_seed(nth);
            let tables = Arc::new(MemoryTables::default());
            let store = open(home(&disk, &tables)).unwrap().0;
            disk.fail(work, nth, Fault::Error(kind));
            let imported = import(&store, archive);
            let received = disk.names("").iter().any(|name| name == "import.ndjson");
            half_way += usize::from(received && store.last() > Sequence::new(0));
            // Brings the table to where the journal is.
            let _ = store.close();
            disk.revive();
            let store = open(home(&disk, &tables)).unwrap().0;
            let found = told(&frames(&store));
            let is_unfinished = matches!(imported, Err(ImportError::Unfinished(_)));
            assert!(is_unfinished || !received, "{work:?} {nth}: {imported:?}");
            let is_whole = imported.is_ok() || is_unfinished;
            let due: &[String] = if is_whole { &expected } else { &[] };
            assert!(found == due, "{work:?} {nth}: {} of {} frames", found.len(), due.len());
            if is_whole {
                let (source, id) = identity(1, SHOTS);
                let last = store.find(&source, &id).unwrap();
                assert_eq!(last, Some(Sequence::new(SHOTS.into())), "{work:?} {nth}");
            }
            if imported.is_ok() {
                break;
            }
        }
        assert!(half_way > 0, "{work:?} never failed half-way");
    }
}

#[test]
fn one_archive_is_received_at_a_time_and_one_that_is_dropped_leaves_nothing() {
    let (_, archive) = archive();
    let disk = FaultDisk::with_seed(8);
    let tables = Arc::new(MemoryTables::default());
    let store = open(home(&disk, &tables)).unwrap().0;
    let mut spool = store.begin_import().unwrap();
    assert!(matches!(store.begin_import(), Err(ImportError::UnderWay)));
    spool.line(archive.split(|byte| *byte == b'\n').next().unwrap()).unwrap();
    drop(spool);
    assert!(disk.names("").iter().all(|name| !name.contains("import")));
    // A shot that comes while an archive is received goes first, and the archive finds no empty store.
    let mut spool = store.begin_import().unwrap();
    for line in archive.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
        spool.line(line).unwrap();
    }
    send(&store, vec![shot(7, 1, 150)]).unwrap();
    let refused = run(store.import(spool.finish().unwrap()));
    assert!(matches!(refused, Err(ImportError::NotEmpty)), "{refused:?}");
    assert_eq!(store.last(), Sequence::new(1));
    assert!(disk.names("").iter().all(|name| !name.contains("import")));
}

#[test]
fn a_shot_whose_identity_comes_twice_in_an_archive_is_left_out() {
    let (mut all, _) = archive();
    all.truncate(3);
    all[2].entry = all[0].entry.clone();
    let mut text = Vec::new();
    let head = ArchiveHead::new("0".repeat(32), Sequence::new(3), None);
    let mut writer = ArchiveWriter::begin(head, &mut text);
    for frame in &all {
        writer.frame(frame, &mut text);
    }
    writer.end(&mut text);
    let store = memory_store();
    import(&store, &text).unwrap();
    let (source, id) = identity(1, 1);
    assert_eq!(store.find(&source, &id).unwrap(), Some(Sequence::new(1)));
    assert!(matches!(frames(&store)[2].entry, Entry::Hole(_)));
}

#[test]
fn an_archive_whose_sender_went_away_is_stored_and_no_other_comes_between() {
    let (all, archive) = archive();
    let disk = FaultDisk::with_seed(7);
    let tables = Arc::new(MemoryTables::default());
    let store = open(home(&disk, &tables)).unwrap().0;
    let mut spool = store.begin_import().unwrap();
    for line in archive.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
        spool.line(line).unwrap();
    }
    let received = spool.finish().unwrap();
    disk.hold_syncs();
    let mut asked = Box::pin(store.import(received));
    let nobody = &mut Context::from_waker(Waker::noop());
    assert!(asked.as_mut().poll(nobody).is_pending());
    disk.until_a_sync_waits();
    drop(asked);
    let other = store.begin_import().map(drop);
    disk.let_syncs_go();
    assert!(matches!(other, Err(ImportError::UnderWay)), "{other:?}");
    // An act is judged after all that came before it.
    run(store.append_act(act("phone rang"))).unwrap();
    assert_eq!(told(&frames(&store)[..all.len()]), told(&all));
    assert!(disk.names("").iter().all(|name| !name.contains("import")));
}

#[test]
fn an_archive_that_tells_of_more_frames_than_a_store_ever_has_is_refused_at_its_head() {
    let store = memory_store();
    let lines = |count: u64| {
        let head = format!(
            r#"{{"head":{{"format":"evencarry.export.v1","store":"00","last_sequence":{count}}}}}"#
        );
        [head, format!(r#"{{"sequence":1,"holes":{count}}}"#)]
    };
    for count in [100_000_001, u64::MAX] {
        let mut spool = store.begin_import().unwrap();
        let [head, _] = lines(count);
        let refused = spool.line(head.as_bytes());
        let Err(ImportError::Line { line: 1, fault }) = refused else { panic!("{refused:?}") };
        assert!(fault.to_string().contains("100000000 are the most"), "{fault}");
    }
    let mut spool = store.begin_import().unwrap();
    let [head, holes] = lines(100_000_000);
    spool.line(head.as_bytes()).unwrap();
    spool.line(holes.as_bytes()).unwrap();
    for more in [r#"{"sequence":100000001,"holes":18446744073709551615}"#, &holes] {
        assert!(matches!(spool.line(more.as_bytes()), Err(ImportError::Line { line: 3.., .. })));
    }
}
