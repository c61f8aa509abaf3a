//! The names of the chunks that the fold keeps in the store.

use bytes::{BufMut, Bytes, BytesMut};

use super::ledger::Owner;
use crate::shot::Sequence;

/// The last frame that was folded.
pub(super) fn last() -> Bytes {
    build(b'z', |_| {})
}

/// Whether the content of anything is gone.
pub(super) fn gone() -> Bytes {
    build(b'y', |_| {})
}

/// A page of the ledger.
pub(super) fn ledger(page: u64) -> Bytes {
    build(b'o', |key| key.put_u64(page))
}

/// What is known of a roll besides its rows.
pub(super) fn head(owner: Owner) -> Bytes {
    build(b'h', |key| key.put_u32(owner.code()))
}

/// All chunks of rows of an owner.
pub(super) fn rows_of(owner: Owner) -> Bytes {
    build(b'r', |key| key.put_u32(owner.code()))
}

/// The chunk of an owner's rows that starts at a sequence.
pub(super) fn rows(owner: Owner, from: u64) -> Bytes {
    build(b'r', |key| {
        key.put_u32(owner.code());
        key.put_u64(from);
    })
}

/// All sessions of an owner.
pub(super) fn sessions_of(owner: Owner) -> Bytes {
    build(b's', |key| key.put_u32(owner.code()))
}

/// One session of an owner.
pub(super) fn session(owner: Owner, number: u32) -> Bytes {
    build(b's', |key| {
        key.put_u32(owner.code());
        key.put_u32(number);
    })
}

/// All corrected shots of an owner.
pub(super) fn corrections_of(owner: Owner) -> Bytes {
    build(b'c', |key| key.put_u32(owner.code()))
}

/// One corrected shot of an owner.
pub(super) fn correction(owner: Owner, sequence: Sequence) -> Bytes {
    build(b'c', |key| {
        key.put_u32(owner.code());
        key.put_u64(sequence.get());
    })
}

/// Everything of one kind in the catalogue.
pub(super) fn kind(kind: u8) -> Bytes {
    Bytes::copy_from_slice(&[kind])
}

/// One thing of the catalogue: its kind, its number, and its number within what it belongs to.
pub(super) fn thing(kind: u8, number: u32, part: Option<u32>) -> Bytes {
    build(kind, |key| {
        key.put_u32(number);
        if let Some(part) = part {
            key.put_u32(part);
        }
    })
}

/// The sequence that ends the key of a chunk of rows or of a correction.
pub(super) fn sequence_in(key: &[u8]) -> Option<u64> {
    key.last_chunk::<8>().map(|last| u64::from_be_bytes(*last))
}

fn build(kind: u8, rest: impl FnOnce(&mut BytesMut)) -> Bytes {
    let mut key = BytesMut::with_capacity(13);
    key.put_u8(kind);
    rest(&mut key);
    key.freeze()
}
