//! A frame as bytes.
//!
//! ```text
//! length u32 | CRC-32C u32 | sequence u64 | position u16 | kind u8 | mark u8 | payload
//! ```
//! Numbers are little-endian. The length is the payload's; the checksum covers the segment, the length and all that
//! follows. `position` counts the frames before this one in its group commit: with it, recovery knows which frames were
//! written together, and so whether anything was ever durable after a hole. The mark joins a frame to the next one of an
//! all-or-nothing batch. The payload is `version u8 | arrival: seconds i64, nanoseconds i32 | body`; the body of a shot
//! is the text as sent, that of an act its JSON. A shot that says what was settled when it came has the length of that
//! (u32) and its JSON before its text; what is left of a retired shot, and a hole, are JSON.

use bytes::Bytes;
use jiff::Timestamp;
use serde::de::DeserializeOwned;

use super::segment::field;
use crate::shot::{Sequence, Settled};
use crate::store::frame::{Entry, Frame};

/// Bytes before the payload.
pub(super) const HEAD: usize = 20;
/// No payload is longer: an all-or-nothing body of 16 MiB may be one text.
pub(super) const MAX_PAYLOAD: usize = 16 * 1024 * 1024 + PREFIX;
const PAYLOAD_VERSION: u8 = 1;
/// Bytes of a payload before its body.
const PREFIX: usize = 13;
const SHOT: u8 = 1;
const ACT: u8 = 2;
const SETTLED_SHOT: u8 = 3;
const RETIRED_SHOT: u8 = 4;
const HOLE: u8 = 5;

/// Whether a frame stands or falls with the next one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    /// It stands alone, or ends its all-or-nothing batch.
    Ends = 0,
    /// The batch goes on.
    Joined = 1,
}

/// A whole frame whose checksum holds.
#[derive(Clone, Debug)]
pub(crate) struct RawFrame {
    pub(super) sequence: Sequence,
    pub(super) position: u16,
    pub(super) mark: Mark,
    pub(super) crc: u32,
    /// Its offset in the segment.
    pub(super) start: u64,
    /// Offset of the byte after it.
    pub(super) end: u64,
    kind: u8,
    payload: Bytes,
}

/// The fields before the payload, as read, checked against nothing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Head {
    pub(super) length: usize,
    pub(super) crc: u32,
    pub(super) sequence: Sequence,
    position: u16,
    kind: u8,
    mark: u8,
}

impl Head {
    /// The head at the start of `bytes`; none when there is no room for one or its length is beyond all bounds.
    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        if bytes.len() < HEAD {
            return None;
        }
        let length = u32::from_le_bytes(field(bytes, 0)) as usize;
        (PREFIX..=MAX_PAYLOAD).contains(&length).then(|| Self {
            length,
            crc: u32::from_le_bytes(field(bytes, 4)),
            sequence: Sequence::new(u64::from_le_bytes(field(bytes, 8))),
            position: u16::from_le_bytes(field(bytes, 16)),
            kind: bytes[18],
            mark: bytes[19],
        })
    }

    /// Bytes of the whole frame.
    pub(super) const fn size(&self) -> usize {
        HEAD + self.length
    }
}

/// The frame at the start of `bytes`, which lie at `offset` of a segment with this seed; none unless it is whole and good.
pub(super) fn read(bytes: &[u8], seed: u32, offset: u64) -> Option<RawFrame> {
    let head = Head::read(bytes)?;
    let whole = bytes.get(..head.size())?;
    let mark = match head.mark {
        0 => Mark::Ends,
        1 => Mark::Joined,
        _ => return None,
    };
    (checksum(whole, seed) == head.crc).then(|| RawFrame {
        sequence: head.sequence,
        position: head.position,
        mark,
        crc: head.crc,
        start: offset,
        end: offset + head.size() as u64,
        kind: head.kind,
        payload: Bytes::copy_from_slice(&whole[HEAD..]),
    })
}

/// The checksum of a whole frame, its own four bytes left out.
pub(super) fn checksum(frame: &[u8], seed: u32) -> u32 {
    crc32c::crc32c_append(crc32c::crc32c_append(seed, &frame[..4]), &frame[8..])
}

