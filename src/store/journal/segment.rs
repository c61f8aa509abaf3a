//! Segment files: their names and headers.

use std::fmt;
use std::hash::{BuildHasher, RandomState};
use std::io;

use crate::shot::Sequence;
use crate::store::disk::{Disk, DiskFile};
use crate::store::error::OpenError;

/// The folder of the segments.
pub(crate) const FOLDER: &str = "journal";
/// The newest format of segments that this code reads, and the one it writes.
const FORMAT: u32 = 1;
const MAGIC: [u8; 8] = *b"EVNCARRY";
/// Bytes of a header: magic 8, format 4, store id 16, first sequence 8, CRC-32C of the bytes before 4, zeros.
pub(super) const HEADER: u64 = HEADER_BYTES as u64;
const HEADER_BYTES: usize = 64;
const CRC_AT: usize = 36;
const UNFINISHED: &str = ".new";

/// The identity of a store for as long as it lives, across restarts and copies.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct StoreId([u8; 16]);

impl StoreId {
    /// The id with these bytes.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 16]) -> Self {
        Self(bytes)
    }

    /// Its bytes.
    #[must_use]
    pub const fn bytes(&self) -> &[u8; 16] {
        &self.0
    }

    /// A new id, from the random keys that the system gives every process for its hash tables.
    #[must_use]
    pub fn random() -> Self {
        let draw = || RandomState::new().hash_one(0_u64).to_le_bytes();
        let mut bytes = [0; 16];
        bytes[..8].copy_from_slice(&draw());
        bytes[8..].copy_from_slice(&draw());
        Self(bytes)
    }
}

impl fmt::Display for StoreId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for StoreId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "StoreId({self})")
    }
}

/// One segment of one store. Every checksum in it covers this, so that a block of another segment never passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Segment {
    pub(super) store: StoreId,
    pub(super) first: Sequence,
}

impl Segment {
    /// What a checksum in this segment starts from.
    pub(super) fn seed(&self) -> u32 {
        let of_store = crc32c::crc32c(self.store.bytes());
        crc32c::crc32c_append(of_store, &self.first.get().to_le_bytes())
    }

    /// The file's name on the disk.
    pub(super) fn file(&self) -> String {
        file_of(self.first)
    }

    fn header(&self) -> [u8; HEADER_BYTES] {
        let mut header = [0; HEADER_BYTES];
        header[..8].copy_from_slice(&MAGIC);
        header[8..12].copy_from_slice(&FORMAT.to_le_bytes());
        header[12..28].copy_from_slice(self.store.bytes());
        header[28..CRC_AT].copy_from_slice(&self.first.get().to_le_bytes());
        let crc = crc32c::crc32c(&header[..CRC_AT]);
        header[CRC_AT..CRC_AT + 4].copy_from_slice(&crc.to_le_bytes());
        header
    }

    /// Makes the segment's file. It has its name only once its header is durable.
    pub(super) fn create(&self, disk: &dyn Disk) -> io::Result<std::sync::Arc<dyn DiskFile>> {
        let unfinished = format!("{}{UNFINISHED}", self.file());
        let file = disk.create(&unfinished)?;
        file.write_at(&self.header(), 0)?;
        file.sync_data()?;
        disk.rename(&unfinished, &self.file())?;
        disk.sync_folder(FOLDER)?;
        Ok(file)
    }

    /// Reads the header of the segment that begins with `first`.
    pub(super) fn read(disk: &dyn Disk, first: Sequence) -> Result<Self, OpenError> {
        let name = file_of(first);
        let failed = |source| OpenError::io(disk.path(&name), source);
        let mut header = [0; HEADER_BYTES];
        let read =
            disk.open(&name).and_then(|file| file.read_at(&mut header, 0)).map_err(failed)?;
        let word = |at: usize| u32::from_le_bytes(field(&header, at));
        let found = word(8);
        let whole = read == HEADER_BYTES && crc32c::crc32c(&header[..CRC_AT]) == word(CRC_AT);
        if whole && header[..8] == MAGIC && found > FORMAT {
            return Err(OpenError::Newer { file: disk.path(&name), found, known: FORMAT });
        }
        let segment = Self { store: StoreId(field(&header, 12)), first };
        if !whole || header != segment.header() {
            return Err(OpenError::Damaged {
                file: disk.path(&name),
                bad_offset: 0,
                good_at: format!("byte {HEADER}"),
            });
        }
        Ok(segment)
    }
}

/// The `N` bytes at `at`, which the caller knows to be there.
pub(super) fn field<const N: usize>(bytes: &[u8], at: usize) -> [u8; N] {
    let mut taken = [0; N];
    taken.copy_from_slice(&bytes[at..at + N]);
    taken
}

pub(super) fn file_of(first: Sequence) -> String {
    format!("{FOLDER}/{:020}.journal", first.get())
}

/// The first sequences of all segments, in order. What an unfinished creation left behind is removed.
pub(super) fn list(disk: &dyn Disk) -> Result<Vec<Sequence>, OpenError> {
    let failed = |source| OpenError::io(disk.path(FOLDER), source);
    let mut firsts = Vec::new();
    for name in disk.list(FOLDER).map_err(failed)? {
        let path = format!("{FOLDER}/{name}");
        let stem = name.strip_suffix(UNFINISHED).unwrap_or(&name);
        let number = stem.strip_suffix(".journal").and_then(|digits| digits.parse().ok());
        match number.map(Sequence::new).filter(|&first| path.starts_with(&file_of(first))) {
            None => return Err(OpenError::Foreign { path: disk.path(&path) }),
            Some(first) if stem.len() == name.len() => firsts.push(first),
            Some(_) => disk.remove(&path).map_err(failed)?,
        }
    }
    firsts.sort_unstable();
    Ok(firsts)
}
