//! Things of one kind: ids, and the numbers that stand for them in rows.

use std::hash::Hash;

use hashbrown::HashMap;
use serde::{Deserialize, Serialize};

use crate::shot::Sequence;

/// One thing of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Entry<K, D> {
    /// Its id.
    pub id: K,
    /// What is said of it.
    pub document: D,
    /// The last sequence that changed this.
    pub as_of: Sequence,
    /// Whether it was taken out. Its number is not given away again.
    pub(super) removed: bool,
}

/// Things of one kind by number and by id.
#[derive(Debug)]
pub(super) struct Shelf<K, D> {
    pub(super) entries: Vec<Entry<K, D>>,
    number_of: HashMap<K, u32>,
}

impl<K: Clone + Eq + Hash, D> Shelf<K, D> {
    pub(super) fn new() -> Self {
        Self { entries: Vec::new(), number_of: HashMap::new() }
    }

    /// The number of an id that is there and not taken out.
    pub(super) fn number(&self, id: &K) -> Option<u32> {
        let number = self.number_of.get(id).copied()?;
        (!self.entries.get(number as usize)?.removed).then_some(number)
    }

    pub(super) fn get(&self, id: &K) -> Option<&Entry<K, D>> {
        self.entries.get(self.number(id)? as usize)
    }

    pub(super) fn by_number(&self, number: u32) -> Option<&Entry<K, D>> {
        self.entries.get(number as usize)
    }

    pub(super) fn listed(&self) -> Vec<&Entry<K, D>>
    where
        K: Ord,
    {
        let mut listed: Vec<_> = self.entries.iter().filter(|entry| !entry.removed).collect();
        listed.sort_by(|a, b| a.id.cmp(&b.id));
        listed
    }

    /// The last sequence that changed a thing or took one out.
    pub(super) fn as_of(&self) -> Sequence {
        self.entries.iter().map(|entry| entry.as_of).max().unwrap_or_default()
    }

    pub(super) fn restore(&mut self, entry: Entry<K, D>) {
        let number = u32::try_from(self.entries.len()).unwrap_or(u32::MAX);
        self.number_of.insert(entry.id.clone(), number);
        self.entries.push(entry);
    }

    /// The number of an id, with a bare entry made where there is none, and whether one was made.
    /// An id that was taken out keeps its number: rows may name it.
    pub(super) fn ensure(
        &mut self,
        id: &K,
        as_of: Sequence,
        bare: impl FnOnce(&K) -> D,
    ) -> (u32, bool) {
        if let Some(number) = self.number(id) {
            return (number, false);
        }
        let entry = Entry { id: id.clone(), document: bare(id), as_of, removed: false };
        if let Some(number) = self.number_of.get(id).copied() {
            self.entries[number as usize] = entry;
            return (number, true);
        }
        self.restore(entry);
        (u32::try_from(self.entries.len() - 1).unwrap_or(u32::MAX), true)
    }

    /// Takes a thing out and forgets its id: its number stands for nothing from then on.
    pub(super) fn forget(&mut self, number: u32, in_its_place: Entry<K, D>) {
        if let Some(entry) = self.entries.get_mut(number as usize) {
            self.number_of.remove(&entry.id);
            *entry = in_its_place;
        }
    }

    pub(super) fn remove(&mut self, id: &K, as_of: Sequence) -> Option<u32> {
        let number = self.number(id)?;
        let entry = &mut self.entries[number as usize];
        (entry.removed, entry.as_of) = (true, as_of);
        Some(number)
    }
}
