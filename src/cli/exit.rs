//! How the program ends: numbers of sysexits(3), so that service managers and scripts can tell
//! faults apart.

use std::{io, process::ExitCode};

use super::settings::Fault;
use crate::store::OpenError;

/// An end that is not a success.
#[derive(Debug)]
pub struct Exit {
    code: u8,
    sentences: Vec<String>,
}

impl Exit {
    /// Not ready: what `healthcheck` says.
    pub(super) const NOT_READY: u8 = 1;
    /// Wrong usage (`EX_USAGE`).
    pub(super) const USAGE: u8 = 64;
    /// Data that is damaged or not ours (`EX_DATAERR`).
    pub(super) const DATA: u8 = 65;
    /// A file that is not there or cannot be read (`EX_NOINPUT`).
    pub(super) const NO_INPUT: u8 = 66;
    /// The service cannot be given (`EX_UNAVAILABLE`).
    pub(super) const UNAVAILABLE: u8 = 69;
    /// The data folder cannot be made or written (`EX_CANTCREAT`).
    pub(super) const CANNOT_CREATE: u8 = 73;
    /// The disk failed (`EX_IOERR`).
    pub(super) const DISK: u8 = 74;
    /// In use; later it may be free (`EX_TEMPFAIL`).
    pub(super) const IN_USE: u8 = 75;
    /// Data that only another release can read (`EX_PROTOCOL`).
    pub(super) const OTHER_RELEASE: u8 = 76;
    /// The system does not allow it (`EX_NOPERM`).
    pub(super) const NOT_ALLOWED: u8 = 77;

    /// A faulty settings file (`EX_CONFIG`).
    pub(super) const CONFIG: u8 = 78;

    /// An end with a code and a sentence that says what, where and the mend.
    pub(super) fn new(code: u8, sentence: impl Into<String>) -> Self {
        Self { code, sentences: vec![sentence.into()] }
    }

    /// An end with a code and several sentences.
    pub(super) fn all(code: u8, sentences: Vec<String>) -> Self {
        Self { code, sentences }
    }

    /// Wrong usage that has been explained already.
    pub(super) fn usage() -> Self {
        Self { code: Self::USAGE, sentences: Vec::new() }
    }

    /// Whether the same may be tried again later.
    pub(super) fn may_pass(&self) -> bool {
        matches!(self.code, Self::UNAVAILABLE | Self::IN_USE)
    }

    /// What the user is told.
    pub(super) fn sentences(&self) -> &[String] {
        &self.sentences
    }

    /// What the caller is told.
    pub(super) fn code(&self) -> ExitCode {
        ExitCode::from(self.code)
    }

    /// Settings that cannot be served with: the file is at fault if any of the faults stands in it.
    pub(super) fn of_settings(faults: &[Fault]) -> Self {
        let in_file = faults.iter().any(Fault::is_in_a_file);
        let code = if in_file { Self::CONFIG } else { Self::USAGE };
        Self { code, sentences: faults.iter().map(ToString::to_string).collect() }
    }

    /// A store that does not open.
    pub(super) fn of_store(error: &OpenError) -> Self {
        let code = match error {
            OpenError::InUse { .. } => Self::IN_USE,
            OpenError::ReadOnly { .. } | OpenError::NotAFolder { .. } => Self::CANNOT_CREATE,
            OpenError::Newer { .. } | OpenError::Unreadable { .. } => Self::OTHER_RELEASE,
            OpenError::Foreign { .. }
            | OpenError::JournalMissing { .. }
            | OpenError::SegmentMissing { .. }
            | OpenError::Damaged { .. } => Self::DATA,
            OpenError::Io { .. } | OpenError::Import(_) | OpenError::Table(_) => Self::DISK,
        };
        Self::new(code, error.to_string())
    }

    /// An address that cannot be listened on.
    pub(super) fn of_address(address: &str, error: &io::Error) -> Self {
        let (code, mend) = match error.kind() {
            io::ErrorKind::AddrInUse => (
                Self::IN_USE,
                "stop what listens there, or choose another port; port 0 takes a free one",
            ),
            io::ErrorKind::PermissionDenied => (Self::NOT_ALLOWED, "choose a port above 1023"),
            _ => (Self::UNAVAILABLE, "choose an address of this machine"),
        };
        Self::new(code, format!("cannot listen on {address}: {error}: {mend}"))
    }
}
