//! The disk of the operating system: one folder, locked for as long as it is open.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rustix::fs::{FallocateFlags, fallocate};
use rustix::io::Errno;

use super::{Disk, DiskFile};
use crate::store::error::OpenError;

const LOCK: &str = "lock";

/// A folder of the file system that no other process works in.
pub struct OsDisk {
    folder: PathBuf,
    _lock: File,
}

impl OsDisk {
    /// Takes a folder, which is made when it is missing, for this process alone.
    ///
    /// # Errors
    /// `NotAFolder`, `ReadOnly`, `InUse`, or `Io` for what else the system says.
    pub fn open(folder: &Path) -> Result<Self, OpenError> {
        let refusal = |error| OpenError::io(folder.display().to_string(), error);
        fs::create_dir_all(folder).map_err(refusal)?;
        let path = folder.join(LOCK);
        let lock = OpenOptions::new().create(true).truncate(false).write(true).open(&path);
        let lock = lock.map_err(refusal)?;
        match lock.try_lock() {
            Ok(()) => Ok(Self { folder: folder.to_owned(), _lock: lock }),
            Err(TryLockError::WouldBlock) => {
                Err(OpenError::InUse { path: folder.display().to_string() })
            }
            Err(TryLockError::Error(error)) => Err(refusal(error)),
        }
    }
}

impl Disk for OsDisk {
    fn create(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let mut options = OpenOptions::new();
        let file = options.create(true).truncate(true).read(true).write(true);
        Ok(Arc::new(OsFile(file.open(self.folder.join(name))?)))
    }

    fn open(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let file = OpenOptions::new().read(true).write(true).open(self.folder.join(name))?;
        Ok(Arc::new(OsFile(file)))
    }

    fn list(&self, folder: &str) -> io::Result<Vec<String>> {
        let entries = match fs::read_dir(self.folder.join(folder)) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            entries => entries?,
        };
        let mut names = Vec::new();
        for entry in entries {
            names.push(entry?.file_name().to_string_lossy().into_owned());
        }
        names.sort_unstable();
        Ok(names)
    }

    fn make_folder(&self, folder: &str) -> io::Result<()> {
        fs::create_dir_all(self.folder.join(folder))
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        fs::rename(self.folder.join(from), self.folder.join(to))
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        fs::remove_file(self.folder.join(name))
    }

    fn sync_folder(&self, folder: &str) -> io::Result<()> {
        File::open(self.folder.join(folder))?.sync_all()
    }

    fn path(&self, name: &str) -> String {
        self.folder.join(name).display().to_string()
    }
}

struct OsFile(File);

/// What stands in for `fallocate` where a file system has none.
static ZEROS: [u8; 64 * 1024] = [0; 64 * 1024];

impl OsFile {
    fn fill_with_zeros(&self, offset: u64, length: u64) -> io::Result<()> {
        let end = offset + length;
        let mut at = offset;
        while at < end {
            let count = ZEROS.len().min(usize::try_from(end - at).unwrap_or(ZEROS.len()));
            self.0.write_all_at(&ZEROS[..count], at)?;
            at += count as u64;
        }
        Ok(())
    }
}

impl DiskFile for OsFile {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        let mut filled = 0;
        while filled < buffer.len() {
            match self.0.read_at(&mut buffer[filled..], offset + filled as u64) {
                Ok(0) => break,
                Ok(count) => filled += count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(filled)
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        self.0.write_all_at(bytes, offset)
    }

    /// `fallocate` rather than a fill with zeros: measured on ext4 it is as fast for lone shots (about 7,000 groups a
    /// second each), faster for 64 a group (4,400 against 3,600), more than twice as fast for 1,000 (1,750 against 730).
    fn allocate(&self, offset: u64, length: u64) -> io::Result<()> {
        match fallocate(&self.0, FallocateFlags::empty(), offset, length) {
            Err(Errno::OPNOTSUPP | Errno::NOSYS) => self.fill_with_zeros(offset, length),
            result => Ok(result?),
        }
    }

    fn truncate(&self, length: u64) -> io::Result<()> {
        self.0.set_len(length)
    }

    fn sync_data(&self) -> io::Result<()> {
        self.0.sync_data()
    }

    fn length(&self) -> io::Result<u64> {
        Ok(self.0.metadata()?.len())
    }
}
