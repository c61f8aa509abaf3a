//! Data folders of the file system, with sled in them.

use std::fs;
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};

use evencarry::shot::Sequence;
use evencarry::store::{Health, Home, OpenError, RecoveryReport, TableRecovery};
use tempfile::TempDir;

use crate::support::{
    TestStore, clock, conflict, duplicate, frames, fresh_fold, identity, open, send, shot,
};

fn open_folder(folder: &Path) -> Result<(TestStore, RecoveryReport), OpenError> {
    open(Home::in_folder(folder, clock())?)
}

fn refused(folder: &Path) -> OpenError {
    open_folder(folder).err().expect("it opened")
}

fn with_shots(count: u32) -> (TempDir, PathBuf) {
    let base = TempDir::new().unwrap();
    let folder = base.path().join("parents/are/made");
    let store = open_folder(&folder).unwrap().0;
    send(&store, (0..count).map(|id| shot(id % 5, id, 150)).collect()).unwrap();
    assert_eq!(store.close(), Health::Accepting);
    (base, folder)
}

/// The answers are those of the shots that `with_shots` stored.
fn answers_hold(store: &TestStore, count: u32) {
    assert_eq!(store.last(), Sequence::new(count.into()));
    assert_eq!(store.projection().sums(), fresh_fold(&frames(store)));
    for id in (0..count).step_by(83) {
        let (source, shot_id) = identity(id % 5, id);
        let sequence = store.find(&source, &shot_id).unwrap();
        assert_eq!(sequence, Some(Sequence::new(u64::from(id) + 1)));
    }
    let again = vec![shot(0, 0, 150), shot(0, 0, 151)];
    assert_eq!(send(store, again).unwrap(), [duplicate(1), conflict(1)]);
}

#[test]
fn a_store_is_the_same_after_a_restart() {
    let (_base, folder) = with_shots(3_000);
    let (store, report) = open_folder(&folder).unwrap();
    assert_eq!((report.torn, report.table), (None, TableRecovery::Current));
    answers_hold(&store, 3_000);
}

#[test]
fn starting_and_stopping_writes_no_frame() {
    let (_base, folder) = with_shots(10);
    for _ in 0..3 {
        assert_eq!(open_folder(&folder).unwrap().0.last(), Sequence::new(10));
    }
}

#[test]
fn a_second_opening_is_refused_while_the_first_lasts() {
    let (_base, folder) = with_shots(1);
    let store = open_folder(&folder).unwrap().0;
    let error = refused(&folder);
    assert!(matches!(error, OpenError::InUse { .. }), "{error}");
    assert!(error.to_string().contains(&folder.display().to_string()));
    drop(store);
    open_folder(&folder).unwrap();
}

#[test]
fn a_place_that_cannot_be_written_is_said_to_be_so() {
    // No user may make files there, the superuser included.
    for folder in ["/sys/kernel", "/sys/kernel/new"] {
        let error = refused(Path::new(folder));
        assert!(matches!(error, OpenError::ReadOnly { .. }), "{error}");
    }
}

#[test]
fn a_file_in_place_of_the_folder_is_said_to_be_one() {
    let base = TempDir::new().unwrap();
    let file = base.path().join("file");
    fs::write(&file, "text").unwrap();
    for path in [file.clone(), file.join("below")] {
        let error = refused(&path);
        assert!(matches!(error, OpenError::NotAFolder { .. }), "{error}");
    }
}

#[test]
fn a_folder_of_other_things_is_not_taken_over() {
    let base = TempDir::new().unwrap();
    fs::write(base.path().join("letters.txt"), "text").unwrap();
    assert!(
        matches!(refused(base.path()), OpenError::Foreign { path } if path.ends_with("letters.txt"))
    );
    let (_base, folder) = with_shots(1);
    fs::write(folder.join("journal/notes.txt"), "text").unwrap();
    assert!(matches!(refused(&folder), OpenError::Foreign { path } if path.ends_with("notes.txt")));
}

#[test]
fn a_segment_of_another_store_is_not_taken_in() {
    let (_base, folder) = with_shots(1);
    let (_other, other) = with_shots(1);
    let (from, to) =
        ("journal/00000000000000000001.journal", "journal/00000000000000000002.journal");
    fs::copy(other.join(from), folder.join(to)).unwrap();
    let error = refused(&folder);
    assert!(matches!(error, OpenError::Damaged { .. } | OpenError::Foreign { .. }), "{error}");
}

