//! Players' bags, and what was changed of them.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{BAG, BAG_CHANGE, Catalogue, Entry, Locker};
use crate::shot::{Bag, BagId, ClubId, Sequence};

/// What one replacement of a bag changed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BagChange {
    /// The act's place in the one order.
    pub as_of: Sequence,
    /// When the act arrived.
    #[schema(value_type = String, format = DateTime)]
    pub time: Timestamp,
    /// Clubs that came in, in the order of the bag.
    pub added: Vec<ClubId>,
    /// Clubs that went out, in the order of the bag before.
    pub removed: Vec<ClubId>,
    /// What the bag was called from then on, where that changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
}

impl BagChange {
    /// From one bag to the next; `None` where the clubs and the name are the same.
    fn between(
        before: Option<&Bag>,
        after: &Bag,
        (as_of, time): (Sequence, Timestamp),
    ) -> Option<Self> {
        let had = before.map_or(&[][..], |bag| &bag.clubs);
        let without = |clubs: &[ClubId], others: &[ClubId]| -> Vec<ClubId> {
            clubs.iter().filter(|club| !others.contains(club)).cloned().collect()
        };
        let renamed = before.is_none_or(|bag| bag.name != after.name);
        let change = Self {
            as_of,
            time,
            added: without(&after.clubs, had),
            removed: without(had, &after.clubs),
            name: renamed.then(|| after.name.clone()),
        };
        let same = change.added.is_empty() && change.removed.is_empty() && !renamed;
        (!same).then_some(change)
    }
}

impl Locker {
    /// The number of a bag that is there and not taken out.
    fn bag_number(&self, id: &BagId) -> Option<usize> {
        self.bags.iter().position(|bag| bag.id == *id && !bag.removed)
    }
}

impl Catalogue {
    pub(in crate::live) fn bags(&self, player: u32) -> Vec<&Entry<BagId, Bag>> {
        let bags = self.lockers.get(player as usize).map(|locker| &locker.bags);
        let mut bags: Vec<_> = bags.into_iter().flatten().filter(|bag| !bag.removed).collect();
        bags.sort_by(|a, b| a.id.cmp(&b.id));
        bags
    }

    /// The last sequence that changed a bag of a player's, or the player, or took a bag out.
    pub(in crate::live) fn bags_as_of(&self, player: u32) -> Sequence {
        let bags = self.lockers.get(player as usize).map(|locker| &locker.bags);
        let bags = bags.into_iter().flatten().map(|bag| bag.as_of);
        bags.max().unwrap_or_default().max(self.player_as_of(player))
    }

    pub(in crate::live) fn bag(&self, player: u32, id: &BagId) -> Option<&Entry<BagId, Bag>> {
        let locker = self.lockers.get(player as usize)?;
        locker.bags.get(locker.bag_number(id)?)
    }

    /// What was changed of a bag, oldest first.
    pub(in crate::live) fn bag_changes(&self, player: u32, id: &BagId) -> Vec<&BagChange> {
        let Some(locker) = self.lockers.get(player as usize) else { return Vec::new() };
        let number = locker.bag_number(id).map(number);
        let changes = locker.bag_changes.iter().filter(|(bag, _)| Some(*bag) == number);
        changes.map(|(_, change)| change).collect()
    }

    /// Replaces a bag; says whether it is new.
    pub(in crate::live) fn put_bag(
        &mut self,
        player: u32,
        (id, document): (&BagId, Bag),
        at: (Sequence, Timestamp),
    ) -> bool {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return false };
        let known = locker.bag_number(id);
        let place = known.unwrap_or(locker.bags.len());
        let before = known.map(|known| &locker.bags[known].document);
        let change = BagChange::between(before, &document, at);
        let entry = Entry { id: id.clone(), document, as_of: at.0, removed: false };
        match locker.bags.get_mut(place) {
            Some(bag) => *bag = entry,
            None => locker.bags.push(entry),
        }
        let logged = change.map(|change| {
            locker.bag_changes.push((number(place), change));
            number(locker.bag_changes.len() - 1)
        });
        self.change_part(BAG, player, number(place));
        if let Some(logged) = logged {
            self.change_part(BAG_CHANGE, player, logged);
        }
        known.is_none()
    }

    pub(in crate::live) fn remove_bag(&mut self, player: u32, id: &BagId, at: Sequence) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        if let Some(place) = locker.bag_number(id) {
            let bag = &mut locker.bags[place];
            (bag.removed, bag.as_of) = (true, at);
            self.change_part(BAG, player, number(place));
        }
    }
}

fn number(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}
