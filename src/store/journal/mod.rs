//! The journal: the one order of events, and the point at which they are durable.
//!
//! Segment files of frames, append only. [`Appender`] belongs to the writer and makes one group of frames durable at a
//! time; [`Journal`] is shared and reads. Sealed segments are kept as they were written: they are neither compressed
//! nor erased from. Frame kinds, payload version and segment format leave room for both.

mod append;
mod format;
#[cfg(any(fuzzing, test))]
pub(crate) mod fuzzing;
mod places;
mod reader;
mod recovery;
mod segment;
mod walk;

use std::collections::HashMap;
use std::io;
use std::sync::{Arc, Mutex, PoisonError, RwLock};

pub(super) use append::{AppendError, Appender};
use bytes::Bytes;
pub(super) use format::Mark;
use jiff::Timestamp;
use places::Places;
pub use recovery::TornTail;
pub(super) use segment::FOLDER;
use segment::Segment;
pub use segment::StoreId;
pub(super) use walk::Walk;

use super::disk::{Disk, DiskFile};
use super::error::{OpenError, ReadError, TableError};
use super::table::{Table, TableChange};
use crate::shot::Sequence;

/// The first frame of every journal.
const FIRST: Sequence = Sequence::new(1);
/// Segment files that are kept open for reading.
const OPEN_FILES: usize = 128;
/// Bytes read at once for one frame.
const POINT_WINDOW: usize = 16 * 1024;
/// Bytes read at once when many frames follow each other.
const WALK_WINDOW: usize = 1024 * 1024;
/// Bytes that a frame takes, about: a walk of a few reads little more than them.
const FRAME_BYTES: usize = 1024;

/// The journal as all may read it.
pub(super) struct Journal {
    disk: Arc<dyn Disk>,
    store: StoreId,
    places: RwLock<Places>,
    files: Mutex<HashMap<u64, Arc<dyn DiskFile>>>,
}

/// A journal that was opened, its tail made whole.
pub(super) struct Opened {
    pub(super) journal: Arc<Journal>,
    pub(super) appender: Appender,
    /// The last frame; 0 when there is none.
    pub(super) last: Sequence,
    pub(super) torn: Option<TornTail>,
}

impl Journal {
    /// Whether a disk holds any segment.
    pub(super) fn exists(disk: &dyn Disk) -> Result<bool, OpenError> {
        Ok(!segment::list(disk)?.is_empty())
    }

    /// Opens the journal of a disk; an empty disk gets its first segment, under `new_id`.
    pub(super) fn open(disk: Arc<dyn Disk>, new_id: StoreId) -> Result<Opened, OpenError> {
        let mut firsts = segment::list(&*disk)?;
        if firsts.is_empty() {
            let segment = Segment { store: new_id, first: FIRST };
            segment
                .create(&*disk)
                .map_err(|source| OpenError::io(disk.path(&segment.file()), source))?;
            firsts.push(segment.first);
        }
        let segments = check_headers(&*disk, &firsts)?;
        let mut places = Places::default();
        for segment in &segments {
            places.add_segment(segment.first);
        }
        let Some(&tail_segment) = segments.last() else {
            return Err(OpenError::JournalMissing { path: disk.path(FOLDER) });
        };
        let tail = recovery::recover(&*disk, tail_segment)?;
        let journal = Arc::new(Self {
            disk,
            store: tail_segment.store,
            places: RwLock::new(places),
            files: Mutex::default(),
        });
        let appender = Appender::new(Arc::clone(&journal), tail_segment, &tail)?;
        Ok(Opened { journal, appender, last: tail.last, torn: tail.torn })
    }

    /// The store that this journal belongs to.
    pub(super) const fn store_id(&self) -> StoreId {
        self.store
    }

    /// The disk that it lies on.
    pub(super) fn disk(&self) -> Arc<dyn Disk> {
        Arc::clone(&self.disk)
    }

    /// Where a person finds the journal.
    pub(super) fn path(&self) -> String {
        self.disk.path(FOLDER)
    }

    fn segment(&self, first: Sequence) -> Segment {
        Segment { store: self.store, first }
    }

