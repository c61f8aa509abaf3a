//! Players' clubs, and those that shots without a player name.

use std::sync::Arc;

use super::{CLUB, Catalogue, WAITING};
use crate::{
    bag::{NONE, NamedClub},
    live::ledger::Owner,
    shot::{Club, ClubId, Sequence},
};

impl Catalogue {
    /// A player's clubs by number.
    pub(in crate::live) fn clubs(&self, player: u32) -> Arc<Vec<NamedClub>> {
        self.lockers.get(player as usize).map(|locker| locker.clubs.clone()).unwrap_or_default()
    }

    pub(in crate::live) fn club_number(&self, player: u32, id: &ClubId) -> Option<u32> {
        let locker = self.lockers.get(player as usize)?;
        let number = locker.number_of.get(id).copied()?;
        (!locker.clubs.get(number as usize)?.removed).then_some(number)
    }

    /// The number that an owner's rows use for a club, given one where it has none.
    pub(in crate::live) fn club_of(&mut self, owner: Owner, id: &ClubId, at: Sequence) -> u32 {
        match owner {
            Owner::Player(player) => self.ensure_club(player, id, at),
            Owner::Source(source) => {
                let waiting = self.waiting.entry(source).or_default();
                if let Some(number) = waiting.number_of.get(id) {
                    return *number;
                }
                let number = waiting.push(id.clone());
                self.change_part(WAITING, source, number);
                number
            }
        }
    }

    /// The club that a number in an owner's rows stands for.
    pub(in crate::live) fn club_id(&self, owner: Owner, number: u32) -> Option<ClubId> {
        match owner {
            Owner::Player(player) => {
                let clubs = &self.lockers.get(player as usize)?.clubs;
                clubs.get(number as usize).map(|club| club.id.clone())
            }
            Owner::Source(source) => self.waiting.get(&source)?.clubs.get(number as usize).cloned(),
        }
    }

    /// The number that an owner's rows use for a club, if it has one.
    pub(in crate::live) fn known_club(&self, owner: Owner, id: &ClubId) -> Option<u32> {
        match owner {
            Owner::Player(player) => self.club_number(player, id),
            Owner::Source(source) => self.waiting.get(&source)?.number_of.get(id).copied(),
        }
    }

    pub(in crate::live) fn club_as_of(&self, player: u32, club: u32) -> Option<Sequence> {
        self.lockers.get(player as usize)?.club_as_of.get(club as usize).copied()
    }

    /// The last sequence that changed a club of a player's, or the player, or took a club out.
    pub(in crate::live) fn clubs_as_of(&self, player: u32) -> Sequence {
        let clubs = self.lockers.get(player as usize).map(|locker| &locker.club_as_of);
        let clubs = clubs.into_iter().flatten().copied();
        clubs.max().unwrap_or_default().max(self.player_as_of(player))
    }

    pub(in crate::live) fn ensure_club(&mut self, player: u32, id: &ClubId, at: Sequence) -> u32 {
        if let Some(number) = self.club_number(player, id) {
            return number;
        }
        let Some(locker) = self.lockers.get_mut(player as usize) else { return NONE };
        let bare = NamedClub { id: id.clone(), document: Club::bare(id), removed: false };
        let number = match locker.number_of.get(id).copied() {
            // A club that was taken out keeps its number.
            Some(number) => {
                Arc::make_mut(&mut locker.clubs)[number as usize] = bare;
                locker.club_as_of[number as usize] = at;
                number
            }
            None => locker.push(bare, at),
        };
        self.change_part(CLUB, player, number);
        number
    }

    /// Replaces what is said of a club; says whether the club is new.
    pub(in crate::live) fn put_club(
        &mut self,
        player: u32,
        (id, document): (&ClubId, Club),
        at: Sequence,
    ) -> bool {
        let made = self.club_number(player, id).is_none();
        let number = self.ensure_club(player, id, at);
        self.edit_club(player, number, at, |club| club.document = document);
        made
    }

    /// Takes a club out, one that nothing is left of, too: its removal is the last word on clubs.
    pub(in crate::live) fn remove_club(&mut self, player: u32, id: &ClubId, at: Sequence) {
        let number = self.ensure_club(player, id, at);
        self.edit_club(player, number, at, |club| club.removed = true);
    }

    pub(super) fn edit_club(
        &mut self,
        player: u32,
        club: u32,
        at: Sequence,
        edit: impl FnOnce(&mut NamedClub),
    ) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        if let Some(named) = Arc::make_mut(&mut locker.clubs).get_mut(club as usize) {
            edit(named);
            locker.club_as_of[club as usize] = at;
            self.change_part(CLUB, player, club);
        }
    }
}
