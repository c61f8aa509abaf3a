//! The last sequence that touched what an answer is about, known without working the answer out.

use super::{
    Live, LiveError, ReadError, ShotQuestion, answers::known_player, ledger::Owner, lock, read,
};
use crate::shot::{PlayerId, Sequence};

impl Live {
    /// The last sequence of all.
    #[must_use]
    pub fn as_of(&self) -> Sequence {
        *lock(&self.last)
    }

    /// The last sequence that touched a player, or a ball, which all players share.
    ///
    /// # Errors
    /// An unknown player, or a state that cannot be read.
    pub fn player_as_of(&self, player: &PlayerId) -> Result<Sequence, ReadError> {
        let _acts = self.question()?;
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let balls = catalogue.balls_as_of();
        drop(catalogue);
        Ok(self.rolls.head(Owner::Player(number))?.as_of.max(balls))
    }

    /// The last sequence that touched what a list of shots is about: the player's where it is one
    /// player's, else that of all.
    ///
    /// # Errors
    /// A state that cannot be read.
    pub fn shots_as_of(&self, question: &ShotQuestion) -> Result<Sequence, LiveError> {
        let _acts = self.question()?;
        self.list_as_of(question)
    }

    /// The same for a question that is being answered.
    pub(super) fn list_as_of(&self, question: &ShotQuestion) -> Result<Sequence, LiveError> {
        let player = question.filter.player.as_ref();
        let number = player.and_then(|player| read(&self.catalogue).player_number(player));
        let last = match number {
            Some(number) => self.rolls.head(Owner::Player(number))?.listed(),
            None => *lock(&self.last),
        };
        Ok(last.min(question.upto))
    }
}
