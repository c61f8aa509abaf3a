//! What rolls: the fold of the journal's frames into what questions are answered from.
//!
//! Frames come in, in sequence order, after they are durable; the state they leave is a pure
//! function of them and their arrival times. Per owner (a player, or a source whose shots wait for
//! one) there is a [`roll`] of rows, loaded when first touched and dropped when idle; what follows
//! from the rows ([`reading`]) is worked out at the next question and goes on from there when
//! rows are appended. The store keeps the fold's changed chunks in the same step as its own. The
//! room knows `store`, `bag`, `stats` and `shot`, and no HTTP.

mod amend;
mod answers;
mod as_of;
mod catalogue;
mod codec;
mod condition;
mod csv_mappings;
mod document;
mod drawn;
mod erase;
mod export;
pub mod feed;
mod flown;
mod fold;
mod head;
mod judge;
mod key;
mod ledger;
mod listing;
mod overlay;
mod overtaking;
mod place;
mod reading;
mod roll;
mod rolls;
mod session;
mod sieve;
mod traces;
mod trials;
mod views;
mod wanted;

use std::sync::{
    Arc, Mutex, OnceLock, PoisonError, RwLock, RwLockReadGuard,
    atomic::{AtomicBool, AtomicU64, Ordering::Relaxed},
};

use thiserror::Error;

use crate::{
    shot::{Act, Sequence},
    store::{Change, Chunks, Frame, Projection, ReceiptWanted, TableError},
};

pub use answers::ReadError;
pub use condition::{Clause, Condition, States, Version};
pub use drawn::{Drawn, SpotsOfPair};
pub use export::{Export, ExportError};
pub use judge::{Held, Refusal};
pub use listing::{Page, ShotQuestion};
pub use trials::Missing;
pub use views::{Changed, Effective, Listed, Listing, ShotView};
pub use wanted::{DriftsWanted, LadderWanted, PlaceWanted};

pub use catalogue::BagChange;

use catalogue::Catalogue;
use ledger::Ledger;
use overtaking::Overtaking;
use rolls::Rolls;

pub use rolls::ROWS_KEPT;

