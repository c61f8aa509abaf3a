//! Makes the tail of the journal whole again after a stop of any kind.
//!
//! One group is written at a time and the next only after its sync, so at most the last group can be torn. A disk may
//! have kept its sectors in any order, so whole frames of that group may stand after a hole. Recovery cuts such a tail
//! off, and nothing else:
//!
//! - nothing valid after the last good frame: a torn tail;
//! - valid frames after a hole, all from the group that the hole is in, and the hole shows a sector that never reached
//!   the disk (it reads as zeros): a torn tail too;
//! - any other valid frame after a hole is proof that the hole was durable once: damage, and the store does not start.
//!
//! An all-or-nothing batch without its end is cut as a whole. What is cut is copied aside first. The last group is then
//! written again in place and synced: after a kill or a failed sync the system may show frames that its disk never got.

use std::io;
use std::sync::Arc;

use super::format::{self, Mark, RawFrame};
use super::reader::{Found, Reader};
use super::segment::{HEADER, Segment};
use crate::shot::Sequence;
use crate::store::disk::{Disk, DiskFile};
use crate::store::error::OpenError;

/// The folder of what was cut off.
const ASIDE: &str = "aside";
/// The smallest piece that a disk writes or loses whole.
const SECTOR: usize = 512;
const WINDOW: usize = 1024 * 1024;

/// The end of the last segment.
#[derive(Debug)]
pub(super) struct Tail {
    pub(super) end: u64,
    pub(super) last: Sequence,
    pub(super) torn: Option<TornTail>,
}

/// What was cut off the end of the journal: parts of a group that was never acknowledged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TornTail {
    /// The segment file.
    pub file: String,
    /// Where it was cut.
    pub offset: u64,
    /// How many bytes were cut.
    pub bytes: u64,
    /// Where a copy of them lies; none when there was no room for one.
    pub copy: Option<String>,
}

/// The good frames at the start of a segment.
struct Good {
    /// Where the next frame would be.
    end: u64,
    next: Sequence,
    /// Where the last group begins.
    group_start: u64,
    /// The end as it was before an all-or-nothing batch that has no end of its own.
    before_open_batch: Option<(u64, Sequence)>,
}

/// Checks the last segment, cuts a torn tail, and makes sure that the rest is durable.
pub(super) fn recover(disk: &dyn Disk, segment: Segment) -> Result<Tail, OpenError> {
    let failed = |source| OpenError::io(disk.path(&segment.file()), source);
    let file = disk.open(&segment.file()).map_err(failed)?;
    let mut good = good_frames(segment, &file).map_err(failed)?;
    let rest = read_from(&*file, good.end).map_err(failed)?;
    check_rest(disk, segment, &good, &rest)?;
    if let Some((end, next)) = good.before_open_batch.take() {
        // No group that we write begins within a batch; what is cut need not be ours.
        good = Good { end, next, group_start: good.group_start.min(end), ..good };
    }
    let torn = cut(disk, segment, &*file, good.end)?;
    write_again(&*file, good.group_start, good.end).map_err(failed)?;
    let last = Sequence::new(good.next.get() - 1);
    Ok(Tail { end: good.end, last, torn })
}

fn good_frames(segment: Segment, file: &Arc<dyn DiskFile>) -> io::Result<Good> {
    let mut reader = Reader::new(segment, Arc::clone(file), WINDOW);
    let mut good =
        Good { end: HEADER, next: segment.first, group_start: HEADER, before_open_batch: None };
    while let Found::Frame(frame) = reader.frame(good.end)? {
        if frame.sequence != good.next {
            break;
        }
        good.take(&frame);
    }
    Ok(good)
}

impl Good {
    fn take(&mut self, frame: &RawFrame) {
        if frame.position == 0 {
            self.group_start = self.end;
        }
        match frame.mark {
            Mark::Joined => {
                let before = (self.end, self.next);
                self.before_open_batch.get_or_insert(before);
            }
            Mark::Ends => self.before_open_batch = None,
        }
        self.end = frame.end;
        self.next = Sequence::new(frame.sequence.get() + 1);
    }
}

