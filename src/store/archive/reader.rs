//! Reads an archive line by line, and trusts none.

use super::line::{self, Line, Told};
use super::{ArchiveHead, End, FORMAT};
use crate::shot::Sequence;
use crate::store::frame::{Entry, Frame};

/// Frames that an archive may tell of at most: ten times those of the largest store that the service
/// is made for. A line of holes tells of many, and each is written.
const FRAMES_MAX: u64 = 100_000_000;

/// What is wrong with a line of an archive.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadLine {
    /// The first line is no head of an export.
    #[error("the first line is not the head of an export ({FORMAT}): send a whole export")]
    NoHead,
    /// A newer release wrote the export.
    #[error("the export has the format \"{0}\", and this release reads {FORMAT}")]
    OtherFormat(String),
    /// It tells of more frames than are taken.
    #[error("the export tells of {0} frames, and {FRAMES_MAX} are the most that are taken")]
    TooMany(Sequence),
    /// A line cannot be read.
    #[error("the line cannot be read: {0}")]
    Unreadable(String),
    /// A sequence is left out, or comes twice.
    #[error("the line has the sequence {found}, and {expected} is due: a line is missing or moved")]
    OutOfOrder {
        /// What it has.
        found: Sequence,
        /// What was due.
        expected: Sequence,
    },
    /// The counts or the hash of the last line are others.
    #[error(
        "the last line's counts or hash are not those of the lines before: the file was changed"
    )]
    NotTheSame,
    /// Something follows the last line.
    #[error("a line follows the end of the export")]
    AfterTheEnd,
    /// The lines stop before the end.
    #[error("the export has no last line: it was cut off, send it whole")]
    CutOff,
}

/// How far an archive was read.
#[derive(Debug)]
pub(in crate::store) struct Reader {
    hasher: blake3::Hasher,
    head: Option<ArchiveHead>,
    next: Sequence,
    shots: u64,
    ended: bool,
}

impl Reader {
    pub(in crate::store) fn new() -> Self {
        let (hasher, next) = (blake3::Hasher::new(), Sequence::new(1));
        Self { hasher, head: None, next, shots: 0, ended: false }
    }

    /// Reads the next line, without its end; whether it tells of frames.
    pub(in crate::store) fn line(&mut self, text: &[u8]) -> Result<bool, BadLine> {
        if self.ended {
            return Err(BadLine::AfterTheEnd);
        }
        let read: Result<Line<'_>, _> = serde_json::from_slice(text);
        let Some(head) = &self.head else {
            self.head = Some(head_of(read.ok())?);
            self.take(text);
            return Ok(false);
        };
        let mut line = read.map_err(|error| BadLine::Unreadable(error.to_string()))?;
        if let Some(end) = line.end.take() {
            let expected = End {
                frames: self.next.get() - 1,
                shots: self.shots,
                blake3: self.hasher.finalize().to_hex().to_string(),
            };
            self.ended = end == expected && head.last_sequence.get() == expected.frames;
            return if self.ended { Ok(false) } else { Err(BadLine::NotTheSame) };
        }
        let told = line.told().map_err(BadLine::Unreadable)?;
        let (found, expected) = (told.first(), self.next);
        let due = head.last_sequence.get().saturating_sub(expected.get() - 1);
        if found != expected || told.count() == 0 || told.count() > due {
            return Err(BadLine::OutOfOrder { found, expected });
        }
        self.next = Sequence::new(expected.get() + told.count());
        let is_shot = |frame: &Frame| matches!(frame.entry, Entry::Shot { .. });
        self.shots += u64::from(matches!(&told, Told::Frame(frame) if is_shot(frame)));
        self.take(text);
        Ok(true)
    }

    /// Says that no line follows: frames and shots that were told of.
    pub(in crate::store) fn finish(&self) -> Result<(u64, u64), BadLine> {
        match (&self.head, self.ended) {
            (None, _) => Err(BadLine::NoHead),
            (_, false) => Err(BadLine::CutOff),
            (_, true) => Ok((self.next.get() - 1, self.shots)),
        }
    }

    fn take(&mut self, text: &[u8]) {
        self.hasher.update(text);
        self.hasher.update(b"\n");
    }
}

fn head_of(line: Option<Line<'_>>) -> Result<ArchiveHead, BadLine> {
    let head = line.and_then(|line| line.head).ok_or(BadLine::NoHead)?;
    if head.format != FORMAT {
        return Err(BadLine::OtherFormat(head.format));
    }
    if head.last_sequence.get() > FRAMES_MAX {
        return Err(BadLine::TooMany(head.last_sequence));
    }
    Ok(head)
}

/// Reads a line again that was read before.
pub(in crate::store) fn again(text: &[u8]) -> Result<Told, String> {
    line::read(text)
}
