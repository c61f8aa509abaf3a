//! The last sequence that touched what an answer is about, known without working the answer out.

use super::{Live, LiveError, ReadError, ShotQuestion, ledger::Owner, lock, read};
use crate::shot::{PlayerId, Sequence};

impl Live {
    /// The last sequence that touched a player, or a ball, which all players share.
    ///
    /// # Errors
    /// An unknown player, or a state that cannot be read.
    pub fn player_as_of(&self, player: &PlayerId) -> Result<Sequence, ReadError> {
        let _acts = self.question()?;
        let catalogue = read(&self.catalogue);
        let number = catalogue.player_number(player);
        let balls = catalogue.balls_as_of();
        drop(catalogue);
        let number = number.ok_or_else(|| ReadError::UnknownPlayer(player.clone()))?;
        Ok(self.rolls.as_of(Owner::Player(number))?.max(balls))
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
            Some(number) => self.rolls.as_of(Owner::Player(number))?,
            None => *lock(&self.last),
        };
        Ok(last.min(question.upto))
    }
}
