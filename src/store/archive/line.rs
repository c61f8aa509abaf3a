//! One line of an archive.

use bytes::Bytes;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::{ArchiveHead, End};
use crate::shot::{Act, Hole, RetiredShot, Sequence, Settled};
use crate::store::frame::{Entry, Frame};

/// What a line may hold; one of its forms at a time.
#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Line<'a> {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) head: Option<ArchiveHead>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sequence: Option<Sequence>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    arrival: Option<Timestamp>,
    /// An event as sent.
    #[serde(default, borrow, skip_serializing_if = "Option::is_none")]
    shot: Option<&'a RawValue>,
    /// An event as sent that stood on several lines, as a string.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shot_text: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    settled: Option<Settled>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    act: Option<Act>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    retired: Option<RetiredShot>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hole: Option<Hole>,
    /// How many plain holes there are from the sequence on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    holes: Option<u64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) end: Option<End>,
}

/// What a line tells of.
#[derive(Debug)]
pub(in crate::store) enum Told {
    /// One frame.
    Frame(Box<Frame>),
    /// Plain holes.
    Holes {
        /// The first.
        first: Sequence,
        /// How many.
        count: u64,
    },
}

impl Told {
    /// Its first frame.
    pub(in crate::store) fn first(&self) -> Sequence {
        match self {
            Self::Frame(frame) => frame.sequence,
            Self::Holes { first, .. } => *first,
        }
    }

    /// How many frames it tells of.
    pub(in crate::store) fn count(&self) -> u64 {
        match self {
            Self::Frame(_) => 1,
            Self::Holes { count, .. } => *count,
        }
    }
}

/// A frame that says nothing.
pub(in crate::store) fn plain_hole(sequence: Sequence) -> Frame {
    let entry = Entry::Hole(Box::default());
    Frame { sequence, arrival: Timestamp::UNIX_EPOCH, entry }
}

impl Line<'_> {
    /// The first line.
    pub(super) fn of_head(head: ArchiveHead) -> Self {
        Self { head: Some(head), ..Self::default() }
    }

    /// The last line.
    pub(super) fn of_end(end: End) -> Self {
        Self { end: Some(end), ..Self::default() }
    }
}

/// Writes a frame as a line, without its end.
pub(super) fn write(frame: &Frame, out: &mut Vec<u8>) -> serde_json::Result<()> {
    let sequence = Some(frame.sequence);
    let line = match &frame.entry {
        Entry::Shot { text, settled, .. } => {
            let on_one_line = on_one_line(text);
            let as_text = || String::from_utf8_lossy(text).into_owned();
            Line {
                sequence,
                arrival: Some(frame.arrival),
                shot_text: on_one_line.is_none().then(as_text),
                shot: on_one_line,
                settled: settled.as_deref().cloned(),
                ..Line::default()
            }
        }
        Entry::Act(act) => Line {
            sequence,
            arrival: Some(frame.arrival),
            act: Some((**act).clone()),
            ..Line::default()
        },
        Entry::Retired(shot) => {
            Line { sequence, retired: Some((**shot).clone()), ..Line::default() }
        }
        Entry::Hole(hole) => Line { sequence, hole: Some((**hole).clone()), ..Line::default() },
    };
    serde_json::to_writer(out, &line)
}

/// Writes a run of plain holes as a line, without its end.
pub(super) fn write_holes(first: u64, count: u64, out: &mut Vec<u8>) -> serde_json::Result<()> {
    let sequence = Some(Sequence::new(first));
    serde_json::to_writer(out, &Line { sequence, holes: Some(count), ..Line::default() })
}

/// An event that may stand in a line to the byte.
fn on_one_line(text: &[u8]) -> Option<&RawValue> {
    let whole = text.first() == Some(&b'{') && text.last() == Some(&b'}');
    let on_one_line = whole && !text.iter().any(|byte| matches!(byte, b'\n' | b'\r'));
    if on_one_line { serde_json::from_slice(text).ok() } else { None }
}

impl Line<'_> {
    /// The frames of a line that tells of some; what is wrong if it does not.
    pub(super) fn told(self) -> Result<Told, String> {
        let sequence = self.sequence.ok_or("it has no sequence")?;
        let text = match (self.shot, self.shot_text) {
            (Some(event), None) => Some(event.get().to_owned()),
            (None, text) => text,
            (Some(_), Some(_)) => return Err("it has a shot twice".to_owned()),
        };
        let entry = match (text, self.act, self.retired, self.hole, self.holes) {
            (Some(text), None, None, None, None) => {
                let text = Bytes::from(text);
                let event = crate::shot::parse(&text).map_err(|fault| fault.to_string())?;
                Entry::Shot { event, text, settled: self.settled.map(Box::new) }
            }
            (None, Some(act), None, None, None) => Entry::Act(Box::new(act)),
            (None, None, Some(shot), None, None) => Entry::Retired(Box::new(shot)),
            (None, None, None, Some(hole), None) => Entry::Hole(Box::new(hole)),
            (None, None, None, None, Some(count)) => {
                return Ok(Told::Holes { first: sequence, count });
            }
            _ => return Err("it is neither a shot, an act, what is left nor holes".to_owned()),
        };
        let arrival = match entry {
            Entry::Shot { .. } | Entry::Act(_) => self.arrival.ok_or("it has no arrival")?,
            Entry::Retired(_) | Entry::Hole(_) => Timestamp::UNIX_EPOCH,
        };
        Ok(Told::Frame(Box::new(Frame { sequence, arrival, entry })))
    }
}

/// Reads a line that tells of frames.
pub(in crate::store) fn read(text: &[u8]) -> Result<Told, String> {
    let line: Line<'_> = serde_json::from_slice(text).map_err(|error| error.to_string())?;
    line.told()
}
