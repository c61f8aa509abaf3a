//! What stays of a name that was erased: a keyed hash, by which it is known again when it comes
//! back, and from which nobody reads it.

use super::names::{PlayerId, ShotId, SourceId};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// What the key of a store is derived for (BLAKE3, key derivation mode).
const PURPOSE: &str = "evencarry names of what was erased v1";

/// The keyed hash of a name: BLAKE3 under a key derived from a store's id, cut to 128 bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Keyed {
    salt: [u8; 16],
    hash: [u8; 16],
}

impl Keyed {
    /// The hash of a shot's identity, under the id of the store that erases it.
    #[must_use]
    pub fn of_shot(salt: [u8; 16], (source, id): (&SourceId, &ShotId)) -> Self {
        // A name holds no control character, so that no two identities read the same.
        Self::of(salt, &["shot", source.as_str(), id.as_str()])
    }

    /// The hash of a player's id, under the id of the store that erases it.
    #[must_use]
    pub fn of_player(salt: [u8; 16], player: &PlayerId) -> Self {
        Self::of(salt, &["player", player.as_str()])
    }

    fn of(salt: [u8; 16], parts: &[&str]) -> Self {
        let mut hasher = blake3::Hasher::new_keyed(&blake3::derive_key(PURPOSE, &salt));
        for part in parts {
            hasher.update(part.as_bytes());
            hasher.update(b"\0");
        }
        let mut hash = [0; 16];
        hash.copy_from_slice(&hasher.finalize().as_bytes()[..16]);
        Self { salt, hash }
    }

    /// The id of the store that made it.
    #[must_use]
    pub const fn salt(&self) -> [u8; 16] {
        self.salt
    }

    /// Salt and hash.
    #[must_use]
    pub fn bytes(&self) -> [u8; 32] {
        let mut bytes = [0; 32];
        bytes[..16].copy_from_slice(&self.salt);
        bytes[16..].copy_from_slice(&self.hash);
        bytes
    }
}

/// Salt and hash as 32 hexadecimal digits each, with a dot between.
impl fmt::Display for Keyed {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.salt.iter().try_for_each(|byte| write!(out, "{byte:02x}"))?;
        out.write_str(".")?;
        self.hash.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl Serialize for Keyed {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Keyed {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        let halves = text.split_once('.');
        let read =
            halves.and_then(|(salt, hash)| Some(Self { salt: hex(salt)?, hash: hex(hash)? }));
        read.ok_or_else(|| D::Error::custom("a keyed hash is two times 32 hexadecimal digits"))
    }
}

/// Sixteen bytes from 32 hexadecimal digits.
fn hex(digits: &str) -> Option<[u8; 16]> {
    let mut bytes = [0; 16];
    if digits.len() != 32 || !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return None;
    }
    for (byte, at) in bytes.iter_mut().zip((0..32).step_by(2)) {
        *byte = u8::from_str_radix(&digits[at..at + 2], 16).ok()?;
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn shot(source: &str, id: &str) -> Keyed {
        let (source, id) = (SourceId::parse(source).unwrap(), ShotId::parse(id).unwrap());
        Keyed::of_shot([7; 16], (&source, &id))
    }

    #[test]
    fn one_identity_has_one_hash_and_two_never_share_it() {
        assert_eq!(shot("bay-3", "1"), shot("bay-3", "1"));
        assert_ne!(shot("a", "bc"), shot("ab", "c"));
        let player = PlayerId::parse("a").unwrap();
        assert_ne!(Keyed::of_player([7; 16], &player), Keyed::of_player([8; 16], &player));
    }

    #[test]
    fn it_reads_back_from_what_it_is_written_as() {
        let keyed = shot("bay-3", "1");
        let text = serde_json::to_string(&keyed).unwrap();
        assert_eq!(text.len(), 2 + 32 + 1 + 32);
        assert_eq!(serde_json::from_str::<Keyed>(&text).unwrap(), keyed);
        for wrong in ["\"\"", "\"ab.cd\"", "7", "\"é\""] {
            assert!(serde_json::from_str::<Keyed>(wrong).is_err(), "{wrong}");
        }
    }
}
