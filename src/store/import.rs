//! Stores an archive that was received whole: the frames of another store, with their sequences and
//! times, into one that holds nothing.

use std::io;

use super::archive::{Received, Told, Unfinished, commit, plain_hole};
use super::error::{ImportError, TableError, WriteError};
use super::frame::Frame;
use super::identity::Known;
use super::journal::Mark;
use super::projection::Projection;
use super::writer::{GROUP_FRAMES, Writer};
use crate::shot::Sequence;

/// A group of imported frames is closed at about so many bytes.
const GROUP_BYTES: usize = 4 * 1024 * 1024;

/// What became of an archive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Imported {
    /// Frames it held, holes included.
    pub frames: u64,
    /// Shots it told whole.
    pub shots: u64,
    /// Shots left out, since an earlier one has their identity.
    pub left_out: u64,
}

impl<P: Projection> Writer<P> {
    /// Stores an archive that was received, if nothing is stored yet; shots that were left out. The
    /// archive is held until then, so that no other begins, whoever still waits for the answer.
    pub(super) fn import(&mut self, archive: Received) -> Result<u64, ImportError> {
        if let Some(refusal) = self.shared.health.refusal() {
            return Err(refusal.into());
        }
        if self.shared.last() > Sequence::new(0) {
            return Err(ImportError::NotEmpty);
        }
        let disk = self.shared.journal.disk();
        commit(&*disk).map_err(|error| ImportError::io(Unfinished::path(&*disk), &error))?;
        let stored = self.finish_import().map_err(ImportError::Unfinished);
        drop(archive);
        stored
    }

    /// Stores what is not stored of an archive whose import has begun. If that fails, nothing else is
    /// stored until a restart has finished it.
    pub(super) fn finish_import(&mut self) -> Result<u64, WriteError> {
        self.store_unfinished().inspect_err(|error| {
            let cause = format!("an import is unfinished, a restart goes on with it: {error}");
            let path = Unfinished::path(&*self.shared.journal.disk());
            self.shared.health.refuse(&cause, &path);
        })
    }

    fn store_unfinished(&mut self) -> Result<u64, WriteError> {
        let disk = self.shared.journal.disk();
        let failed = |error: io::Error| WriteError::Unavailable {
            cause: error.to_string(),
            file: Unfinished::path(&*disk),
        };
        let Some(mut archive) = Unfinished::open(&*disk).map_err(failed)? else { return Ok(0) };
        // Its name is durable before the first of its frames is.
        disk.sync_folder("").map_err(failed)?;
        let (mut group, mut bytes, mut left_out) = (Vec::new(), 0, 0);
        while let Some(told) = archive.next().map_err(failed)? {
            for frame in frames_of(told) {
                if frame.sequence <= self.shared.last() {
                    continue;
                }
                bytes += frame.size();
                group.push(frame);
                if group.len() == GROUP_FRAMES || bytes >= GROUP_BYTES {
                    left_out += self.store_imported(std::mem::take(&mut group))?;
                    bytes = 0;
                }
            }
        }
        left_out += self.store_imported(group)?;
        Unfinished::remove(&*disk).map_err(failed)?;
        Ok(left_out)
    }

    /// Makes a group durable and folds it; how many of its shots were left out.
    fn store_imported(&mut self, frames: Vec<Frame>) -> Result<u64, WriteError> {
        let mut left_out = 0;
        let mut group = Vec::with_capacity(frames.len());
        for frame in frames {
            match self.is_taken(&frame) {
                Ok(false) => group.push((frame, Mark::Ends)),
                Ok(true) => {
                    left_out += 1;
                    group.push((plain_hole(frame.sequence), Mark::Ends));
                }
                Err(error) => {
                    self.unclaim(&group);
                    return Err(error);
                }
            }
        }
        if let Err(error) = self.appender.append(&group) {
            self.unclaim(&group);
            return Err(super::writer::write_error(&error));
        }
        for (frame, _) in group {
            self.shared.projection.absorb(&frame);
            self.shared.bury_gone(frame.sequence)?;
            self.shared.advance_and_tell(frame.sequence);
        }
        self.hand_over_if_due();
        Ok(left_out)
    }

    /// Enters the identity of a frame that has one; whether an earlier frame has the same.
    fn is_taken(&self, frame: &Frame) -> Result<bool, WriteError> {
        let mut identities = self.shared.identities();
        if let Some(keyed) = frame.entry.keyed() {
            identities.note_gone(keyed, frame.sequence);
        }
        let Some(identity) = frame.entry.identity() else { return Ok(false) };
        let known = identities.claim(identity, frame.sequence);
        let known = known.map_err(super::error::ReadError::from)?;
        Ok(known.is_some_and(|known| known != Known::Stored(frame.sequence)))
    }

    /// Takes back what a group entered that was not stored: else the next start would find its
    /// identities taken, by itself.
    fn unclaim(&self, group: &[(Frame, Mark)]) {
        let mut identities = self.shared.identities();
        for (frame, _) in group {
            if let Some(keyed) = frame.entry.keyed() {
                identities.forget_gone(keyed, frame.sequence);
            }
            if let Some((source, id)) = frame.entry.identity()
                && let Err(TableError { file, cause }) = identities.release(source, id)
            {
                self.shared.health.refuse(&cause, &file);
            }
        }
    }
}

/// The frames that a line tells of.
fn frames_of(told: Told) -> Box<dyn Iterator<Item = Frame>> {
    match told {
        Told::Frame(frame) => Box::new(std::iter::once(*frame)),
        Told::Holes { first, count } => {
            // Its reader took no more than it takes of all frames.
            let numbers = first.get()..first.get() + count;
            Box::new(numbers.map(|number| plain_hole(Sequence::new(number))))
        }
    }
}