/// Appends a frame to `out`.
pub(super) fn write(
    out: &mut Vec<u8>,
    frame: &Frame,
    (position, mark): (u16, Mark),
    seed: u32,
) -> serde_json::Result<()> {
    let start = out.len();
    let kind = match &frame.entry {
        Entry::Shot { settled: None, .. } => SHOT,
        Entry::Shot { settled: Some(_), .. } => SETTLED_SHOT,
        Entry::Act(_) => ACT,
        Entry::Retired(_) => RETIRED_SHOT,
        Entry::Hole(_) => HOLE,
    };
    out.extend_from_slice(&[0; 8]);
    out.extend_from_slice(&frame.sequence.get().to_le_bytes());
    out.extend_from_slice(&position.to_le_bytes());
    out.extend_from_slice(&[kind, mark as u8, PAYLOAD_VERSION]);
    out.extend_from_slice(&frame.arrival.as_second().to_le_bytes());
    out.extend_from_slice(&frame.arrival.subsec_nanosecond().to_le_bytes());
    match &frame.entry {
        Entry::Shot { text, settled, .. } => {
            if let Some(settled) = settled {
                let settled = serde_json::to_vec(settled)?;
                let length = u32::try_from(settled.len()).map_err(serde::ser::Error::custom)?;
                out.extend_from_slice(&length.to_le_bytes());
                out.extend_from_slice(&settled);
            }
            out.extend_from_slice(text);
        }
        Entry::Act(act) => serde_json::to_writer(&mut *out, act)?,
        Entry::Retired(shot) => serde_json::to_writer(&mut *out, shot)?,
        Entry::Hole(hole) => serde_json::to_writer(&mut *out, hole)?,
    }
    let length = out.len() - start - HEAD;
    let length = u32::try_from(length).map_err(serde::ser::Error::custom)?;
    out[start..start + 4].copy_from_slice(&length.to_le_bytes());
    let crc = checksum(&out[start..], seed);
    out[start + 4..start + 8].copy_from_slice(&crc.to_le_bytes());
    Ok(())
}

impl RawFrame {
    /// The sequence of the first frame that was committed together with this one.
    pub(super) fn group(&self) -> Sequence {
        Sequence::new(self.sequence.get().saturating_sub(u64::from(self.position)))
    }

    /// Whether the body is a shot's text.
    pub(super) fn shot_text(&self) -> Option<Bytes> {
        match self.kind {
            SHOT => Some(self.payload.slice(PREFIX..)),
            SETTLED_SHOT => self.settled().ok().map(|(_, text)| text),
            _ => None,
        }
    }

    /// What was settled when a shot came, and its text.
    fn settled(&self) -> Result<(Settled, Bytes), String> {
        let body = self.payload.slice(PREFIX..);
        let length = body.first_chunk::<4>().map(|four| u32::from_le_bytes(*four) as usize);
        let end = length.and_then(|length| length.checked_add(4)).filter(|end| *end <= body.len());
        let end = end.ok_or("it is shorter than it says")?;
        let settled = serde_json::from_slice(&body[4..end]).map_err(|error| error.to_string())?;
        Ok((settled, body.slice(end..)))
    }

    /// When the writer took it in.
    pub(super) fn arrival(&self) -> Result<Timestamp, String> {
        if self.payload[0] != PAYLOAD_VERSION {
            return Err(format!("its payload has version {}", self.payload[0]));
        }
        let seconds = i64::from_le_bytes(field(&self.payload, 1));
        let nanoseconds = i32::from_le_bytes(field(&self.payload, 9));
        Timestamp::new(seconds, nanoseconds).map_err(|error| error.to_string())
    }

    /// What the frame says.
    pub(super) fn decode(&self) -> Result<Frame, String> {
        let arrival = self.arrival()?;
        let body = self.payload.slice(PREFIX..);
        let entry = match self.kind {
            SHOT => shot(body, None)?,
            SETTLED_SHOT => {
                let (settled, text) = self.settled()?;
                shot(text, Some(Box::new(settled)))?
            }
            ACT => Entry::Act(json(&body)?),
            RETIRED_SHOT => Entry::Retired(json(&body)?),
            HOLE => Entry::Hole(json(&body)?),
            kind => return Err(format!("its kind is {kind}")),
        };
        Ok(Frame { sequence: self.sequence, arrival, entry })
    }
}

fn shot(text: Bytes, settled: Option<Box<Settled>>) -> Result<Entry, String> {
    let event = crate::shot::parse(&text).map_err(|rejection| rejection.to_string())?;
    Ok(Entry::Shot { event, text, settled })
}

fn json<T: DeserializeOwned>(body: &[u8]) -> Result<T, String> {
    serde_json::from_slice(body).map_err(|error| error.to_string())
}
