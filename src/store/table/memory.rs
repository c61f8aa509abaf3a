//! A table that forgets everything with the process.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

use bytes::Bytes;

use super::{Table, TableChange, Tables, Tree};
use crate::store::error::TableError;

type Trees = BTreeMap<(Tree, Bytes), Bytes>;

/// A table in memory. It outlives a store that is closed, not the process.
#[derive(Default)]
pub struct MemoryTables {
    table: RwLock<Arc<MemoryTable>>,
}

#[derive(Default)]
struct MemoryTable {
    trees: RwLock<Trees>,
}

impl Tables for MemoryTables {
    fn exists(&self) -> bool {
        let table = self.table.read().unwrap_or_else(PoisonError::into_inner);
        !table.trees.read().unwrap_or_else(PoisonError::into_inner).is_empty()
    }

    fn open(&self) -> Result<Arc<dyn Table>, TableError> {
        let table = Arc::clone(&self.table.read().unwrap_or_else(PoisonError::into_inner));
        Ok(table)
    }

    fn set_aside(&self) -> Result<Option<String>, TableError> {
        *self.table.write().unwrap_or_else(PoisonError::into_inner) = Arc::default();
        Ok(None)
    }
}

impl MemoryTable {
    fn read<T>(&self, answer: impl FnOnce(&Trees) -> T) -> T {
        answer(&self.trees.read().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Table for MemoryTable {
    fn get(&self, tree: Tree, key: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(self.read(|trees| trees.get(&(tree, Bytes::copy_from_slice(key))).cloned()))
    }

    fn floor(
        &self,
        tree: Tree,
        from: &[u8],
        upto: &[u8],
    ) -> Result<Option<(Bytes, Bytes)>, TableError> {
        let bound = |key: &[u8]| (tree, Bytes::copy_from_slice(key));
        Ok(self.read(|trees| {
            let (key, value) = trees.range(bound(from)..=bound(upto)).next_back()?;
            Some((key.1.clone(), value.clone()))
        }))
    }

    fn prefix(&self, tree: Tree, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(self.read(|trees| {
            trees
                .range((tree, Bytes::copy_from_slice(prefix))..)
                .take_while(|((in_tree, key), _)| *in_tree == tree && key.starts_with(prefix))
                .map(|((_, key), value)| (key.clone(), value.clone()))
                .collect()
        }))
    }

    fn commit(&self, changes: &[TableChange]) -> Result<(), TableError> {
        let mut trees = self.trees.write().unwrap_or_else(PoisonError::into_inner);
        for change in changes {
            let key = (change.tree, change.key.clone());
            match &change.value {
                Some(value) => drop(trees.insert(key, value.clone())),
                None => drop(trees.remove(&key)),
            }
        }
        Ok(())
    }

    /// A table in memory has no next opening.
    fn distrust(&self, _error: &TableError) {}
}
