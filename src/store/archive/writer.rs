//! Writes an archive.

use super::{ArchiveHead, End, line};
use crate::shot::{Hole, Sequence};
use crate::store::frame::{Entry, Frame};

/// Writes the lines of an archive, in whatever parts its frames come.
#[derive(Debug)]
pub struct ArchiveWriter {
    hasher: blake3::Hasher,
    /// Plain holes that were not written yet: the first, and how many.
    holes: Option<(u64, u64)>,
    frames: u64,
    shots: u64,
}

impl ArchiveWriter {
    /// Begins with the head.
    #[must_use]
    pub fn begin(head: ArchiveHead, out: &mut Vec<u8>) -> Self {
        let mut new = Self { hasher: blake3::Hasher::new(), holes: None, frames: 0, shots: 0 };
        let head = line::Line::of_head(head);
        new.line(out, |out| serde_json::to_writer(out, &head));
        new
    }

    /// Goes on with the next frame.
    pub fn frame(&mut self, frame: &Frame, out: &mut Vec<u8>) {
        self.frames += 1;
        if let Entry::Hole(hole) = &frame.entry
            && **hole == Hole::default()
        {
            let (_, count) = self.holes.get_or_insert((frame.sequence.get(), 0));
            *count += 1;
            return;
        }
        self.shots += u64::from(matches!(frame.entry, Entry::Shot { .. }));
        self.write_holes(out);
        self.line(out, |out| line::write(frame, out));
    }

    /// Ends with the counts and the hash.
    pub fn end(mut self, out: &mut Vec<u8>) {
        self.write_holes(out);
        let blake3 = self.hasher.finalize().to_hex().to_string();
        let end = End { frames: self.frames, shots: self.shots, blake3 };
        let end = line::Line::of_end(end);
        self.line(out, |out| serde_json::to_writer(out, &end));
    }

    /// The last frame that was given to it, counted from the first.
    #[must_use]
    pub const fn last(&self) -> Sequence {
        Sequence::new(self.frames)
    }

    fn write_holes(&mut self, out: &mut Vec<u8>) {
        if let Some((first, count)) = self.holes.take() {
            self.line(out, |out| line::write_holes(first, count, out));
        }
    }

    fn line(
        &mut self,
        out: &mut Vec<u8>,
        write: impl FnOnce(&mut Vec<u8>) -> serde_json::Result<()>,
    ) {
        let from = out.len();
        // Names, numbers, words and texts always have a JSON form.
        if let Err(error) = write(out) {
            tracing::error!(%error, "a frame has no line in an export");
        }
        out.push(b'\n');
        self.hasher.update(&out[from..]);
    }
}
