//! The rolls in memory: loaded when first touched, dropped when idle.

use std::{
    collections::BTreeSet,
    sync::{
        Arc, Mutex, RwLock,
        atomic::{AtomicU64, Ordering},
    },
};

use hashbrown::HashMap;

use super::{
    LiveError, head::Head, ledger::Owner, lock, read, reading::Reading, roll::Roll, write,
};
use crate::{
    shot::Sequence,
    store::{Change, Chunks},
};

/// Rows kept in memory before idle owners are dropped: some 250 MB.
pub const ROWS_KEPT: usize = 1_000_000;

/// One owner's roll with what was concluded from it.
#[derive(Debug)]
pub(super) struct Slot {
    /// The rows.
    pub roll: RwLock<Roll>,
    /// What follows from them; locked after the roll.
    pub reading: Mutex<Reading>,
    used: AtomicU64,
}

/// All rolls that are in memory.
pub(super) struct Rolls {
    chunks: Arc<dyn Chunks>,
    slots: Mutex<HashMap<Owner, Arc<Slot>>>,
    loading: Mutex<()>,
    changed: Mutex<BTreeSet<Owner>>,
    clock: AtomicU64,
    /// Where the clock stood when idle rolls were last dropped.
    swept: AtomicU64,
    /// What the store has for certain.
    committed: AtomicU64,
    rows_kept: usize,
}

impl Rolls {
    pub(super) fn new(chunks: Arc<dyn Chunks>, rows_kept: usize) -> Self {
        Self {
            chunks,
            slots: Mutex::default(),
            loading: Mutex::default(),
            changed: Mutex::default(),
            clock: AtomicU64::new(0),
            swept: AtomicU64::new(0),
            committed: AtomicU64::new(0),
            rows_kept,
        }
    }

    /// The owner's roll.
    pub(super) fn get(&self, owner: Owner) -> Result<Arc<Slot>, LiveError> {
        if let Some(slot) = self.held(owner) {
            return Ok(slot);
        }
        // One load at a time; whoever waited for it finds the roll held.
        let _loading = lock(&self.loading);
        if let Some(slot) = self.held(owner) {
            return Ok(slot);
        }
        let slot = Arc::new(Slot {
            roll: RwLock::new(Roll::load(owner, self.chunks.as_ref())?),
            reading: Mutex::default(),
            used: AtomicU64::new(self.tick()),
        });
        lock(&self.slots).insert(owner, slot.clone());
        self.drop_idle();
        Ok(slot)
    }

    /// What last touched an owner. One whose roll is not held is not loaded for it: what the store
    /// has of it is all there is.
    pub(super) fn head(&self, owner: Owner) -> Result<Head, LiveError> {
        let held = lock(&self.slots).get(&owner).cloned();
        match held {
            Some(slot) => Ok(read(&slot.roll).head()),
            None => Head::load(owner, self.chunks.as_ref()),
        }
    }

    /// Rows in memory, of all owners.
    pub(super) fn rows(&self) -> usize {
        let slots: Vec<Arc<Slot>> = lock(&self.slots).values().cloned().collect();
        slots.iter().map(|slot| read(&slot.roll).rows().len()).sum()
    }

    /// Owners in memory.
    pub(super) fn owners(&self) -> usize {
        lock(&self.slots).len()
    }

    fn held(&self, owner: Owner) -> Option<Arc<Slot>> {
        let slot = lock(&self.slots).get(&owner).cloned()?;
        slot.used.store(self.tick(), Ordering::Relaxed);
        Some(slot)
    }

    /// Passes of use: an order, not a time.
    fn tick(&self) -> u64 {
        self.clock.fetch_add(1, Ordering::Relaxed)
    }

    /// Changes an owner's roll; the store gets what changed.
    pub(super) fn change<T>(
        &self,
        owner: Owner,
        change: impl FnOnce(&mut Roll) -> T,
    ) -> Result<T, LiveError> {
        let slot = self.get(owner)?;
        let answer = change(&mut write(&slot.roll));
        lock(&self.changed).insert(owner);
        Ok(answer)
    }

    /// Everything that changed, for the store.
    pub(super) fn take_changes(&self, changes: &mut Vec<Change>) {
        for owner in std::mem::take(&mut *lock(&self.changed)) {
            if let Some(slot) = self.held(owner) {
                write(&slot.roll).take_changes(changes);
            }
        }
    }

    /// Notes what the store has, and drops what need not stay in memory.
    pub(super) fn committed(&self, upto: Sequence) {
        self.committed.store(upto.get(), Ordering::Relaxed);
        self.drop_idle();
    }

    /// Drops the rolls that were not used for longest, as far as there are too many rows and the
    /// store has all of them. One that was used since the last time is not idle, however large.
    fn drop_idle(&self) {
        let committed = Sequence::new(self.committed.load(Ordering::Relaxed));
        let swept = self.swept.swap(self.tick(), Ordering::Relaxed);
        let mut slots = lock(&self.slots);
        let held: Vec<(u64, Owner, usize)> = slots
            .iter()
            .filter_map(|(owner, slot)| {
                let rows = slot.roll.try_read().ok()?.rows().len();
                Some((slot.used.load(Ordering::Relaxed), *owner, rows))
            })
            .collect();
        let mut surplus =
            held.iter().map(|(.., rows)| rows).sum::<usize>().saturating_sub(self.rows_kept);
        let mut by_use = held;
        by_use.sort_unstable();
        for (used, owner, rows) in by_use {
            if surplus == 0 || used >= swept {
                return;
            }
            // A slot that nobody holds cannot be changed while the slots are locked.
            let droppable = slots.get(&owner).is_some_and(|slot| {
                let stored = |roll: &Roll| roll.is_stored(committed);
                Arc::strong_count(slot) == 1 && slot.roll.try_read().is_ok_and(|roll| stored(&roll))
            });
            if droppable {
                slots.remove(&owner);
                surplus = surplus.saturating_sub(rows.max(1));
            }
        }
    }
}
