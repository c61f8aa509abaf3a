//! Players.

use super::{Catalogue, Entry, Locker, PLAYER};
use crate::shot::{BagId, Player, PlayerId, Sequence};

impl Catalogue {
    pub(in crate::live) fn player_number(&self, id: &PlayerId) -> Option<u32> {
        self.players.number(id)
    }

    pub(in crate::live) fn player_id(&self, number: u32) -> Option<&PlayerId> {
        self.players.by_number(number).map(|entry| &entry.id)
    }

    pub(in crate::live) fn player(&self, id: &PlayerId) -> Option<&Entry<PlayerId, Player>> {
        self.players.get(id)
    }

    pub(in crate::live) fn players(&self) -> Vec<&Entry<PlayerId, Player>> {
        self.players.listed()
    }

    pub(in crate::live) fn ensure_player(&mut self, id: &PlayerId, as_of: Sequence) -> u32 {
        let (number, made) = self.players.ensure(id, as_of, Player::bare);
        if made {
            if self.lockers.len() <= number as usize {
                self.lockers.push(Locker::default());
            }
            self.change(PLAYER, number);
        }
        number
    }

    /// Replaces what is said of a player; says whether the player is new.
    pub(in crate::live) fn put_player(
        &mut self,
        id: &PlayerId,
        document: Player,
        at: Sequence,
    ) -> bool {
        let made = self.player_number(id).is_none();
        let number = self.ensure_player(id, at);
        let entry = &mut self.players.entries[number as usize];
        (entry.document, entry.as_of) = (document, at);
        self.change(PLAYER, number);
        made
    }

    /// Takes a player out, with the clubs and bags.
    pub(in crate::live) fn remove_player(&mut self, id: &PlayerId, at: Sequence) {
        let Some(number) = self.players.remove(id, at) else { return };
        self.change(PLAYER, number);
        // What was the player's goes along: somebody who comes back under this id starts bare.
        let bags: Vec<BagId> = self.bags(number).into_iter().map(|bag| bag.id.clone()).collect();
        for bag in &bags {
            self.remove_bag(number, bag, at);
        }
        for club in self.clubs(number).iter().filter(|club| !club.removed) {
            self.remove_club(number, &club.id, at);
        }
    }
}
