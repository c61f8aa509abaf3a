//! The table in sled.
//!
//! What is done around sled 0.34 comes from measurements: `flush` alone is not durable (a write and a
//! `sync_file_range`), so the file `db` is synced after it; `conf` is synced when it is made; the default flush every
//! 500 ms stays, since without it memory grows without bound; a half-written `snap.*.generating` stops the next open and
//! holds nothing that is needed, so it is removed.

use std::fs::{self, File};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use bytes::Bytes;
use sled::transaction::{ConflictableTransactionError, TransactionError, Transactional};
use sled::{Batch, IVec};

use super::{Table, TableChange, Tables, Tree};
use crate::store::error::TableError;
use crate::store::panic::panic_message;
use crate::store::projection::MAX_CHUNK_BYTES;

const FOLDER: &str = "sled";
const ASIDE: &str = "aside";
/// A file within sled's folder that says why it is not to be opened again.
const DISTRUSTED: &str = "distrusted";
/// Pages that sled keeps in memory, in bytes.
const CACHE_BYTES: u64 = 64 * 1024 * 1024;

/// The sled folder within a data folder.
pub struct SledTables {
    data_folder: PathBuf,
}

impl SledTables {
    /// The sled folder within this data folder.
    #[must_use]
    pub fn new(data_folder: &Path) -> Self {
        Self { data_folder: data_folder.to_owned() }
    }

    fn folder(&self) -> PathBuf {
        self.data_folder.join(FOLDER)
    }

    /// The first free name to move the folder to.
    fn free_name(&self) -> PathBuf {
        let aside = self.data_folder.join(ASIDE);
        let mut number = 1_u32;
        loop {
            let name = aside.join(format!("{FOLDER}-{number}"));
            if !name.exists() {
                return name;
            }
            number += 1;
        }
    }
}

impl Tables for SledTables {
    fn exists(&self) -> bool {
        self.folder().exists()
    }

    fn open(&self) -> Result<Arc<dyn Table>, TableError> {
        let folder = self.folder();
        let file = folder.display().to_string();
        let fresh = !folder.exists();
        if let Ok(cause) = fs::read_to_string(folder.join(DISTRUSTED)) {
            return Err(failure(&file, &cause));
        }
        remove_unfinished_snapshots(&folder).map_err(|error| failure(&file, &error))?;
        let table = guarded(&file, || SledTable::open(&folder))?;
        if fresh {
            sync_new(&folder).map_err(|error| failure(&file, &error))?;
        }
        Ok(Arc::new(table))
    }

    fn set_aside(&self) -> Result<Option<String>, TableError> {
        if !self.exists() {
            return Ok(None);
        }
        let target = self.free_name();
        let moved = fs::create_dir_all(self.data_folder.join(ASIDE))
            .and_then(|()| fs::rename(self.folder(), &target))
            .and_then(|()| sync_path(&self.data_folder))
            .and_then(|()| sync_path(&self.data_folder.join(ASIDE)));
        moved.map_err(|error| failure(&self.folder().display().to_string(), &error))?;
        Ok(Some(target.display().to_string()))
    }
}

