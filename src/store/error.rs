//! What can go wrong, in sentences that say what, where and how to mend it.

use std::io;

use super::archive::BadLine;
use crate::shot::Sequence;

/// Why a store cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// Another process holds the folder.
    #[error("{path} is in use by another process: stop it, or choose another data folder")]
    InUse {
        /// The data folder.
        path: String,
    },
    /// The folder may not be written to.
    #[error(
        "{path} cannot be written: make it writable for the user that runs the service, or choose another folder"
    )]
    ReadOnly {
        /// The path that refused.
        path: String,
    },
    /// The path names something else.
    #[error("{path} is not a folder: choose another data folder")]
    NotAFolder {
        /// The path.
        path: String,
    },
    /// A newer release wrote the journal.
    #[error(
        "{file} has journal format {found}, this release reads up to {known}: run the newer release"
    )]
    Newer {
        /// The segment file.
        file: String,
        /// The format it states.
        found: u32,
        /// The newest format known here.
        known: u32,
    },
    /// Files that the store did not make lie where only its own may.
    #[error("{path} is not a file of this store: move it away, or choose another data folder")]
    Foreign {
        /// The file or folder.
        path: String,
    },
    /// The journal is gone but what was made from it is there.
    #[error(
        "{path} holds no journal although shots were stored here before: put the journal folder back"
    )]
    JournalMissing {
        /// The journal's folder.
        path: String,
    },
    /// The journal does not begin with its first segment.
    #[error("{file} is missing, with good data after it: restore it from a backup, or repair it")]
    SegmentMissing {
        /// The segment file that should be there.
        file: String,
    },
    /// A frame or header is damaged and good frames follow it.
    #[error(
        "{file} is damaged at byte {bad_offset}, with good data after it at {good_at}: restore it from a backup, or repair it"
    )]
    Damaged {
        /// The segment file.
        file: String,
        /// Where the damage begins.
        bad_offset: u64,
        /// Where good data goes on.
        good_at: String,
    },
    /// A whole frame that this release cannot read.
    #[error("frame {sequence} cannot be read: {cause}: run the release that wrote it")]
    Unreadable {
        /// The frame.
        sequence: Sequence,
        /// What is wrong with it.
        cause: String,
    },
    /// The disk failed.
    #[error("{file}: {source}")]
    Io {
        /// The file that was worked on.
        file: String,
        /// The system's error.
        source: io::Error,
    },
    /// An import that a stop had cut short could not be finished.
    #[error("an import that was under way cannot be finished: {0}")]
    Import(WriteError),
    /// The table failed even after it was made anew.
    #[error("the table of the store cannot be made: {0}")]
    Table(#[from] TableError),
}

impl OpenError {
    /// What a failure of the disk means for whoever wants to open a store there.
    pub(super) fn io(path: String, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::NotADirectory | io::ErrorKind::AlreadyExists => {
                Self::NotAFolder { path }
            }
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::ReadOnly { path }
            }
            _ => Self::Io { file: path, source },
        }
    }
}

/// Why the table behind the journal failed.
#[derive(Clone, Debug, thiserror::Error)]
#[error("{file}: {cause}")]
pub struct TableError {
    /// The file or folder of the table.
    pub file: String,
    /// What happened.
    pub cause: String,
}

/// Why something stored could not be read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The journal does not hold what it should at this place.
    #[error("{file} is damaged at byte {offset}")]
    Damaged {
        /// The segment file.
        file: String,
        /// Where the damage begins.
        offset: u64,
    },
    /// A whole frame that this release cannot read.
    #[error("frame {sequence} cannot be read: {cause}")]
    Unreadable {
        /// The frame.
        sequence: Sequence,
        /// What is wrong with it.
        cause: String,
    },
    /// The disk failed.
    #[error("{file}: {source}")]
    Io {
        /// The file that was read.
        file: String,
        /// The system's error.
        source: io::Error,
    },
    /// The table failed.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// Why nothing was stored.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// A write or sync failed before, or the store is closed: nothing is accepted until a restart.
    #[error("nothing can be stored until a restart: {cause} ({file})")]
    Unavailable {
        /// What happened first.
        cause: String,
        /// The file it happened to.
        file: String,
    },
    /// No room for the frames; the next write tries again.
    #[error("no room left to store: {cause} ({file})")]
    Full {
        /// What the system said.
        cause: String,
        /// The file that cannot grow.
        file: String,
    },
    /// What is stored already could not be compared with what came in.
    #[error("the stored shots cannot be compared with: {0}")]
    Unreadable(#[from] ReadError),
    /// More than one write may hold.
    #[error("too large: {what} is more than {most}")]
    TooLarge {
        /// What was counted.
        what: &'static str,
        /// The most that is taken.
        most: usize,
    },
}

/// Why an archive was not taken.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// Something is stored already.
    #[error("an import needs an empty store: start the service in an empty data folder")]
    NotEmpty,
    /// Another one is being received.
    #[error("another import is under way: wait until it has ended")]
    UnderWay,
    /// A line is none of a whole export's.
    #[error("line {line}: {fault}")]
    Line {
        /// Which, from 1 on, blank ones not counted.
        line: u64,
        /// What is wrong with it.
        fault: BadLine,
    },
    /// It was received whole, and only a part of it could be stored.
    #[error("an import is unfinished, a restart goes on with it: {0}")]
    Unfinished(WriteError),
    /// Nothing of it could be stored.
    #[error(transparent)]
    Write(#[from] WriteError),
}

impl ImportError {
    /// A failure of the disk.
    pub(super) fn io(file: String, error: &io::Error) -> Self {
        let cause = error.to_string();
        Self::Write(match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                WriteError::Full { cause, file }
            }
            _ => WriteError::Unavailable { cause, file },
        })
    }
}

/// Why an act did not happen.
#[derive(Debug, thiserror::Error)]
pub enum ActError<R> {
    /// The projection says no.
    #[error("the act is refused")]
    Refused(R),
    /// It could not be stored.
    #[error(transparent)]
    Write(#[from] WriteError),
}
