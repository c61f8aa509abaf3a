//! Players' bags.

use super::{BAG, Catalogue, Entry};
use crate::shot::{Bag, BagId, Sequence};

impl Catalogue {
    pub(in crate::live) fn bags(&self, player: u32) -> Vec<&Entry<BagId, Bag>> {
        let bags = self.lockers.get(player as usize).map(|locker| &locker.bags);
        let mut bags: Vec<_> = bags.into_iter().flatten().filter(|bag| !bag.removed).collect();
        bags.sort_by(|a, b| a.id.cmp(&b.id));
        bags
    }

    pub(in crate::live) fn bag(&self, player: u32, id: &BagId) -> Option<&Entry<BagId, Bag>> {
        let bags = &self.lockers.get(player as usize)?.bags;
        bags.iter().find(|bag| bag.id == *id && !bag.removed)
    }

    /// Replaces a bag; says whether it is new.
    pub(in crate::live) fn put_bag(
        &mut self,
        player: u32,
        (id, document): (&BagId, Bag),
        at: Sequence,
    ) -> bool {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return false };
        let known = locker.bags.iter().position(|bag| bag.id == *id && !bag.removed);
        let number = known.unwrap_or(locker.bags.len());
        let entry = Entry { id: id.clone(), document, as_of: at, removed: false };
        match locker.bags.get_mut(number) {
            Some(bag) => *bag = entry,
            None => locker.bags.push(entry),
        }
        self.change_part(BAG, player, u32::try_from(number).unwrap_or(u32::MAX));
        known.is_none()
    }

    pub(in crate::live) fn remove_bag(&mut self, player: u32, id: &BagId, at: Sequence) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        let known = locker.bags.iter().position(|bag| bag.id == *id && !bag.removed);
        if let Some(number) = known {
            let bag = &mut locker.bags[number];
            (bag.removed, bag.as_of) = (true, at);
            self.change_part(BAG, player, u32::try_from(number).unwrap_or(u32::MAX));
        }
    }
}
