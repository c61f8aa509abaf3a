//! The port to the disk: files by name below one folder that is ours alone.
//!
//! Names are relative, with `/` between folder and file. The journal does all its work through this port, so that a
//! test can take any write away, or change it.

mod memory;
mod os;

use std::io;
use std::sync::Arc;

pub use memory::MemoryDisk;
pub use os::OsDisk;

/// A folder of files.
pub trait Disk: Send + Sync + 'static {
    /// Makes an empty file, also in place of another.
    fn create(&self, name: &str) -> io::Result<Arc<dyn DiskFile>>;
    /// Opens a file for reading and writing.
    fn open(&self, name: &str) -> io::Result<Arc<dyn DiskFile>>;
    /// The names in a folder, sorted; none when the folder is missing. The empty name is the top.
    fn list(&self, folder: &str) -> io::Result<Vec<String>>;
    /// Makes a folder; nothing when it is there.
    fn make_folder(&self, folder: &str) -> io::Result<()>;
    /// Gives a file another name, in place of what had it.
    fn rename(&self, from: &str, to: &str) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, name: &str) -> io::Result<()>;
    /// Makes the names in a folder durable.
    fn sync_folder(&self, folder: &str) -> io::Result<()>;
    /// The full path of a name, for people.
    fn path(&self, name: &str) -> String;
}

/// A file of a [`Disk`]. Offsets and lengths are in bytes.
pub trait DiskFile: Send + Sync {
    /// Reads from an offset until the buffer is full or the file ends; the number of bytes read.
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize>;
    /// Writes all bytes at an offset.
    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()>;
    /// Takes room for `length` bytes from an offset on; they read as zeros.
    fn allocate(&self, offset: u64, length: u64) -> io::Result<()>;
    /// Cuts the file off.
    fn truncate(&self, length: u64) -> io::Result<()>;
    /// Makes content and length durable.
    fn sync_data(&self) -> io::Result<()>;
    /// The length of the file.
    fn length(&self) -> io::Result<u64>;
}
