//! Documents as chunks of the store: JSON, in pieces where it is longer than a chunk may be.

use bytes::Bytes;
use serde::{Serialize, de::DeserializeOwned};

use super::LiveError;
use crate::store::{Change, Chunks, MAX_CHUNK_BYTES};

/// Adds a document to the changes. Its pieces have the key and their number behind it; pieces of
/// an earlier, longer form that are no longer needed stay behind a piece that is not full.
pub(super) fn write<T: Serialize>(key: &Bytes, document: &T, changes: &mut Vec<Change>) {
    // Names, numbers and words always have a JSON form.
    let Ok(json) = serde_json::to_vec(document) else { return };
    let json = Bytes::from(json);
    let pieces = json.len() / MAX_CHUNK_BYTES + 1;
    for piece in 0..pieces {
        let from = piece * MAX_CHUNK_BYTES;
        let until = (from + MAX_CHUNK_BYTES).min(json.len());
        changes.push(Change { key: piece_key(key, piece), value: Some(json.slice(from..until)) });
    }
}

/// Takes a document out.
pub(super) fn remove(key: &Bytes, changes: &mut Vec<Change>) {
    changes.push(Change { key: piece_key(key, 0), value: None });
}

/// Reads one document back.
pub(super) fn read<T: DeserializeOwned>(
    key: &[u8],
    chunks: &dyn Chunks,
) -> Result<Option<T>, LiveError> {
    Ok(read_all(key, chunks)?.pop().map(|(_, document)| document))
}

/// Reads all documents whose keys begin with `prefix`, in the order of their keys.
pub(super) fn read_all<T: DeserializeOwned>(
    prefix: &[u8],
    chunks: &dyn Chunks,
) -> Result<Vec<(Bytes, T)>, LiveError> {
    let mut documents = Vec::new();
    let mut json: Vec<u8> = Vec::new();
    for (key, value) in chunks.prefix(prefix)? {
        let Some((piece, key)) = key.split_last() else { continue };
        if *piece == 0 {
            json.clear();
        } else if json.len() != usize::from(*piece) * MAX_CHUNK_BYTES {
            // Left over from an earlier, longer form.
            continue;
        }
        json.extend_from_slice(&value);
        if value.len() < MAX_CHUNK_BYTES {
            let document = serde_json::from_slice(&json)
                .map_err(|_| LiveError::Unreadable("a document of the catalogue"))?;
            documents.push((Bytes::copy_from_slice(key), document));
            json.clear();
        }
    }
    Ok(documents)
}

fn piece_key(key: &Bytes, piece: usize) -> Bytes {
    let mut with_piece = key.to_vec();
    // A document is bounded by the limits of its members to far fewer than 255 pieces.
    with_piece.push(u8::try_from(piece).unwrap_or(u8::MAX));
    with_piece.into()
}
