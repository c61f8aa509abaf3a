//! A disk in memory that can be told to fail.

use std::{
    io,
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

use evencarry::store::{Disk, DiskFile, Home, MemoryDisk};

use super::Running;

/// What fails from now on.
#[derive(Default)]
pub struct Failures {
    /// Every sync.
    pub syncs: AtomicBool,
    /// Taking room for more.
    pub room: AtomicBool,
    /// Reading what holds [`UNREADABLE`].
    pub reads: AtomicBool,
}

/// A mark in what can be made unreadable.
pub const UNREADABLE: &str = "a-bad-spot-of-the-disk";

struct FailingDisk {
    disk: MemoryDisk,
    failures: Arc<Failures>,
}

struct FailingFile {
    file: Arc<dyn DiskFile>,
    failures: Arc<Failures>,
}

/// A home on such a disk.
pub fn home(failures: &Arc<Failures>) -> Home {
    let disk = FailingDisk { disk: MemoryDisk::default(), failures: Arc::clone(failures) };
    Home { disk: Arc::new(disk), ..Home::in_memory(super::clock()) }
}

/// A service on such a disk.
pub fn service() -> (Running, Arc<Failures>) {
    let failures = Arc::new(Failures::default());
    (Running::at_home(home(&failures), |_| {}), failures)
}

impl FailingDisk {
    fn wrapped(&self, file: Arc<dyn DiskFile>) -> Arc<dyn DiskFile> {
        Arc::new(FailingFile { file, failures: Arc::clone(&self.failures) })
    }
}

impl Disk for FailingDisk {
    fn create(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        Ok(self.wrapped(self.disk.create(name)?))
    }

    fn open(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        Ok(self.wrapped(self.disk.open(name)?))
    }

    fn list(&self, folder: &str) -> io::Result<Vec<String>> {
        self.disk.list(folder)
    }

    fn make_folder(&self, folder: &str) -> io::Result<()> {
        self.disk.make_folder(folder)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        self.disk.rename(from, to)
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        self.disk.remove(name)
    }

    fn sync_folder(&self, folder: &str) -> io::Result<()> {
        self.disk.sync_folder(folder)
    }

    fn path(&self, name: &str) -> String {
        self.disk.path(name)
    }
}

impl DiskFile for FailingFile {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        let read = self.file.read_at(buffer, offset)?;
        let mark = UNREADABLE.as_bytes();
        let marked = || buffer[..read].windows(mark.len()).any(|found| found == mark);
        if self.failures.reads.load(Ordering::SeqCst) && marked() {
            return Err(io::Error::other("the disk cannot read this"));
        }
        Ok(read)
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        self.file.write_at(bytes, offset)
    }

    fn allocate(&self, offset: u64, length: u64) -> io::Result<()> {
        if self.failures.room.load(Ordering::SeqCst) {
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.file.allocate(offset, length)
    }

    fn truncate(&self, length: u64) -> io::Result<()> {
        self.file.truncate(length)
    }

    fn sync_data(&self) -> io::Result<()> {
        if self.failures.syncs.load(Ordering::SeqCst) {
            return Err(io::Error::other("the disk does not answer"));
        }
        self.file.sync_data()
    }

    fn length(&self) -> io::Result<u64> {
        self.file.length()
    }
}
