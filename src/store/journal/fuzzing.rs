//! What must hold of a frame, whatever bytes it is of: for the fuzz targets.

#![allow(clippy::missing_panics_doc)] // to panic is what they are for

use super::format::{self, HEAD, Mark};
use crate::store::frame::{Entry, Frame};

/// Where a segment's checksums start from; any number does.
const SEED: u32 = 7;

/// Bytes that are read as a frame are refused or give one that is written as it was. What comes is a frame from its
/// sequence on; length and checksum are made to fit, or no input would ever get beyond them.
pub fn frame(data: &[u8]) {
    drop(format::read(data, SEED, 0));
    let payload = data.len().saturating_sub(HEAD - 8);
    let Ok(length) = u32::try_from(payload) else { return };
    let mut whole = [&length.to_le_bytes(), &[0; 4], data].concat();
    let sum = format::checksum(&whole, SEED);
    whole[4..8].copy_from_slice(&sum.to_le_bytes());
    let Some(raw) = format::read(&whole, SEED, 0) else { return };
    assert_eq!(raw.end, whole.len() as u64);
    let (position, mark) = (raw.position, raw.mark);
    let Ok(frame) = raw.decode() else { return };
    let again = written(&frame, (position, mark));
    match &frame.entry {
        Entry::Shot { .. } => assert_eq!(again, whole),
        Entry::Act(act) => {
            let read = format::read(&again, SEED, 0).map(|raw| raw.decode());
            let same = matches!(&read, Some(Ok(Frame { sequence, arrival, entry: Entry::Act(read) }))
                if read == act && *sequence == frame.sequence && *arrival == frame.arrival);
            assert!(same, "{frame:?} became {read:?}");
        }
    }
}

fn written(frame: &Frame, place: (u16, Mark)) -> Vec<u8> {
    let mut out = Vec::new();
    let written = format::write(&mut out, frame, place, SEED);
    assert!(written.is_ok(), "{frame:?} cannot be written: {written:?}");
    out
}
