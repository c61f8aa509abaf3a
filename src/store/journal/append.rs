//! Makes groups of frames durable.

use std::io;
use std::sync::{Arc, PoisonError};

use super::Journal;
use super::format::{self, Mark};
use super::recovery::Tail;
use super::segment::{HEADER, Segment};
use crate::shot::Sequence;
use crate::store::disk::DiskFile;
use crate::store::error::OpenError;
use crate::store::frame::Frame;

/// A segment that has grown to this many bytes takes no further group.
const SEGMENT_BYTES: u64 = 32 * 1024 * 1024;
/// Room is taken in steps of this many bytes, so that most syncs need not change the file's size.
const STEP_BYTES: u64 = 4 * 1024 * 1024;

/// Why a group was not made durable.
#[derive(Debug)]
pub(crate) enum AppendError {
    /// There was no room; nothing was written, and the next group may try again.
    Full { cause: String, file: String },
    /// A write or sync failed: what the disk holds now is unknown until the journal is opened anew.
    Failed { cause: String, file: String },
}

/// The end of the journal.
pub(crate) struct Appender {
    journal: Arc<Journal>,
    segment: Segment,
    file: Arc<dyn DiskFile>,
    end: u64,
    allocated: u64,
    buffer: Vec<u8>,
}

impl Appender {
    /// The end of a journal whose tail was recovered.
    pub(super) fn new(
        journal: Arc<Journal>,
        segment: Segment,
        tail: &Tail,
    ) -> Result<Self, OpenError> {
        let opened = journal.file(segment.first).and_then(|file| Ok((file.length()?, file)));
        let (allocated, file) =
            opened.map_err(|source| OpenError::io(journal.segment_path(segment.first), source))?;
        Ok(Self { journal, segment, file, end: tail.end, allocated, buffer: Vec::new() })
    }

    /// Writes frames that follow the last ones in one write, and returns when they are durable.
    pub(crate) fn append(&mut self, frames: &[(Frame, Mark)]) -> Result<(), AppendError> {
        let Some((first, _)) = frames.first() else { return Ok(()) };
        if self.end >= SEGMENT_BYTES {
            self.roll(first.sequence).map_err(|error| self.full_or_failed(&error))?;
        }
        let offsets = self.encode(frames).map_err(|error| self.failed(&error))?;
        self.reserve().map_err(|error| self.full_or_failed(&error))?;
        let written = self.file.write_at(&self.buffer, self.end);
        written.and_then(|()| self.file.sync_data()).map_err(|error| self.failed(&error))?;
        self.end += self.buffer.len() as u64;
        let mut places = self.journal.places.write().unwrap_or_else(PoisonError::into_inner);
        for ((frame, _), offset) in frames.iter().zip(offsets) {
            places.note(frame.sequence, offset);
        }
        Ok(())
    }

    /// Fills the buffer; the offset of every frame.
    fn encode(&mut self, frames: &[(Frame, Mark)]) -> io::Result<Vec<u64>> {
        let seed = self.segment.seed();
        let mut offsets = Vec::with_capacity(frames.len());
        self.buffer.clear();
        for (position, (frame, mark)) in (0_u16..).zip(frames) {
            offsets.push(self.end + self.buffer.len() as u64);
            format::write(&mut self.buffer, frame, (position, *mark), seed)?;
        }
        Ok(offsets)
    }

    /// Takes room for the buffer before anything is written.
    fn reserve(&mut self) -> io::Result<()> {
        let needed = self.end + self.buffer.len() as u64;
        if needed > self.allocated {
            let length = (needed - self.allocated).next_multiple_of(STEP_BYTES);
            self.file.allocate(self.allocated, length)?;
            self.allocated += length;
        }
        Ok(())
    }

    /// Goes on in a new segment that begins with `first`.
    fn roll(&mut self, first: Sequence) -> io::Result<()> {
        let segment = Segment { first, ..self.segment };
        self.file = segment.create(&*self.journal.disk)?;
        self.segment = segment;
        self.end = HEADER;
        self.allocated = self.file.length()?;
        let mut places = self.journal.places.write().unwrap_or_else(PoisonError::into_inner);
        places.add_segment(first);
        Ok(())
    }

    fn failed(&self, error: &io::Error) -> AppendError {
        let file = self.journal.disk.path(&self.segment.file());
        AppendError::Failed { cause: error.to_string(), file }
    }

    fn full_or_failed(&self, error: &io::Error) -> AppendError {
        let file = self.journal.disk.path(&self.segment.file());
        let cause = error.to_string();
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                AppendError::Full { cause, file }
            }
            _ => AppendError::Failed { cause, file },
        }
    }
}
