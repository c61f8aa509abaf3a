//! A disk that forgets everything with the process.

use std::collections::BTreeMap;
use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::{Disk, DiskFile};

/// Files in memory.
#[derive(Default)]
pub struct MemoryDisk {
    files: Mutex<BTreeMap<String, Arc<MemoryFile>>>,
}

#[derive(Default)]
struct MemoryFile {
    bytes: Mutex<Vec<u8>>,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn index(offset: u64) -> io::Result<usize> {
    usize::try_from(offset).map_err(|_| io::ErrorKind::FileTooLarge.into())
}

impl Disk for MemoryDisk {
    fn create(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let file = Arc::new(MemoryFile::default());
        locked(&self.files).insert(name.to_owned(), Arc::clone(&file));
        Ok(file)
    }

    fn open(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let file = locked(&self.files).get(name).cloned().ok_or(io::ErrorKind::NotFound)?;
        Ok(file)
    }

    fn list(&self, folder: &str) -> io::Result<Vec<String>> {
        let files = locked(&self.files);
        let mut names: Vec<String> = files
            .keys()
            .filter_map(|name| match folder {
                "" => name.split('/').next(),
                _ => name.strip_prefix(folder)?.strip_prefix('/'),
            })
            .map(str::to_owned)
            .collect();
        names.dedup();
        Ok(names)
    }

    fn make_folder(&self, _folder: &str) -> io::Result<()> {
        Ok(())
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        let mut files = locked(&self.files);
        let file = files.remove(from).ok_or(io::ErrorKind::NotFound)?;
        files.insert(to.to_owned(), file);
        Ok(())
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        locked(&self.files).remove(name).map(drop).ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn sync_folder(&self, _folder: &str) -> io::Result<()> {
        Ok(())
    }

    fn path(&self, name: &str) -> String {
        format!("memory:{name}")
    }
}

impl DiskFile for MemoryFile {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        let bytes = locked(&self.bytes);
        let rest = bytes.get(index(offset)?..).unwrap_or_default();
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        Ok(count)
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        let mut held = locked(&self.bytes);
        let start = index(offset)?;
        let end = start + bytes.len();
        if held.len() < end {
            held.resize(end, 0);
        }
        held[start..end].copy_from_slice(bytes);
        Ok(())
    }

    /// Room in memory is taken as it is written: a file need not be larger than what it holds.
    fn allocate(&self, _offset: u64, _length: u64) -> io::Result<()> {
        Ok(())
    }

    fn truncate(&self, length: u64) -> io::Result<()> {
        locked(&self.bytes).truncate(index(length)?);
        Ok(())
    }

    fn sync_data(&self) -> io::Result<()> {
        Ok(())
    }

    fn length(&self) -> io::Result<u64> {
        Ok(locked(&self.bytes).len() as u64)
    }
}
