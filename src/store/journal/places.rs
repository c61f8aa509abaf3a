//! Where frames lie: for every segment, the offset of each sixteenth frame.

use std::collections::{BTreeMap, BTreeSet};

use bytes::Bytes;

use super::segment::{HEADER, field};
use crate::shot::Sequence;
use crate::store::error::TableError;
use crate::store::table::{Table, TableChange, Tree};

/// One frame in so many has its offset kept: a read walks at most this many heads, and ten million frames take 2.5 MB.
const STRIDE: u64 = 16;
/// Offsets in one value of the table (4 bytes each, so that no value is long).
const CHUNK: usize = 1_024;

/// Offsets of frames, by segment.
#[derive(Default)]
pub(super) struct Places {
    segments: BTreeMap<u64, Vec<u32>>,
    /// Segment and chunk of the values that the table does not have yet.
    changed: BTreeSet<(u64, usize)>,
}

impl Places {
    /// Takes over what the table holds of the segments that are known.
    pub(super) fn load(&mut self, table: &dyn Table) -> Result<(), TableError> {
        self.clear();
        for (key, value) in table.prefix(Tree::Places, &[])? {
            if key.len() == 12
                && let Some(held) = self.segments.get_mut(&u64::from_be_bytes(field(&key, 0)))
            {
                held.extend(value.chunks_exact(4).map(|four| u32::from_le_bytes(field(four, 0))));
            }
        }
        Ok(())
    }

    /// Forgets all offsets; the segments stay known.
    pub(super) fn clear(&mut self) {
        self.segments.values_mut().for_each(Vec::clear);
        self.changed.clear();
    }

    /// Makes a segment known, before its first frame.
    pub(super) fn add_segment(&mut self, first: Sequence) {
        self.segments.entry(first.get()).or_default();
    }

    /// Notes the offset of the next frame.
    pub(super) fn note(&mut self, sequence: Sequence, offset: u64) {
        let Some((&first, offsets)) = self.segments.range_mut(..=sequence.get()).next_back() else {
            return;
        };
        let nth = sequence.get() - first;
        if nth == offsets.len() as u64 * STRIDE
            && let Ok(offset) = u32::try_from(offset)
        {
            self.changed.insert((first, offsets.len() / CHUNK));
            offsets.push(offset);
        }
    }

    /// The first sequence of the segment that holds a frame, and the nearest known offset at or before it.
    pub(super) fn locate(&self, sequence: Sequence) -> Option<(Sequence, u64)> {
        let (&first, offsets) = self.segments.range(..=sequence.get()).next_back()?;
        let nth = usize::try_from((sequence.get() - first) / STRIDE).ok()?;
        let offset = offsets.get(nth).or(offsets.last()).map_or(HEADER, |&offset| offset.into());
        Some((Sequence::new(first), offset))
    }

    /// The first sequences of the segments that begin at `upto` or before, in order.
    pub(super) fn segments_upto(&self, upto: Sequence) -> Vec<Sequence> {
        self.segments.range(..=upto.get()).map(|(&first, _)| Sequence::new(first)).collect()
    }

    /// The first sequence of the segment after the one that begins with `first`.
    pub(super) fn after(&self, first: Sequence) -> Option<Sequence> {
        self.segments.range(first.get() + 1..).next().map(|(&next, _)| Sequence::new(next))
    }

    /// The values that changed since the last call.
    pub(super) fn take_changes(&mut self) -> Vec<TableChange> {
        let changed = std::mem::take(&mut self.changed);
        changed.into_iter().filter_map(|(first, chunk)| self.chunk(first, chunk)).collect()
    }

    fn chunk(&self, first: u64, chunk: usize) -> Option<TableChange> {
        let offsets = self.segments.get(&first)?.chunks(CHUNK).nth(chunk)?;
        let mut key = first.to_be_bytes().to_vec();
        key.extend_from_slice(&u32::try_from(chunk).ok()?.to_be_bytes());
        let value: Vec<u8> = offsets.iter().flat_map(|offset| offset.to_le_bytes()).collect();
        Some(TableChange { tree: Tree::Places, key: key.into(), value: Some(Bytes::from(value)) })
    }
}
