//! Reads frames of one segment through a window of its file.

use std::io;
use std::sync::Arc;

use super::format::{self, HEAD, Head, RawFrame};
use super::segment::Segment;
use crate::store::disk::DiskFile;

/// What lies at an offset.
#[derive(Debug)]
pub(super) enum Found {
    /// A whole frame whose checksum holds.
    Frame(RawFrame),
    /// The end of the file, or room that was taken and not written yet.
    Nothing,
    /// Something else.
    Bad,
}

/// A window that moves over a segment.
pub(super) struct Reader {
    pub(super) segment: Segment,
    file: Arc<dyn DiskFile>,
    seed: u32,
    window: Vec<u8>,
    start: u64,
    step: usize,
}

impl Reader {
    /// A reader that takes at least `step` bytes at a time.
    pub(super) fn new(segment: Segment, file: Arc<dyn DiskFile>, step: usize) -> Self {
        let seed = segment.seed();
        Self { segment, file, seed, window: Vec::new(), start: 0, step }
    }

    /// Up to `count` bytes at `offset`; fewer only where the file ends.
    fn bytes(&mut self, offset: u64, count: usize) -> io::Result<&[u8]> {
        let held = self.start..self.start + self.window.len() as u64;
        if !held.contains(&offset) || offset + count as u64 > held.end {
            self.window.resize(count.max(self.step), 0);
            let read = self.file.read_at(&mut self.window, offset)?;
            self.window.truncate(read);
            self.start = offset;
        }
        let from = usize::try_from(offset - self.start).unwrap_or(usize::MAX);
        let rest = self.window.get(from..).unwrap_or_default();
        Ok(&rest[..count.min(rest.len())])
    }

    /// What lies at `offset`.
    pub(super) fn frame(&mut self, offset: u64) -> io::Result<Found> {
        let head = self.bytes(offset, HEAD)?;
        if head.iter().all(|&byte| byte == 0) {
            return Ok(Found::Nothing);
        }
        let Some(head) = Head::read(head) else { return Ok(Found::Bad) };
        let seed = self.seed;
        let frame = format::read(self.bytes(offset, head.size())?, seed, offset);
        Ok(frame.map_or(Found::Bad, Found::Frame))
    }

    /// The head at `offset`, its checksum not looked at; none where no frame can be.
    pub(super) fn head(&mut self, offset: u64) -> io::Result<Option<Head>> {
        Ok(Head::read(self.bytes(offset, HEAD)?))
    }
}
