//! Keeps what happened, in one order, for good.
//!
//! In come parsed shots and acts; out go their sequence numbers once they are durable, the frames themselves, and the
//! answer whether a shot is here already. A [`Projection`] folds the frames into the state that questions are answered
//! from, and the store keeps its chunks for it.
//!
//! - `journal` is the point of durability and the only order; it holds every event verbatim.
//! - `table` (sled) holds what can be made anew from it: identities, places, the projection's chunks, and the mark up
//!   to which they are applied.
//! - `writer` is one thread: it takes what is queued as a group, makes it durable with one write and one sync, folds
//!   it, answers, and hands what changed to `applier`, another thread, which commits it to the table.
//! - `archive` is a whole store as lines of text, on its way out or in.
//! - `meter` counts what they do, for whoever watches.
//! - `disk` is the port through which the journal reaches files.
//!
//! The store knows the event's identity and its text, and nothing of golf.

mod applier;
mod archive;
mod disk;
mod error;
mod frame;
#[cfg(any(fuzzing, test))]
pub(crate) use journal::fuzzing;
mod group;
mod handle;
mod health;
mod identity;
mod import;
mod journal;
mod meter;
mod open;
mod panic;
mod projection;
mod shared;
mod table;
mod writer;

pub use archive::{ArchiveHead, ArchiveWriter, BadLine, Received, Spool};
pub use disk::{Disk, DiskFile, MemoryDisk, OsDisk};
pub use error::{ActError, ImportError, OpenError, ReadError, TableError, WriteError};
pub use frame::{Entry, Frame, NewShot, StoredShot};
pub use group::{Batch, ReceiptWanted, ShotOutcome};
pub use handle::Store;
pub use health::Health;
pub use import::Imported;
pub use journal::{StoreId, TornTail};
pub use meter::{Distribution, Figures, Histogram};
pub use open::{Clock, Home, RecoveryReport, Replayed, TableRecovery};
pub use projection::{Change, Chunks, MAX_CHUNK_BYTES, Projection};
pub use table::{MemoryTables, SledTables, Table, TableChange, Tables, Tree};