/// Why the fold cannot go on or a question cannot be answered.
#[derive(Debug, Clone, Error)]
pub enum LiveError {
    /// The store's table failed.
    #[error("the table of the store cannot be read: {0}")]
    Table(#[from] TableError),
    /// The store holds what this program did not write.
    #[error("the table of the store holds {0}; a restart rebuilds it from the journal")]
    Unreadable(&'static str),
}

/// What a sender is told about a frame.
#[derive(Debug, Clone, PartialEq)]
pub enum Receipt {
    /// A shot came in.
    Shot {
        /// Whether it has a player and a club.
        assigned: bool,
        /// Its flags at that moment.
        flags: Vec<String>,
    },
    /// A shot was corrected: how it stands from then on, unless only its row is left.
    Corrected(Option<Box<ShotView>>),
    /// Shots were corrected or retired together.
    Amended {
        /// Shots that the filter found.
        matched: usize,
        /// Those that it changed.
        changed: usize,
    },
    /// Something was put.
    Put {
        /// Whether it was new.
        created: bool,
    },
    /// Anything else was done.
    Done,
}

/// The state of the service.
pub struct Live {
    chunks: Arc<dyn Chunks>,
    catalogue: RwLock<Catalogue>,
    rolls: Rolls,
    ledger: Mutex<Ledger>,
    last: Mutex<Sequence>,
    /// Held for reading by a question, for writing by an act, which may touch several rolls and the
    /// catalogue: no question sees half of one. Taken before all other locks.
    acts: RwLock<()>,
    broken: OnceLock<LiveError>,
    /// Shots whose content the last acts took away, until the store asks for them.
    gone: Mutex<Vec<Sequence>>,
    /// Counts for whoever watches; no answer rests on it.
    unassigned: AtomicU64,
    /// Whether the content of anything was ever taken away: if not, every frame tells all.
    anything_gone: AtomicBool,
    /// After what an export that began before is wrong.
    overtaking: Mutex<Overtaking>,
}

impl Live {
    /// The state that the store's chunks hold, from which the fold goes on. Idle owners are dropped
    /// from memory while there are more than `rows_kept` rows: see [`ROWS_KEPT`].
    ///
    /// # Errors
    /// A table that cannot be read, or holds something strange.
    pub fn load(chunks: Arc<dyn Chunks>, rows_kept: usize) -> Result<Self, LiveError> {
        let last: Option<Sequence> = document::read(&key::last(), chunks.as_ref())?;
        let anything_gone: Option<bool> = document::read(&key::gone(), chunks.as_ref())?;
        Ok(Self {
            catalogue: RwLock::new(Catalogue::load(chunks.as_ref())?),
            rolls: Rolls::new(chunks.clone(), rows_kept),
            ledger: Mutex::default(),
            last: Mutex::new(last.unwrap_or_default()),
            acts: RwLock::new(()),
            broken: OnceLock::new(),
            gone: Mutex::default(),
            unassigned: AtomicU64::new(0),
            anything_gone: AtomicBool::new(anything_gone.unwrap_or(false)),
            overtaking: Mutex::default(),
            chunks,
        })
    }

    /// Shots in memory, those of owners that are in use or were lately.
    #[must_use]
    pub fn rows_in_memory(&self) -> usize {
        self.rolls.rows()
    }

    /// Players and sources whose shots are in memory.
    #[must_use]
    pub fn owners_in_memory(&self) -> usize {
        self.rolls.owners()
    }

    /// Shots folded by this process that came without a player or a club, those of a replay included.
    #[must_use]
    pub fn folded_unassigned(&self) -> u64 {
        self.unassigned.load(Relaxed)
    }

    /// Notes that a frame took the content of something away.
    fn note_gone(&self, at: Sequence) {
        self.anything_gone.store(true, Relaxed);
        lock(&self.overtaking).take_away(at);
    }

    /// Whether the content of anything is gone.
    fn is_anything_gone(&self) -> bool {
        self.anything_gone.load(Relaxed)
    }

    /// Lets a question be asked, with no act half done while it is.
    fn question(&self) -> Result<RwLockReadGuard<'_, ()>, LiveError> {
        match self.broken.get() {
            Some(error) => Err(error.clone()),
            None => Ok(read(&self.acts)),
        }
    }

    /// Why the fold stopped, if it did: from then on nothing is written, and a restart rebuilds.
    #[must_use]
    pub fn broken(&self) -> Option<&LiveError> {
        self.broken.get()
    }
}

impl Projection for Live {
    type Receipt = Receipt;
    type Refusal = Refusal;
    type Condition = Condition;

    // 1: a club or a bag brings no erased player back; whom a waiting shot names is kept.
    // 2: rows know what a shot flew in.
    const VERSION: u32 = 2;

    fn judge(&self, act: &mut Act, condition: &Condition) -> Result<(), Refusal> {
        self.judge_act(act)?;
        self.judge_condition(act, condition)
    }

    fn apply(&self, frame: &Frame) -> Receipt {
        self.fold(frame, ReceiptWanted::Yes)
    }

    fn absorb(&self, frame: &Frame) {
        self.fold(frame, ReceiptWanted::No);
    }

    fn take_gone(&self) -> Vec<Sequence> {
        let mut gone = std::mem::take(&mut *lock(&self.gone));
        gone.sort_unstable();
        gone
    }

    fn trouble(&self) -> Option<TableError> {
        let error = self.broken.get()?;
        Some(TableError { file: "table".to_owned(), cause: error.to_string() })
    }

    fn take_changes(&self) -> Result<Vec<Change>, TableError> {
        if let Some(trouble) = self.trouble() {
            return Err(trouble);
        }
        let mut changes = Vec::new();
        lock(&self.ledger).take_changes(&mut changes);
        write(&self.catalogue).take_changes(&mut changes);
        self.rolls.take_changes(&mut changes);
        if self.is_anything_gone() {
            document::write(&key::gone(), &true, &mut changes);
        }
        document::write(&key::last(), &*lock(&self.last), &mut changes);
        Ok(changes)
    }

    fn committed(&self, upto: Sequence) {
        lock(&self.ledger).shrink();
        self.rolls.committed(upto);
    }
}

/// A lock whose holder panicked still guards whole data: a fold that fails half-way is marked
/// broken and never read from again.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn read<T>(lock: &RwLock<T>) -> RwLockReadGuard<'_, T> {
    lock.read().unwrap_or_else(PoisonError::into_inner)
}

fn write<T>(lock: &RwLock<T>) -> std::sync::RwLockWriteGuard<'_, T> {
    lock.write().unwrap_or_else(PoisonError::into_inner)
}
