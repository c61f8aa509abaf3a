//! Which frame touched what last: told where that frame says nothing any more.

use super::{BALL, Catalogue, PLAYER, SOURCE};
use crate::{
    live::ledger::Owner,
    shot::{PlayerId, Sequence, Touched},
};

impl Catalogue {
    /// Notes that a frame was the last to touch something, and makes it where it is not there.
    pub(in crate::live) fn touch(&mut self, thing: &Touched, at: Sequence) {
        match thing {
            Touched::Source(id) => {
                let number = self.ensure_source(id, at);
                self.sources.entries[number as usize].as_of = at;
                self.change(SOURCE, number);
            }
            Touched::Context(id) => {
                let number = self.ensure_source(id, at);
                self.edit_source(number, |state| state.context_as_of = at);
            }
            Touched::Player(id) => {
                let number = self.ensure_player(id, at);
                self.players.entries[number as usize].as_of = at;
                self.change(PLAYER, number);
            }
            Touched::Club(player, id) => {
                let player = self.ensure_player(player, at);
                let club = self.ensure_club(player, id, at);
                self.edit_club(player, club, at, |_| {});
            }
            Touched::Ball(id) => {
                let number = self.ensure_ball(id, at);
                self.balls.entries[number as usize].as_of = at;
                self.change(BALL, number);
                self.balls_as_of = self.balls_as_of.max(at);
            }
            // Rolls are not the catalogue's.
            Touched::Shots(_) | Touched::List(_) => {}
        }
    }

    /// Everything that stands, with the frame that touched it last: all of it, or what concerns one
    /// player.
    pub(in crate::live) fn touches(&self, of: Option<u32>) -> Vec<(Sequence, Touched)> {
        let mut touches = Vec::new();
        for (number, source) in (0_u32..).zip(&self.sources.entries) {
            if source.removed || !of.is_none_or(|player| self.is_customer(player, number)) {
                continue;
            }
            touches.push((source.as_of, Touched::Source(source.id.clone())));
            touches.push((source.document.context_as_of, Touched::Context(source.id.clone())));
        }
        for (number, player) in self.players_with_numbers() {
            if of.is_some_and(|of| of != number) {
                continue;
            }
            let entry = &self.players.entries[number as usize];
            touches.push((entry.as_of, Touched::Player(player.clone())));
            let locker = &self.lockers[number as usize];
            let clubs = locker.clubs.iter().zip(&locker.club_as_of);
            for (club, as_of) in clubs.filter(|(club, _)| !club.removed) {
                touches.push((*as_of, Touched::Club(player.clone(), club.id.clone())));
            }
        }
        for ball in self.balls.entries.iter().filter(|ball| !ball.removed) {
            touches.push((ball.as_of, Touched::Ball(ball.id.clone())));
        }
        touches
    }

    /// All players with their numbers.
    pub(in crate::live) fn players_with_numbers(&self) -> impl Iterator<Item = (u32, &PlayerId)> {
        let numbered = (0_u32..).zip(&self.players.entries);
        numbered.filter(|(_, player)| !player.removed).map(|(number, player)| (number, &player.id))
    }

    /// Whether a player has, or had, shots of a source.
    pub(in crate::live) fn is_customer(&self, player: u32, source: u32) -> bool {
        let code = Owner::Player(player).code();
        self.customers.get(&source).is_some_and(|codes| codes.contains(&code))
    }
}
