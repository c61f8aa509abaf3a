//! Players.

use super::{BAG, BAG_CHANGE, CLUB, Catalogue, ERASED, Entry, Locker, PLAYER, SOURCE, TRIAL};
use crate::shot::{BagId, Keyed, Player, PlayerId, Sequence};

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

    /// The last sequence that changed a player or took one out.
    pub(in crate::live) fn players_as_of(&self) -> Sequence {
        self.players.as_of().max(self.erased.as_of())
    }

    /// The last sequence that changed what is said of a player.
    pub(in crate::live) fn player_as_of(&self, number: u32) -> Sequence {
        self.players.by_number(number).map(|entry| entry.as_of).unwrap_or_default()
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

    /// The player whose id has a keyed hash.
    pub(in crate::live) fn player_of_hash(&self, keyed: Keyed) -> Option<u32> {
        let is = |id: &PlayerId| Keyed::of_player(keyed.salt(), id) == keyed;
        let found = self.players.entries.iter().find(|entry| !entry.removed && is(&entry.id))?;
        self.players.number(&found.id)
    }

    /// Whether a player of this id was erased and is not here again.
    pub(in crate::live) fn is_gone(&self, id: &PlayerId) -> bool {
        // Asked for every shot; where nobody was ever erased it costs nothing.
        !self.erased.is_empty() && self.player_number(id).is_none() && self.is_erased(id)
    }

    /// Whether a player of this id was erased.
    pub(in crate::live) fn is_erased(&self, id: &PlayerId) -> bool {
        self.is_erased_after(id, Sequence::new(0))
    }

    /// Whether a player of this id was erased after a frame, so that the frame speaks of nobody.
    pub(in crate::live) fn is_erased_after(&self, id: &PlayerId, frame: Sequence) -> bool {
        self.erased.last(id).is_some_and(|at| at > frame)
    }

    /// Takes a player out with all things of theirs, and out of every context; a keyed hash of the id
    /// stays.
    pub(in crate::live) fn erase_player(
        &mut self,
        number: Option<u32>,
        keyed: Keyed,
        at: Sequence,
    ) {
        let erasure = self.erased.push((keyed, at));
        self.change(ERASED, erasure);
        let Some(number) = number else { return };
        let Some(entry) = self.players.by_number(number) else { return };
        let id = entry.id.clone();
        for source in 0..self.sources.entries.len() {
            let state = &mut self.sources.entries[source].document;
            if state.context.player.as_ref() == Some(&id) {
                (state.context.player, state.context.club) = (None, None);
                state.context_as_of = at;
                self.change(SOURCE, u32::try_from(source).unwrap_or(u32::MAX));
            }
        }
        let things = std::mem::take(&mut self.lockers[number as usize]);
        for club in (0..).take(things.clubs.len()) {
            self.change_part(CLUB, number, club);
        }
        for bag in (0..).take(things.bags.len()) {
            self.change_part(BAG, number, bag);
        }
        for change in (0..).take(things.bag_changes.len()) {
            self.change_part(BAG_CHANGE, number, change);
        }
        for trial in (0..).take(things.trials.len()) {
            self.change_part(TRIAL, number, trial);
        }
        // The hash stands where the id stood: it is a name as well.
        if let Ok(hash) = PlayerId::parse(&keyed.to_string()) {
            let document = Player::bare(&hash);
            let nobody = Entry { id: hash, document, as_of: at, removed: true };
            self.players.forget(number, nobody);
        }
        self.change(PLAYER, number);
    }

    /// Takes a player out, with the clubs, bags and trials; one that nothing is left of, too: the removal is
    /// the last word on players.
    pub(in crate::live) fn remove_player(&mut self, id: &PlayerId, at: Sequence) {
        self.ensure_player(id, at);
        let Some(number) = self.players.remove(id, at) else { return };
        self.change(PLAYER, number);
        // What was the player's goes along: somebody who comes back under this id starts bare.
        let bags: Vec<BagId> = self.bags(number).into_iter().map(|bag| bag.id.clone()).collect();
        for bag in &bags {
            self.remove_bag(number, bag, at);
        }
        for trial in self.trials(number).iter().map(|trial| trial.id.clone()).collect::<Vec<_>>() {
            self.remove_trial(number, &trial, at);
        }
        for club in self.clubs(number).iter().filter(|club| !club.removed) {
            self.remove_club(number, &club.id, at);
        }
    }
}