#[test]
fn a_newer_format_is_refused_by_name() {
    let (_base, folder) = with_shots(1);
    let path = folder.join("journal/00000000000000000001.journal");
    let mut bytes = fs::read(&path).unwrap();
    bytes[8] = 9;
    let crc = crc32c::crc32c(&bytes[..36]);
    bytes[36..40].copy_from_slice(&crc.to_le_bytes());
    fs::write(&path, bytes).unwrap();
    let error = refused(&folder);
    assert!(matches!(error, OpenError::Newer { found: 9, known: 1, .. }), "{error}");
}

#[test]
fn a_journal_that_is_gone_is_not_replaced_by_an_empty_one() {
    let (_base, folder) = with_shots(1);
    fs::remove_dir_all(folder.join("journal")).unwrap();
    let error = refused(&folder);
    assert!(matches!(error, OpenError::JournalMissing { .. }), "{error}");
}

#[test]
fn without_its_table_the_store_gives_the_same_answers() {
    let (_base, folder) = with_shots(3_000);
    fs::remove_dir_all(folder.join("sled")).unwrap();
    let (store, report) = open_folder(&folder).unwrap();
    assert!(matches!(report.table, TableRecovery::Rebuilt { aside: None, .. }), "{report:?}");
    answers_hold(&store, 3_000);
    drop(store);
    assert_eq!(open_folder(&folder).unwrap().1.table, TableRecovery::Current);
}

#[test]
fn a_table_that_does_not_open_is_moved_aside_and_made_anew() {
    let (_base, folder) = with_shots(3_000);
    for spoil in [spoil_snapshot, spoil_db] {
        spoil(&folder.join("sled"));
        let (store, report) = open_folder(&folder).unwrap();
        let TableRecovery::Rebuilt { aside: Some(aside), .. } = report.table else {
            panic!("{report:?}")
        };
        assert!(Path::new(&aside).is_dir());
        answers_hold(&store, 3_000);
    }
}

fn spoil_snapshot(sled: &Path) {
    fs::write(sled.join("snap.FFFFFFFFFFFFFFFF"), [1; 64]).unwrap();
}

fn spoil_db(sled: &Path) {
    let length = usize::try_from(fs::metadata(sled.join("db")).unwrap().len()).unwrap();
    fs::write(sled.join("db"), vec![0xA5; length]).unwrap();
}

/// Whatever is wrong with the table shows at the opening, or at the first question and is mended by a restart; no
/// answer is ever another one.
#[test]
fn a_table_damaged_anywhere_is_made_anew_at_the_latest_by_a_second_start() {
    let (_base, folder) = with_shots(3_000);
    let db = folder.join("sled/db");
    let length = fs::metadata(&db).unwrap().len();
    let mut rebuilt = 0;
    for nth in 0..12_u64 {
        let file = fs::OpenOptions::new().write(true).open(&db).unwrap();
        file.write_all_at(&[0xA5; 600], nth * 7_919 * 61 % length).unwrap();
        drop(file);
        let answered = |id: u32| {
            let (store, report) = open_folder(&folder).unwrap();
            let (source, shot_id) = identity(id % 5, id);
            let found = store.find(&source, &shot_id).ok();
            (found, matches!(report.table, TableRecovery::Rebuilt { .. }))
        };
        for id in (0..3_000).step_by(500) {
            let (found, anew) = answered(id);
            rebuilt += u32::from(anew);
            let (found, anew) = found.map_or_else(|| answered(id), |found| (Some(found), anew));
            rebuilt += u32::from(anew);
            assert_eq!(found, Some(Some(Sequence::new(u64::from(id) + 1))), "damage {nth}");
        }
        answers_hold(&open_folder(&folder).unwrap().0, 3_000);
    }
    assert!(rebuilt > 0, "no damage was ever noticed");
}

#[test]
fn a_half_written_snapshot_of_the_table_does_no_harm() {
    let (_base, folder) = with_shots(100);
    fs::write(folder.join("sled/snap.00000000000000FF.generating"), "half").unwrap();
    let (store, report) = open_folder(&folder).unwrap();
    assert_eq!(report.table, TableRecovery::Current);
    answers_hold(&store, 100);
}
