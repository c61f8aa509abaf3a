//! Whose every shot is: sequence → owner, in pages.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    shot::Sequence,
    store::{Change, Chunks},
};

use super::{LiveError, key};

/// Sequences a page holds: 2 KB, well under what the store takes as one value.
const PAGE: u64 = 512;
/// Clean pages kept in memory: some half a million sequences.
const PAGES_KEPT: usize = 1_024;

/// Who holds a shot's row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Owner {
    /// A player, by number.
    Player(u32),
    /// Nobody yet: the shots of a source, by number, that wait for a player.
    Source(u32),
}

impl Owner {
    /// A number for keys and pages; 0 is left for "no shot".
    pub(super) fn code(self) -> u32 {
        match self {
            Self::Player(number) => (number << 1) + 1,
            Self::Source(number) => (number << 1) + 2,
        }
    }

    /// The owner of a code.
    pub(super) fn of_code(code: u32) -> Option<Self> {
        let number = code.checked_sub(1)?;
        Some(if number & 1 == 0 { Self::Player(number >> 1) } else { Self::Source(number >> 1) })
    }
}

/// The pages that were touched, and what of them is not stored yet.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    pages: BTreeMap<u64, Vec<u32>>,
    changed: BTreeSet<u64>,
}

impl Ledger {
    /// Who holds the shot; `None` where the sequence is no shot.
    pub(super) fn owner(
        &mut self,
        sequence: Sequence,
        chunks: &dyn Chunks,
    ) -> Result<Option<Owner>, LiveError> {
        let (page, slot) = place(sequence);
        Ok(Owner::of_code(self.page(page, chunks)?[slot]))
    }

    /// Notes who holds the shot.
    pub(super) fn set(
        &mut self,
        sequence: Sequence,
        owner: Owner,
        chunks: &dyn Chunks,
    ) -> Result<(), LiveError> {
        let (page, slot) = place(sequence);
        self.page(page, chunks)?[slot] = owner.code();
        self.changed.insert(page);
        Ok(())
    }

    /// Notes that the shot is none any more.
    pub(super) fn clear(
        &mut self,
        sequence: Sequence,
        chunks: &dyn Chunks,
    ) -> Result<(), LiveError> {
        let (page, slot) = place(sequence);
        self.page(page, chunks)?[slot] = 0;
        self.changed.insert(page);
        Ok(())
    }

    /// The changed pages for the store.
    pub(super) fn take_changes(&mut self, changes: &mut Vec<Change>) {
        for page in std::mem::take(&mut self.changed) {
            let Some(codes) = self.pages.get(&page) else { continue };
            let value: Vec<u8> = codes.iter().flat_map(|code| code.to_le_bytes()).collect();
            changes.push(Change { key: key::ledger(page), value: Some(value.into()) });
        }
    }

    /// Drops the oldest pages that the store holds as they are.
    pub(super) fn shrink(&mut self) {
        let surplus = self.pages.len().saturating_sub(PAGES_KEPT);
        let clean = self.pages.keys().filter(|page| !self.changed.contains(page));
        for page in clean.take(surplus).copied().collect::<Vec<_>>() {
            self.pages.remove(&page);
        }
    }

    fn page(&mut self, page: u64, chunks: &dyn Chunks) -> Result<&mut Vec<u32>, LiveError> {
        use std::collections::btree_map::Entry;
        match self.pages.entry(page) {
            Entry::Occupied(known) => Ok(known.into_mut()),
            Entry::Vacant(vacant) => {
                let mut codes: Vec<u32> = match chunks.get(&key::ledger(page))? {
                    Some(value) => value
                        .chunks_exact(4)
                        .map(|code| u32::from_le_bytes([code[0], code[1], code[2], code[3]]))
                        .collect(),
                    None => Vec::new(),
                };
                codes.resize(usize::try_from(PAGE).unwrap_or(usize::MAX), 0);
                Ok(vacant.insert(codes))
            }
        }
    }
}

fn place(sequence: Sequence) -> (u64, usize) {
    let slot = usize::try_from(sequence.get() % PAGE).unwrap_or(0);
    (sequence.get() / PAGE, slot)
}
