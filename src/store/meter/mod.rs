//! What the store counts of its own work, for whoever watches it. Writer and applier add to atomics; anyone may read
//! them at any time. Nothing here decides anything.

mod histogram;

use std::{
    collections::BTreeMap,
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicU64, Ordering::Relaxed},
    },
    time::Duration,
};

pub use histogram::{Distribution, Histogram};

use super::group::Verdict;
use super::health::Health;
use crate::shot::{Act, Sequence};

/// Frames of a group: from a lone shot to a full group and beyond, since the last to join may be a whole batch.
const FRAMES: &[u64] = &[1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1_000, 2_000, 10_000];

const MICROSECOND: u64 = 1_000;
const MILLISECOND: u64 = 1_000 * MICROSECOND;
const SECOND: u64 = 1_000 * MILLISECOND;

/// A write with its sync, in nanoseconds: from memory that calls itself a disk to a disk that is in trouble.
const COMMIT: &[u64] = &[
    50 * MICROSECOND,
    100 * MICROSECOND,
    250 * MICROSECOND,
    500 * MICROSECOND,
    MILLISECOND,
    2_500 * MICROSECOND,
    5 * MILLISECOND,
    10 * MILLISECOND,
    25 * MILLISECOND,
    50 * MILLISECOND,
    100 * MILLISECOND,
    500 * MILLISECOND,
    2 * SECOND,
    10 * SECOND,
];

/// A step of the table, in nanoseconds: thousands of frames and a sync.
const STEP: &[u64] = &[
    5 * MILLISECOND,
    10 * MILLISECOND,
    25 * MILLISECOND,
    50 * MILLISECOND,
    100 * MILLISECOND,
    250 * MILLISECOND,
    500 * MILLISECOND,
    SECOND,
    5 * SECOND,
    30 * SECOND,
];

/// The counting of a store, since it was opened.
#[derive(Debug)]
pub(super) struct Meter {
    stored: AtomicU64,
    duplicates: AtomicU64,
    /// By kind. Acts are few, and each waits for the disk: a lock costs nothing beside that.
    acts: Mutex<BTreeMap<&'static str, u64>>,
    group_frames: Histogram,
    commit: Histogram,
    step: Histogram,
    applied: AtomicU64,
    rebuilds: AtomicU64,
}

impl Meter {
    pub(super) fn new() -> Self {
        Self {
            stored: AtomicU64::new(0),
            duplicates: AtomicU64::new(0),
            acts: Mutex::default(),
            group_frames: Histogram::new(FRAMES),
            commit: Histogram::new(COMMIT),
            step: Histogram::new(STEP),
            applied: AtomicU64::new(0),
            rebuilds: AtomicU64::new(0),
        }
    }

    /// Counts a shot whose sender is about to be told.
    pub(super) fn shot(&self, verdict: Verdict) {
        match verdict {
            Verdict::New => self.stored.fetch_add(1, Relaxed),
            Verdict::Duplicate(_) => self.duplicates.fetch_add(1, Relaxed),
            Verdict::Conflict(_) | Verdict::ConflictInBatch | Verdict::Withheld => 0,
        };
    }

    /// Counts an act that happened.
    pub(super) fn act(&self, act: &Act) {
        let mut acts = self.acts.lock().unwrap_or_else(PoisonError::into_inner);
        *acts.entry(act.kind()).or_default() += 1;
    }

    /// Counts a group that became durable, and how long its write and sync took.
    pub(super) fn committed(&self, frames: usize, took: Duration) {
        self.group_frames.add(frames as u64);
        self.commit.add_time(took);
    }

    /// Counts a step of the table, and how long it took.
    pub(super) fn stepped(&self, upto: Sequence, took: Duration) {
        self.stands_at(upto);
        self.step.add_time(took);
    }

    /// Notes how far the table has come.
    pub(super) fn stands_at(&self, applied: Sequence) {
        self.applied.store(applied.get(), Relaxed);
    }

    /// Counts a table that was made anew.
    pub(super) fn rebuilt(&self) {
        self.rebuilds.fetch_add(1, Relaxed);
    }

    pub(super) fn applied(&self) -> Sequence {
        Sequence::new(self.applied.load(Relaxed))
    }

    pub(super) fn read(&self, now: Now) -> Figures {
        let acts = self.acts.lock().unwrap_or_else(PoisonError::into_inner);
        Figures {
            last: now.last,
            health: now.health,
            queue_bytes: now.queue_bytes,
            unapplied_frames: now.unapplied_frames,
            shots_stored: self.stored.load(Relaxed),
            shots_duplicate: self.duplicates.load(Relaxed),
            acts: acts.iter().map(|(kind, count)| (*kind, *count)).collect(),
            group_frames: self.group_frames.read(),
            commit_ns: self.commit.read(),
            step_ns: self.step.read(),
            rebuilds: self.rebuilds.load(Relaxed),
        }
    }
}

/// What is not counted but stands somewhere.
pub(super) struct Now {
    pub(super) last: Sequence,
    pub(super) health: Health,
    pub(super) queue_bytes: u64,
    pub(super) unapplied_frames: u64,
}

/// The figures of a store: how it stands, and what it did since it was opened.
#[derive(Clone, Debug)]
pub struct Figures {
    /// The last frame that is durable and folded.
    pub last: Sequence,
    /// Whether writes are taken.
    pub health: Health,
    /// Bytes that wait for the writer, those it is working on included.
    pub queue_bytes: u64,
    /// Durable frames that the table behind the journal does not have yet.
    pub unapplied_frames: u64,
    /// Shots stored.
    pub shots_stored: u64,
    /// Shots that were here already, with the same content.
    pub shots_duplicate: u64,
    /// Acts that happened, by kind.
    pub acts: Vec<(&'static str, u64)>,
    /// Frames of each group that was made durable at once.
    pub group_frames: Distribution,
    /// What the write and the sync of each group took, in nanoseconds.
    pub commit_ns: Distribution,
    /// What each step of the table took, in nanoseconds.
    pub step_ns: Distribution,
    /// How many times the table was made anew from the journal.
    pub rebuilds: u64,
}
