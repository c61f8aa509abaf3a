//! What must hold of frames and of whole journals, whatever bytes they are of: for the fuzz targets.

#![allow(clippy::missing_panics_doc)] // to panic is what they are for

use std::sync::Arc;

use super::{
    FIRST, FOLDER, Journal, StoreId,
    format::{self, HEAD, Mark},
    segment::{HEADER, Segment},
};
use crate::{
    shot::Sequence,
    store::{
        disk::{Disk, MemoryDisk},
        frame::{Entry, Frame},
    },
};

/// Where a segment's checksums start from; any number does.
const SEED: u32 = 7;

/// Bytes that are read as a frame are refused or give one that is the same when it is written and read again. What
/// comes is a frame from its sequence on; length and checksum are made to fit, or no input would ever get beyond them.
pub fn frame(data: &[u8]) {
    drop(format::read(data, SEED, 0));
    let whole = sealed(data, SEED);
    let Some(raw) = format::read(&whole, SEED, 0) else { return };
    assert_eq!(raw.end, whole.len() as u64);
    let place = (raw.position, raw.mark);
    let Ok(frame) = raw.decode() else { return };
    let again = written(&frame, place);
    let read = format::read(&again, SEED, 0).and_then(|raw| raw.decode().ok());
    assert!(read.as_ref().is_some_and(|read| is_same(read, &frame)), "{frame:?} became {read:?}");
    // A time before 1970 can be written in two ways; what we write is written so again.
    assert_eq!(read.map(|read| written(&read, place)), Some(again));
}

fn is_same(one: &Frame, other: &Frame) -> bool {
    let entries = match (&one.entry, &other.entry) {
        (
            Entry::Shot { text, settled, .. },
            Entry::Shot { text: as_text, settled: as_settled, .. },
        ) => text == as_text && settled == as_settled,
        (Entry::Act(act), Entry::Act(as_act)) => act == as_act,
        (Entry::Retired(shot), Entry::Retired(as_shot)) => shot == as_shot,
        (Entry::Hole(hole), Entry::Hole(as_hole)) => hole == as_hole,
        _ => false,
    };
    entries && one.sequence == other.sequence && one.arrival == other.arrival
}

/// A frame from its sequence on, with the length and the checksum that fit it.
fn sealed(data: &[u8], seed: u32) -> Vec<u8> {
    let payload = data.len().saturating_sub(HEAD - 8);
    let length = u32::try_from(payload).unwrap_or(u32::MAX);
    let mut whole = [&length.to_le_bytes(), &[0; 4], data].concat();
    let sum = format::checksum(&whole, seed);
    whole[4..8].copy_from_slice(&sum.to_le_bytes());
    whole
}

fn written(frame: &Frame, place: (u16, Mark)) -> Vec<u8> {
    let mut out = Vec::new();
    let written = format::write(&mut out, frame, place, SEED);
    assert!(written.is_ok(), "{frame:?} cannot be written: {written:?}");
    out
}

/// A journal that is opened is refused, or is whole from then on: every frame up to the last is there, and a second
/// opening finds the same and has nothing to cut. The bytes tell how to make the journal, piece by piece.
pub fn journal(data: &[u8]) {
    let segment = Segment { store: StoreId::from_bytes([1; 16]), first: FIRST };
    let disk: Arc<dyn Disk> = Arc::new(MemoryDisk::default());
    let made = disk.make_folder(FOLDER).and_then(|()| segment.create(&*disk));
    let made = made.and_then(|file| file.write_at(&pieces(data, segment.seed()), HEADER));
    assert!(made.is_ok(), "memory takes it: {made:?}");
    let Ok(opened) = Journal::open(Arc::clone(&disk), segment.store) else { return };
    let mut walk = opened.journal.walk(FIRST, opened.last);
    for sequence in FIRST.get()..=opened.last.get() {
        let raw = walk.next_raw();
        let there = matches!(&raw, Ok(Some(raw)) if raw.sequence == Sequence::new(sequence));
        assert!(there, "frame {sequence} of {}: {raw:?}", opened.last);
    }
    let again = Journal::open(disk, segment.store).map(|again| (again.last, again.torn));
    let same = matches!(&again, Ok((last, None)) if *last == opened.last);
    assert!(same, "it opened up to {}, then {again:?}", opened.last);
}

/// What a run of operations leaves in a file: good frames, frames out of order, rubbish, sectors of zeros.
fn pieces(mut data: &[u8], seed: u32) -> Vec<u8> {
    let mut file = Vec::new();
    let (mut next, mut position) = (FIRST.get(), 0_u16);
    while let Some((&[operation, size], rest)) = data.split_first_chunk::<2>() {
        data = rest;
        let size = usize::from(size);
        match operation % 8 {
            0..=4 => {
                let starts_group = operation & 8 != 0;
                position = if starts_group { 0 } else { position.saturating_add(1) };
                let skipped =
                    if operation & 0x70 == 0x70 { u64::from(operation >> 7) + 1 } else { 0 };
                next += skipped;
                let joined = u8::from(operation & 16 != 0);
                let head =
                    [&next.to_le_bytes()[..], &position.to_le_bytes(), &[1, joined]].concat();
                file.extend(sealed(&[&head[..], &vec![b'x'; 13 + size]].concat(), seed));
                next += 1;
            }
            5 => file.extend(vec![0; size * 8]),
            6 => file.truncate(file.len().saturating_sub(size)),
            _ => {
                let (rubbish, rest) = data.split_at(size.min(data.len()));
                file.extend(rubbish);
                data = rest;
            }
        }
    }
    file
}
