//! Who was erased: keyed hashes of ids, and the frames.

use std::collections::BTreeSet;

use hashbrown::HashMap;

use crate::shot::{Keyed, PlayerId, Sequence};

/// All erasures of players.
#[derive(Debug, Default)]
pub(super) struct Erased {
    /// In the order of their frames, as the store keeps them.
    erasures: Vec<(Keyed, Sequence)>,
    /// The last erasure of each.
    last: HashMap<Keyed, Sequence>,
    /// The ids of the stores that made the hashes.
    salts: BTreeSet<[u8; 16]>,
}

impl Erased {
    /// Notes an erasure; its number.
    pub(super) fn push(&mut self, (keyed, at): (Keyed, Sequence)) -> u32 {
        self.erasures.push((keyed, at));
        self.last.insert(keyed, at);
        self.salts.insert(keyed.salt());
        u32::try_from(self.erasures.len() - 1).unwrap_or(u32::MAX)
    }

    /// An erasure by its number.
    pub(super) fn get(&self, number: usize) -> Option<&(Keyed, Sequence)> {
        self.erasures.get(number)
    }

    /// The last frame that erased anybody.
    pub(super) fn as_of(&self) -> Sequence {
        self.erasures.last().map(|(_, at)| *at).unwrap_or_default()
    }

    /// Whether nobody was ever erased.
    pub(super) fn is_empty(&self) -> bool {
        self.erasures.is_empty()
    }

    /// The last frame that erased a player of this id. It takes one hash for each store whose erasures
    /// are known here, which is this one and those of imports.
    pub(super) fn last(&self, id: &PlayerId) -> Option<Sequence> {
        let hashes = self.salts.iter().map(|salt| Keyed::of_player(*salt, id));
        hashes.filter_map(|keyed| self.last.get(&keyed).copied()).max()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn an_id_is_known_again_by_the_hash_of_any_store_and_as_of_its_last_erasure() {
        let id = |text| PlayerId::parse(text).unwrap();
        let at = Sequence::new;
        let mut erased = Erased::default();
        assert!(erased.is_empty());
        for (frame, salt, player) in [
            (3, [1; 16], "rowan"),
            (5, [2; 16], "marit"),
            (7, [1; 16], "marit"),
            (9, [1; 16], "rowan"),
        ] {
            let keyed = Keyed::of_player(salt, &id(player));
            let number = erased.push((keyed, at(frame)));
            assert_eq!(erased.get(number as usize), Some(&(keyed, at(frame))));
            assert_eq!(erased.as_of(), at(frame));
        }
        assert_eq!(erased.last(&id("rowan")), Some(at(9)));
        assert_eq!(erased.last(&id("marit")), Some(at(7)));
        assert_eq!(erased.last(&id("robin")), None);
    }
}
