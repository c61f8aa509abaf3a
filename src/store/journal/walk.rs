//! Walks frames in order, from segment to segment.

use std::io;
use std::ops::RangeInclusive;
use std::sync::{Arc, PoisonError};

use super::format::RawFrame;
use super::reader::{Found, Reader};
use super::segment::HEADER;
use super::{Journal, unreadable};
use crate::shot::Sequence;
use crate::store::error::ReadError;
use crate::store::frame::Frame;

/// A walk over durable frames. It ends after the last one it was asked for, or at the first error.
pub(crate) struct Walk {
    journal: Arc<Journal>,
    next: Sequence,
    upto: Sequence,
    window: usize,
    at: Option<(Reader, u64)>,
}

impl Walk {
    pub(super) fn new(
        journal: Arc<Journal>,
        range: RangeInclusive<Sequence>,
        window: usize,
    ) -> Self {
        Self { journal, next: *range.start(), upto: *range.end(), window, at: None }
    }

    /// The next frame; none after the last.
    pub(crate) fn next(&mut self) -> Result<Option<Frame>, ReadError> {
        let Some(raw) = self.next_raw()? else { return Ok(None) };
        raw.decode().map(Some).map_err(|cause| unreadable(raw.sequence, cause))
    }

    /// The next frame, whose place is noted if it was not known; for a replay.
    pub(crate) fn next_noting_place(&mut self) -> Result<Option<Frame>, ReadError> {
        let Some(raw) = self.next_raw()? else { return Ok(None) };
        self.journal.note_place(raw.sequence, raw.start);
        raw.decode().map(Some).map_err(|cause| unreadable(raw.sequence, cause))
    }

    /// The next frame, not decoded.
    pub(super) fn next_raw(&mut self) -> Result<Option<RawFrame>, ReadError> {
        if self.next > self.upto {
            return Ok(None);
        }
        let (mut reader, offset) = match self.at.take() {
            Some(at) => at,
            None => self.seek()?,
        };
        match reader.frame(offset).map_err(|error| self.failed(&reader, error))? {
            Found::Frame(raw) if raw.sequence == self.next => {
                self.next = Sequence::new(self.next.get() + 1);
                self.at = Some((reader, raw.end));
                Ok(Some(raw))
            }
            Found::Nothing if self.next_segment_follows(&reader) => {
                self.at = Some((self.reader(self.next)?, HEADER));
                self.next_raw()
            }
            _ => Err(self.damaged(&reader, offset)),
        }
    }

    fn next_segment_follows(&self, reader: &Reader) -> bool {
        let places = self.journal.places.read().unwrap_or_else(PoisonError::into_inner);
        places.after(reader.segment.first) == Some(self.next)
    }

    fn reader(&self, first: Sequence) -> Result<Reader, ReadError> {
        let segment = self.journal.segment(first);
        let file = self.journal.file(first);
        let file = file
            .map_err(|source| ReadError::Io { file: self.journal.segment_path(first), source })?;
        Ok(Reader::new(segment, file, self.window))
    }

    /// A reader and the offset of the next frame in it.
    fn seek(&self) -> Result<(Reader, u64), ReadError> {
        let places = self.journal.places.read().unwrap_or_else(PoisonError::into_inner);
        let place = places.locate(self.next);
        drop(places);
        let (first, near) =
            place.ok_or_else(|| unreadable(self.next, "no segment holds it".to_owned()))?;
        let mut reader = self.reader(first)?;
        if let Some(offset) = self.pass_over(&mut reader, near)? {
            return Ok((reader, offset));
        }
        // A place from the table may be wrong: the way from the segment's start is always right.
        match self.pass_over(&mut reader, HEADER)? {
            Some(offset) => Ok((reader, offset)),
            None => Err(self.damaged(&reader, near)),
        }
    }

    /// Walks heads from an offset to the next frame; none when the heads do not lead there.
    fn pass_over(&self, reader: &mut Reader, from: u64) -> Result<Option<u64>, ReadError> {
        let mut offset = from;
        loop {
            let head = reader.head(offset).map_err(|error| self.failed(reader, error))?;
            match head {
                Some(head) if head.sequence == self.next => return Ok(Some(offset)),
                Some(head) if head.sequence < self.next => offset += head.size() as u64,
                _ => return Ok(None),
            }
        }
    }

    fn damaged(&self, reader: &Reader, offset: u64) -> ReadError {
        ReadError::Damaged { file: self.journal.segment_path(reader.segment.first), offset }
    }

    fn failed(&self, reader: &Reader, source: io::Error) -> ReadError {
        ReadError::Io { file: self.journal.segment_path(reader.segment.first), source }
    }
}
