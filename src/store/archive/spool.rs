//! An archive on its way in: received into a file of its own, and stored only when it is whole.
//!
//! The file has one name while it is received and another once it is verified and its frames are on
//! their way into the journal. What is found under the first at a start is removed; what is found
//! under the second is finished.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::line::Told;
use super::reader::{self, Reader};
use crate::store::disk::{Disk, DiskFile};
use crate::store::error::ImportError;

const RECEIVED: &str = "import.part";
const VERIFIED: &str = "import.ndjson";
/// What an import may leave at the top of a data folder.
pub(in crate::store) const NAMES: [&str; 2] = [RECEIVED, VERIFIED];
/// Bytes written or read at once.
const WINDOW: usize = 1024 * 1024;

/// An archive that is being received.
pub struct Spool {
    disk: Arc<dyn Disk>,
    file: Arc<dyn DiskFile>,
    end: u64,
    buffer: Vec<u8>,
    reader: Reader,
    lines: u64,
    /// Whether one is under way; cleared when this one is dropped.
    under_way: Arc<AtomicBool>,
}

impl Spool {
    /// Begins an archive, unless one is under way.
    pub(in crate::store) fn begin(
        disk: Arc<dyn Disk>,
        under_way: &Arc<AtomicBool>,
    ) -> Result<Self, ImportError> {
        if under_way.swap(true, Ordering::AcqRel) {
            return Err(ImportError::UnderWay);
        }
        let under_way = Arc::clone(under_way);
        match disk.create(RECEIVED) {
            Ok(file) => {
                let (buffer, reader) = (Vec::new(), Reader::new());
                Ok(Self { disk, file, end: 0, buffer, reader, lines: 0, under_way })
            }
            Err(error) => {
                under_way.store(false, Ordering::Release);
                Err(ImportError::io(disk.path(RECEIVED), &error))
            }
        }
    }

    /// Takes the next line, without its end.
    ///
    /// # Errors
    /// A line that is none of an export's, or no room for it.
    pub fn line(&mut self, text: &[u8]) -> Result<(), ImportError> {
        self.lines += 1;
        let line = self.lines;
        let told = self.reader.line(text).map_err(|fault| ImportError::Line { line, fault })?;
        if told {
            self.buffer.extend_from_slice(text);
            self.buffer.push(b'\n');
        }
        if self.buffer.len() >= WINDOW { self.flush() } else { Ok(()) }
    }

    /// Makes the archive durable, if it is whole; blocks while it is synced.
    ///
    /// # Errors
    /// `Line` if it is not whole, or no room for the rest of it.
    pub fn finish(mut self) -> Result<Received, ImportError> {
        let line = self.lines + 1;
        let counts = self.reader.finish().map_err(|fault| ImportError::Line { line, fault })?;
        self.flush()?;
        self.file.sync_data().map_err(|error| self.failed(&error))?;
        let (frames, shots) = counts;
        Ok(Received { frames, shots, _spool: self })
    }

    fn flush(&mut self) -> Result<(), ImportError> {
        let written = self.file.write_at(&self.buffer, self.end);
        written.map_err(|error| self.failed(&error))?;
        self.end += self.buffer.len() as u64;
        self.buffer.clear();
        Ok(())
    }

    fn failed(&self, error: &io::Error) -> ImportError {
        ImportError::io(self.disk.path(RECEIVED), error)
    }
}

/// An archive that was received whole.
pub struct Received {
    /// Frames, holes included.
    pub frames: u64,
    /// Shots told whole.
    pub shots: u64,
    /// Keeps the file, and others from beginning.
    _spool: Spool,
}

impl Drop for Spool {
    fn drop(&mut self) {
        // It may have its other name by now, or be gone; the next start removes it, too.
        drop(self.disk.remove(RECEIVED));
        self.under_way.store(false, Ordering::Release);
    }
}

/// Removes what was received only in part before a stop.
pub(in crate::store) fn discard_received(disk: &dyn Disk) -> io::Result<()> {
    if disk.list("")?.iter().any(|name| name == RECEIVED) { disk.remove(RECEIVED) } else { Ok(()) }
}

/// From now on a start finishes the archive that was received, whatever stops it.
pub(in crate::store) fn commit(disk: &dyn Disk) -> io::Result<()> {
    disk.rename(RECEIVED, VERIFIED)
}

/// A verified archive whose frames may not all be stored.
pub(in crate::store) struct Unfinished {
    file: Arc<dyn DiskFile>,
    at: u64,
    window: Vec<u8>,
    used: usize,
}

impl Unfinished {
    /// The archive that a disk has, if it has one.
    pub(in crate::store) fn open(disk: &dyn Disk) -> io::Result<Option<Self>> {
        if !disk.list("")?.iter().any(|name| name == VERIFIED) {
            return Ok(None);
        }
        let file = disk.open(VERIFIED)?;
        Ok(Some(Self { file, at: 0, window: Vec::new(), used: 0 }))
    }

    /// Where a person finds it.
    pub(in crate::store) fn path(disk: &dyn Disk) -> String {
        disk.path(VERIFIED)
    }

    /// Removes it: all its frames are stored.
    pub(in crate::store) fn remove(disk: &dyn Disk) -> io::Result<()> {
        disk.remove(VERIFIED)?;
        disk.sync_folder("")
    }

    /// The next frames; none after the last.
    pub(in crate::store) fn next(&mut self) -> io::Result<Option<Told>> {
        loop {
            if let Some(length) = memchr::memchr(b'\n', &self.window[self.used..]) {
                let line = &self.window[self.used..self.used + length];
                let told = reader::again(line);
                self.used += length + 1;
                let damaged = |cause| io::Error::new(io::ErrorKind::InvalidData, cause);
                return told.map(Some).map_err(damaged);
            }
            self.window.drain(..self.used);
            self.used = 0;
            let held = self.window.len();
            self.window.resize(held + WINDOW, 0);
            let read = self.file.read_at(&mut self.window[held..], self.at)?;
            self.window.truncate(held + read);
            self.at += read as u64;
            if read == 0 {
                return Ok(None);
            }
        }
    }
}
