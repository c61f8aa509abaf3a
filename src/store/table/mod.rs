//! The port to the table: ordered keys and values in a few trees, which can always be made anew from the journal.

mod memory;
mod sled_table;

use std::sync::Arc;

use bytes::Bytes;

pub use memory::MemoryTables;
pub use sled_table::SledTables;

use super::error::TableError;
use super::projection::Chunks;

/// A tree of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tree {
    /// Format, store id, applied mark.
    Meta,
    /// Source name to number.
    Sources,
    /// Pages of ids, with the sequence of each.
    Identity,
    /// Offsets of frames.
    Places,
    /// What the projection keeps.
    Chunks,
    /// Keyed hash of an identity whose shot is gone, with its sequence.
    Gone,
}

impl Tree {
    /// All trees.
    pub(super) const ALL: [Self; 6] =
        [Self::Meta, Self::Sources, Self::Identity, Self::Places, Self::Chunks, Self::Gone];
}

/// A value to set, or a key to remove.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableChange {
    /// Where.
    pub tree: Tree,
    /// Of which key.
    pub key: Bytes,
    /// The value; none removes the key.
    pub value: Option<Bytes>,
}

/// An open table.
pub trait Table: Send + Sync + 'static {
    /// The value of a key.
    fn get(&self, tree: Tree, key: &[u8]) -> Result<Option<Bytes>, TableError>;
    /// The entry with the greatest key in `from..=upto`.
    fn floor(
        &self,
        tree: Tree,
        from: &[u8],
        upto: &[u8],
    ) -> Result<Option<(Bytes, Bytes)>, TableError>;
    /// All entries whose keys begin with `prefix`, in order.
    fn prefix(&self, tree: Tree, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError>;
    /// Makes all changes or none, durable on return.
    fn commit(&self, changes: &[TableChange]) -> Result<(), TableError>;
    /// Notes that a read went wrong, so that the next opening fails and a new table is made.
    fn distrust(&self, error: &TableError);
}

/// Where the table of a store lies.
pub trait Tables: Send + Sync + 'static {
    /// Whether there is one.
    fn exists(&self) -> bool;
    /// Opens it, or makes an empty one.
    fn open(&self) -> Result<Arc<dyn Table>, TableError>;
    /// Moves it out of the way; says where it lies now, if anything was there.
    fn set_aside(&self) -> Result<Option<String>, TableError>;
}

/// The projection's view of the table.
pub(super) struct ChunkTree(pub(super) Arc<dyn Table>);

impl ChunkTree {
    fn trusted<T>(&self, read: Result<T, TableError>) -> Result<T, TableError> {
        read.inspect_err(|error| self.0.distrust(error))
    }
}

impl Chunks for ChunkTree {
    fn get(&self, key: &[u8]) -> Result<Option<Bytes>, TableError> {
        self.trusted(self.0.get(Tree::Chunks, key))
    }

    fn prefix(&self, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        self.trusted(self.0.prefix(Tree::Chunks, prefix))
    }
}
