//! What is said of a data folder that cannot be used: an exit code of its own, and one sentence that
//! says what, where and how to mend it.

use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use reqwest::{Method, StatusCode};
use serde_json::Value;
use tempfile::TempDir;

use crate::dice::Dice;
use crate::event::{Event, Layout};
use crate::http;
use crate::service::{PATIENCE, Service};

/// Bytes of a segment's header: magic, format at 8, store, first sequence, CRC-32C at 36 of the bytes
/// before it.
const HEADER: usize = 64;
const FORMAT_AT: usize = 8;
const CRC_AT: usize = 36;
const SHOTS: usize = 3;

/// A data folder in which some shots were stored, and which nobody holds.
async fn used_folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    let (service, address) = Service::serving(folder.path());
    let (client, mut dice) = (http::client(), Dice::of_this_run());
    for id in 1..=SHOTS {
        let event = Event::assigned("bay-1", &id.to_string(), &mut dice);
        let text = event.spelled(Layout::Page, &mut dice);
        let target = (Method::POST, format!("{address}/v1/shots"));
        let answer = http::send_json(&client, target, text).await.unwrap();
        assert_eq!(answer.status, StatusCode::CREATED);
    }
    service.stop();
    folder
}

/// The only segment of a small journal.
fn segment(data: &Path) -> PathBuf {
    let mut files = fs::read_dir(data.join("journal")).unwrap();
    let file = files.next().unwrap().unwrap().path();
    assert!(files.next().is_none(), "a small journal has one segment");
    file
}

/// Changes the segment, and gives its bytes as they are then.
fn change_segment(data: &Path, change: impl FnOnce(&mut Vec<u8>)) -> Vec<u8> {
    let mut bytes = fs::read(segment(data)).unwrap();
    change(&mut bytes);
    fs::write(segment(data), &bytes).unwrap();
    bytes
}

/// Starts a service that must refuse with this code; the one sentence that it says.
fn refusal(data: &Path, code: i32) -> String {
    let mut service = Service::start(data);
    assert_eq!(service.address_within(PATIENCE), None, "it serves");
    let end = service.end();
    assert_eq!(end.status.code(), Some(code), "{}", end.errors);
    let mut lines = end.errors.lines();
    let sentence = lines.next().unwrap_or_default().to_owned();
    assert_eq!(lines.next(), None, "there is more than one sentence: {}", end.errors);
    assert!(sentence.starts_with("evencarry: "), "{sentence}");
    assert!(!sentence.contains("panicked"), "{sentence}");
    sentence
}

fn assert_says(sentence: &str, parts: &[&str]) {
    for part in parts {
        assert!(sentence.contains(part), "{sentence:?} does not say {part:?}");
    }
}

fn name(path: &Path) -> String {
    path.display().to_string()
}

#[tokio::test]
async fn a_missing_folder_is_made_with_its_parents() {
    let folder = TempDir::new().unwrap();
    let data = folder.path().join("a/b c/data");
    let (service, _) = Service::serving(&data);
    service.stop();
    assert!(data.join("journal").is_dir());
}

#[tokio::test]
async fn a_folder_in_use_is_left_to_its_holder() {
    let folder = TempDir::new().unwrap();
    let (holder, address) = Service::serving(folder.path());
    let sentence = refusal(folder.path(), 75);
    assert_says(&sentence, &[&name(folder.path()), "in use by another process", "stop it"]);
    let ready: Option<Value> =
        http::read(&http::client(), &format!("{address}/readyz")).await.unwrap();
    assert_eq!(ready.unwrap()["status"], "ready");
    holder.stop();
}

#[tokio::test]
async fn a_folder_is_free_as_soon_as_its_holder_was_killed() {
    let folder = TempDir::new().unwrap();
    let (holder, _) = Service::serving(folder.path());
    holder.kill();
    Service::serving(folder.path()).0.stop();
}

#[test]
fn a_file_in_the_folders_place_is_no_folder() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("data");
    fs::write(&file, "mine").unwrap();
    assert_says(&refusal(&file, 73), &[&name(&file), "is not a folder", "choose another"]);
    let below = file.join("deeper");
    assert_says(&refusal(&below, 73), &[&name(&below), "is not a folder"]);
    assert_eq!(fs::read(&file).unwrap(), b"mine");
}

#[test]
fn a_place_where_nothing_can_be_made_is_named() {
    // The kernel's own tree takes no folders, not even from root.
    let data = Path::new("/sys/evencarry");
    assert_says(&refusal(data, 73), &["/sys/evencarry", "cannot be written", "make it writable"]);
}

#[test]
fn a_folder_that_cannot_be_written_is_named() {
    let folder = TempDir::new().unwrap();
    let data = folder.path().join("data");
    fs::create_dir(&data).unwrap();
    let Some(_locked) = Locked::lock(&data) else {
        eprintln!("skipped: nothing here keeps this user from writing to a folder");
        return;
    };
    assert_says(&refusal(&data, 73), &[&name(&data), "cannot be written", "make it writable"]);
}

/// A folder that nobody can write to until this is dropped.
struct Locked<'a>(&'a Path);

impl<'a> Locked<'a> {
    /// By its mode, which binds all but root, else by its immutable flag; none when neither holds.
    fn lock(folder: &'a Path) -> Option<Self> {
        fs::set_permissions(folder, Permissions::from_mode(0o555)).unwrap();
        let locked = Self(folder);
        let writable = || fs::write(folder.join("probe"), "").is_ok();
        if writable() {
            fs::remove_file(folder.join("probe")).unwrap();
            chattr("+i", folder);
            if writable() {
                return None;
            }
        }
        Some(locked)
    }
}