fn read_from(file: &dyn DiskFile, offset: u64) -> io::Result<Vec<u8>> {
    let length = file.length()?.saturating_sub(offset);
    let mut bytes = vec![0; usize::try_from(length).map_err(|_| io::ErrorKind::FileTooLarge)?];
    let read = file.read_at(&mut bytes, offset)?;
    bytes.truncate(read);
    Ok(bytes)
}

/// Refuses when anything after the good frames shows that they were not the end.
fn check_rest(
    disk: &dyn Disk,
    segment: Segment,
    good: &Good,
    rest: &[u8],
) -> Result<(), OpenError> {
    let mut hole_end = None;
    for (at, frame) in valid_frames(rest, segment.seed()) {
        let hole = hole_end.get_or_insert(at);
        let same_group = frame.sequence > good.next && frame.group() <= good.next;
        if !same_group || !has_lost_sector(&rest[..*hole], good.end) {
            return Err(OpenError::Damaged {
                file: disk.path(&segment.file()),
                bad_offset: good.end,
                good_at: format!("byte {}", good.end + at as u64),
            });
        }
    }
    Ok(())
}

/// All valid frames in `bytes`, wherever they begin: the length before a bad place says nothing.
fn valid_frames(bytes: &[u8], seed: u32) -> impl Iterator<Item = (usize, RawFrame)> {
    let mut at = 0;
    std::iter::from_fn(move || {
        while at < bytes.len() {
            let here = at;
            at += 1;
            if let Some(frame) = format::read(&bytes[here..], seed, 0) {
                at = here + usize::try_from(frame.end).unwrap_or(1);
                return Some((here, frame));
            }
        }
        None
    })
}

/// Whether a part of the hole that lies in one sector reads as zeros. A frame never does: its length is not 0.
fn has_lost_sector(hole: &[u8], offset: u64) -> bool {
    let to_boundary = offset.next_multiple_of(SECTOR as u64) - offset;
    let to_boundary = usize::try_from(to_boundary).unwrap_or(0).min(hole.len());
    let (first, others) = hole.split_at(to_boundary);
    let zeros = |piece: &[u8]| piece.len() >= 4 && piece.iter().all(|&byte| byte == 0);
    zeros(first) || others.chunks(SECTOR).any(zeros)
}

/// Cuts the file at `end` if anything but zeros follows, after a copy was made.
fn cut(
    disk: &dyn Disk,
    segment: Segment,
    file: &dyn DiskFile,
    end: u64,
) -> Result<Option<TornTail>, OpenError> {
    let name = segment.file();
    let failed = |source| OpenError::io(disk.path(&name), source);
    let rest = read_from(file, end).map_err(failed)?;
    let Some(last) = rest.iter().rposition(|&byte| byte != 0) else { return Ok(None) };
    let torn = &rest[..=last];
    let copy = match copy_aside(disk, &format!("torn-{}-{end}", segment.first), torn) {
        Ok(copy) => Some(disk.path(&copy)),
        Err(error) if error.kind() == io::ErrorKind::StorageFull => None,
        Err(source) => return Err(OpenError::io(disk.path(ASIDE), source)),
    };
    file.truncate(end).and_then(|()| file.sync_data()).map_err(failed)?;
    Ok(Some(TornTail { file: disk.path(&name), offset: end, bytes: torn.len() as u64, copy }))
}

fn copy_aside(disk: &dyn Disk, stem: &str, bytes: &[u8]) -> io::Result<String> {
    disk.make_folder(ASIDE)?;
    let taken = disk.list(ASIDE)?;
    let mut name = stem.to_owned();
    let mut number = 1_u32;
    while taken.contains(&name) {
        number += 1;
        name = format!("{stem}-{number}");
    }
    let path = format!("{ASIDE}/{name}");
    let copy = disk.create(&path)?;
    copy.write_at(bytes, 0)?;
    copy.sync_data()?;
    disk.sync_folder(ASIDE)?;
    disk.sync_folder("")?;
    Ok(path)
}

fn write_again(file: &dyn DiskFile, start: u64, end: u64) -> io::Result<()> {
    let mut bytes = read_from(file, start)?;
    bytes.truncate(usize::try_from(end - start).map_err(|_| io::ErrorKind::FileTooLarge)?);
    file.write_at(&bytes, start)?;
    file.sync_data()
}