fn remove_unfinished_snapshots(folder: &Path) -> io::Result<()> {
    if !folder.exists() {
        return Ok(());
    }
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with("snap.") && name.ends_with(".generating") {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

fn sync_path(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

fn sync_new(folder: &Path) -> io::Result<()> {
    sync_path(&folder.join("conf"))?;
    sync_path(&folder.join("db"))?;
    sync_path(folder)?;
    folder.parent().map_or(Ok(()), sync_path)
}

fn failure(file: &str, cause: &dyn ToString) -> TableError {
    TableError { file: file.to_owned(), cause: cause.to_string() }
}

/// Runs what may panic inside sled.
fn guarded<T>(file: &str, work: impl FnOnce() -> Result<T, TableError>) -> Result<T, TableError> {
    catch_unwind(AssertUnwindSafe(work))
        .unwrap_or_else(|panic| Err(failure(file, &panic_message(&*panic))))
}

struct SledTable {
    db: sled::Db,
    trees: Vec<sled::Tree>,
    data: File,
    file: String,
}

impl SledTable {
    fn open(folder: &Path) -> Result<Self, TableError> {
        let path = folder.join("db");
        let file = path.display().to_string();
        let fails = |error: sled::Error| failure(&file, &error);
        let db = sled::Config::new().path(folder).cache_capacity(CACHE_BYTES).open();
        let db = db.map_err(fails)?;
        let names = ["meta", "sources", "identity", "places", "chunks", "gone"];
        let trees: Result<Vec<_>, _> = names.iter().map(|name| db.open_tree(name)).collect();
        let trees = trees.map_err(fails)?;
        let data = File::open(&path).map_err(|error| failure(&file, &error))?;
        Ok(Self { db, trees, data, file })
    }

    fn tree(&self, tree: Tree) -> &sled::Tree {
        &self.trees[tree as usize]
    }

    fn asked<T>(&self, work: impl FnOnce() -> sled::Result<T>) -> Result<T, TableError> {
        guarded(&self.file, || work().map_err(|error| failure(&self.file, &error)))
    }

    fn batches(&self, changes: &[TableChange]) -> Result<Vec<Batch>, TableError> {
        let mut batches = vec![Batch::default(); Tree::ALL.len()];
        for change in changes {
            let batch = &mut batches[change.tree as usize];
            match &change.value {
                Some(value) if value.len() > MAX_CHUNK_BYTES => {
                    return Err(failure(&self.file, &format!("a value of {} bytes", value.len())));
                }
                Some(value) => batch.insert(IVec::from(&change.key[..]), IVec::from(&value[..])),
                None => batch.remove(IVec::from(&change.key[..])),
            }
        }
        Ok(batches)
    }
}

fn owned((key, value): (IVec, IVec)) -> (Bytes, Bytes) {
    (Bytes::copy_from_slice(&key), Bytes::copy_from_slice(&value))
}

impl Table for SledTable {
    fn get(&self, tree: Tree, key: &[u8]) -> Result<Option<Bytes>, TableError> {
        let value = self.asked(|| self.tree(tree).get(key))?;
        Ok(value.map(|value| Bytes::copy_from_slice(&value)))
    }

    fn floor(
        &self,
        tree: Tree,
        from: &[u8],
        upto: &[u8],
    ) -> Result<Option<(Bytes, Bytes)>, TableError> {
        let entry = self.asked(|| self.tree(tree).range(from..=upto).next_back().transpose())?;
        Ok(entry.map(owned))
    }

    fn prefix(&self, tree: Tree, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        self.asked(|| self.tree(tree).scan_prefix(prefix).map(|entry| entry.map(owned)).collect())
    }

    fn commit(&self, changes: &[TableChange]) -> Result<(), TableError> {
        let batches = self.batches(changes)?;
        let trees: Vec<&sled::Tree> = self.trees.iter().collect();
        guarded(&self.file, || {
            let done: Result<(), TransactionError<()>> = trees[..].transaction(|trees| {
                for (tree, batch) in trees.iter().zip(&batches) {
                    tree.apply_batch(batch).map_err(ConflictableTransactionError::from)?;
                }
                Ok(())
            });
            done.map_err(|error| failure(&self.file, &format!("{error:?}")))?;
            self.db.flush().map_err(|error| failure(&self.file, &error))?;
            self.data.sync_data().map_err(|error| failure(&self.file, &error))
        })
    }

    fn distrust(&self, error: &TableError) {
        let note = Path::new(&self.file).with_file_name(DISTRUSTED);
        tracing::error!(%error, "the table cannot be read and is made anew at the next start");
        if let Err(error) = fs::write(&note, error.to_string()) {
            tracing::error!(%error, "the table cannot be marked");
        }
    }
}