    fn segment_path(&self, first: Sequence) -> String {
        self.disk.path(&self.segment(first).file())
    }

    fn file(&self, first: Sequence) -> io::Result<Arc<dyn DiskFile>> {
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(file) = files.get(&first.get()) {
            return Ok(Arc::clone(file));
        }
        if files.len() >= OPEN_FILES {
            files.clear();
        }
        let file = self.disk.open(&self.segment(first).file())?;
        files.insert(first.get(), Arc::clone(&file));
        Ok(file)
    }

    /// Takes over the places that the table holds.
    pub(super) fn load_places(&self, table: &dyn Table) -> Result<(), TableError> {
        self.places.write().unwrap_or_else(PoisonError::into_inner).load(table)
    }

    /// Whether every segment that begins at `upto` or before follows on the one before it: the last
    /// frame before each must be there. The places up to `upto` must be known, so that it is found
    /// near by.
    pub(super) fn check_seams(self: &Arc<Self>, upto: Sequence) -> Result<(), ReadError> {
        let firsts = self.places.read().unwrap_or_else(PoisonError::into_inner).segments_upto(upto);
        for first in firsts.into_iter().filter(|&first| first > FIRST) {
            self.raw(Sequence::new(first.get() - 1))?;
        }
        Ok(())
    }

    /// The changes of the places since the last call.
    pub(super) fn take_place_changes(&self) -> Vec<TableChange> {
        self.places.write().unwrap_or_else(PoisonError::into_inner).take_changes()
    }

    fn note_place(&self, sequence: Sequence, offset: u64) {
        self.places.write().unwrap_or_else(PoisonError::into_inner).note(sequence, offset);
    }

    /// Frames `from..=upto` in order.
    pub(super) fn walk(self: &Arc<Self>, from: Sequence, upto: Sequence) -> Walk {
        let frames = upto.get().saturating_sub(from.get());
        let bytes = usize::try_from(frames).unwrap_or(WALK_WINDOW).saturating_mul(FRAME_BYTES);
        Walk::new(Arc::clone(self), from..=upto, bytes.clamp(POINT_WINDOW, WALK_WINDOW))
    }

    /// One frame that is known to be durable.
    fn raw(self: &Arc<Self>, sequence: Sequence) -> Result<format::RawFrame, ReadError> {
        let mut walk = Walk::new(Arc::clone(self), sequence..=sequence, POINT_WINDOW);
        let next = walk.next_raw()?;
        next.ok_or_else(|| unreadable(sequence, "it is not in the journal".to_owned()))
    }

    /// Arrival and text of a shot that is known to be durable; none for any other frame.
    pub(super) fn shot(
        self: &Arc<Self>,
        sequence: Sequence,
    ) -> Result<Option<(Timestamp, Bytes)>, ReadError> {
        let raw = self.raw(sequence)?;
        let arrival = raw.arrival().map_err(|cause| unreadable(sequence, cause))?;
        Ok(raw.shot_text().map(|text| (arrival, text)))
    }

    /// The checksum that a frame carries.
    pub(super) fn checksum(self: &Arc<Self>, sequence: Sequence) -> Result<u32, ReadError> {
        Ok(self.raw(sequence)?.crc)
    }
}

fn unreadable(sequence: Sequence, cause: String) -> ReadError {
    ReadError::Unreadable { sequence, cause }
}

/// Reads all headers; the first segment must be there, and all must belong to the same store.
fn check_headers(disk: &dyn Disk, firsts: &[Sequence]) -> Result<Vec<Segment>, OpenError> {
    let mut segments: Vec<Segment> = Vec::with_capacity(firsts.len());
    if firsts.first() != Some(&FIRST) {
        return Err(OpenError::SegmentMissing { file: disk.path(&segment::file_of(FIRST)) });
    }
    for &first in firsts {
        let segment = Segment::read(disk, first)?;
        if segments.last().is_some_and(|before| before.store != segment.store) {
            return Err(OpenError::Foreign { path: disk.path(&segment.file()) });
        }
        segments.push(segment);
    }
    Ok(segments)
}