impl Drop for Locked<'_> {
    fn drop(&mut self) {
        chattr("-i", self.0);
        // A folder that is in the way of its own removal is not worth a failed test.
        drop(fs::set_permissions(self.0, Permissions::from_mode(0o755)));
    }
}

/// Where there is no such program or flag the caller finds out by writing.
fn chattr(flag: &str, folder: &Path) {
    drop(Command::new("chattr").arg(flag).arg(folder).output());
}

#[test]
fn a_folder_of_other_files_is_not_taken_over() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("letters.txt");
    fs::write(&file, "mine").unwrap();
    assert_says(
        &refusal(folder.path(), 65),
        &[&name(&file), "not a file of this store", "move it"],
    );
    assert!(!folder.path().join("journal").exists(), "a folder that is not ours was written to");
    fs::remove_file(file).unwrap();
    Service::serving(folder.path()).0.stop();
}

#[tokio::test]
async fn another_file_among_the_segments_is_named() {
    let folder = used_folder().await;
    let file = folder.path().join("journal/00000000000000000001.journal.bak");
    fs::write(&file, "a copy").unwrap();
    assert_says(&refusal(folder.path(), 65), &[&name(&file), "not a file of this store"]);
    fs::remove_file(file).unwrap();
    Service::serving(folder.path()).0.stop();
}

#[tokio::test]
async fn a_newer_format_is_left_to_its_release() {
    let folder = used_folder().await;
    let newer = change_segment(folder.path(), |bytes| {
        bytes[FORMAT_AT..FORMAT_AT + 4].copy_from_slice(&2_u32.to_le_bytes());
        let crc = crc32c::crc32c(&bytes[..CRC_AT]);
        bytes[CRC_AT..CRC_AT + 4].copy_from_slice(&crc.to_le_bytes());
    });
    let sentence = refusal(folder.path(), 76);
    let file = name(&segment(folder.path()));
    assert_says(&sentence, &[&file, "format 2", "reads up to 1", "run the newer release"]);
    assert_eq!(fs::read(segment(folder.path())).unwrap(), newer, "the newer segment was changed");
}

#[tokio::test]
async fn damage_with_good_shots_after_it_stops_the_start() {
    let folder = used_folder().await;
    let damaged = change_segment(folder.path(), |bytes| bytes[HEADER + 40] ^= 1);
    let sentence = refusal(folder.path(), 65);
    let file = name(&segment(folder.path()));
    assert_says(&sentence, &[&file, "damaged at byte 64", "good data after it", "backup"]);
    assert_eq!(fs::read(segment(folder.path())).unwrap(), damaged, "the evidence was changed");
    change_segment(folder.path(), |bytes| bytes[HEADER + 40] ^= 1);
    let (service, address) = Service::serving(folder.path());
    assert_eq!(http::shots(&http::client(), &address, "oldest").await.unwrap().len(), SHOTS);
    service.stop();
}

#[tokio::test]
async fn a_damaged_header_stops_the_start() {
    let folder = used_folder().await;
    change_segment(folder.path(), |bytes| bytes[0] ^= 1);
    let file = name(&segment(folder.path()));
    assert_says(&refusal(folder.path(), 65), &[&file, "damaged at byte 0"]);
}

/// A data folder whose journal has grown to two segments, which nobody holds; and the segments.
async fn long_used_folder() -> (TempDir, [PathBuf; 2]) {
    /// A segment takes no more after 32 MiB.
    const SHOTS_OF_16_KIB: usize = 2_200;
    let folder = TempDir::new().unwrap();
    let (service, address) = Service::serving(folder.path());
    let note = "x".repeat(16_000);
    let lines = (0..SHOTS_OF_16_KIB).map(|id| {
        format!(
            r#"{{"id":"{id}","source":"bay-1","time":"2026-04-11T10:15:04Z","flight":{{"carry_m":150}},"ext":{{"note":"{note}"}}}}"#
        )
    });
    let request = http::client().post(format!("{address}/v1/shots"));
    let request = request.header("Content-Type", "application/x-ndjson");
    let body: Vec<String> = lines.collect();
    let answer = http::send(request.body(body.join("\n"))).await.unwrap();
    assert_eq!(answer.body.unwrap()["accepted"], SHOTS_OF_16_KIB);
    service.stop();
    let files = fs::read_dir(folder.path().join("journal")).unwrap();
    let mut segments: Vec<PathBuf> = files.map(|file| file.unwrap().path()).collect();
    segments.sort_unstable();
    (folder, segments.try_into().expect("two segments"))
}

#[tokio::test]
async fn a_segment_that_is_gone_or_ends_too_soon_stops_the_start() {
    let (folder, [first, _]) = long_used_folder().await;
    let whole = fs::read(&first).unwrap();

    fs::remove_file(&first).unwrap();
    assert_says(&refusal(folder.path(), 65), &[&name(&first), "is missing", "backup"]);

    fs::write(&first, &whole[..whole.len() / 2]).unwrap();
    assert_says(&refusal(folder.path(), 65), &[&name(&first), "damaged at byte", "next segment"]);

    fs::write(&first, &whole).unwrap();
    Service::serving(folder.path()).0.stop();
}

#[tokio::test]
async fn a_journal_that_is_gone_is_not_begun_anew() {
    let folder = used_folder().await;
    let journal = folder.path().join("journal");
    fs::rename(&journal, folder.path().join(".elsewhere")).unwrap();
    let sentence = refusal(folder.path(), 65);
    assert_says(&sentence, &[&name(&journal), "no journal", "put the journal folder back"]);
}
