//! Erasure and retirement: what is taken out of the fold, and what is told to the store.

use super::{Live, LiveError, Receipt, ledger::Owner, lock, overlay::Corrected, read, write};
use crate::{
    bag::Row,
    shot::{Keyed, Sequence},
};

/// How a shot of the fold stands.
#[derive(PartialEq, Eq)]
enum Stands {
    /// With its content.
    Whole,
    /// Only its row is left.
    Retired,
}

impl Live {
    /// Takes a shot out, with all that was said of it: its player's conclusions start anew.
    pub(super) fn erase_shot(&self, shot: Sequence, at: Sequence) -> Result<Receipt, LiveError> {
        let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
        if let Some(owner) = owner {
            let taken = self.rolls.change(owner, |roll| {
                roll.touch(at);
                roll.erase(&[shot])
            })?;
            self.forget(taken, at)?;
        }
        Ok(Receipt::Done)
    }

    /// Takes a player out, with all shots and all that the catalogue says, and those that wait under the
    /// player's name. A shot that was sent under it and is another's now stays with the other, its
    /// content gone.
    pub(super) fn erase_player(&self, player: Keyed, at: Sequence) -> Result<Receipt, LiveError> {
        self.note_gone(at);
        let number = read(&self.catalogue).player_of_hash(player);
        if let Some(number) = number {
            let owner = Owner::Player(number);
            self.let_go_of_sent_as(number, at)?;
            let taken = self.rolls.change(owner, |roll| {
                roll.touch(at);
                roll.clear()
            })?;
            self.forget(taken, at)?;
        }
        write(&self.catalogue).erase_player(number, player, at);
        Ok(Receipt::Done)
    }

    /// Lets go of shots that were sent under a player's name and are not the player's: the content of
    /// those that are others' now, and all of those that wait.
    fn let_go_of_sent_as(&self, player: u32, at: Sequence) -> Result<(), LiveError> {
        let catalogue = read(&self.catalogue);
        let others = catalogue.who_may_hold_shots_of(Owner::Player(player));
        let Some(id) = catalogue.player_id(player).cloned() else { return Ok(()) };
        drop(catalogue);
        for owner in others {
            let shots = read(&self.rolls.get(owner)?.roll).sent_as(&id);
            if shots.is_empty() {
                continue;
            }
            match owner {
                Owner::Player(_) => {
                    self.retire(shots, at)?;
                }
                Owner::Source(_) => {
                    let taken = self.rolls.change(owner, |roll| {
                        roll.touch(at);
                        roll.erase(&shots)
                    })?;
                    self.forget(taken, at)?;
                }
            }
        }
        Ok(())
    }

    /// Lets the content of shots go, ascending; their rows stay, and so does every answer that rests
    /// on them.
    pub(super) fn retire(
        &self,
        shots: impl IntoIterator<Item = Sequence>,
        at: Sequence,
    ) -> Result<Receipt, LiveError> {
        let (mut matched, mut changed) = (0, 0);
        self.note_gone(at);
        for shot in shots {
            matched += 1;
            let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
            let Some(owner) = owner else { continue };
            let retired = self.rolls.change(owner, |roll| {
                let row = &roll.rows()[roll.index_of(shot)?];
                let ball = (!row.retired).then_some(row.ball)?;
                Some((ball, roll.retire(shot, at)))
            })?;
            let Some((ball, corrected)) = retired else { continue };
            self.discount_base(ball, corrected.as_ref());
            lock(&self.gone).push(shot);
            changed += 1;
        }
        Ok(Receipt::Amended { matched, changed })
    }

    /// Whether only its row is left of a shot.
    ///
    /// # Errors
    /// A table that cannot be read.
    pub fn is_retired(&self, shot: Sequence) -> Result<bool, LiveError> {
        Ok(self.stands(shot)? == Some(Stands::Retired))
    }

    /// Whether a shot's content may be shown: it was neither erased nor retired. The journal may have
    /// the text for longer, and must not be asked instead.
    ///
    /// # Errors
    /// A table that cannot be read.
    pub fn is_shown(&self, shot: Sequence) -> Result<bool, LiveError> {
        Ok(self.stands(shot)? == Some(Stands::Whole))
    }

    fn stands(&self, shot: Sequence) -> Result<Option<Stands>, LiveError> {
        let _acts = self.question()?;
        let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
        let Some(owner) = owner else { return Ok(None) };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let row = roll.index_of(shot).map(|index| &roll.rows()[index]);
        Ok(row.map(|row| if row.retired { Stands::Retired } else { Stands::Whole }))
    }

    /// A ball that a shot was sent or inherited with, and that it has no longer, counts it no longer.
    fn discount_base(&self, ball: u32, corrected: Option<&Corrected>) {
        let mut catalogue = write(&self.catalogue);
        let base = corrected.and_then(|corrected| corrected.base.ball.as_ref());
        let base = base.and_then(|base| catalogue.ball_number(base));
        if let Some(base) = base.filter(|base| *base != ball) {
            catalogue.discount_ball(base);
        }
    }

    /// Strikes rows that were taken out from the ledger and the counts.
    fn forget(&self, taken: Vec<(Row, Option<Corrected>)>, at: Sequence) -> Result<(), LiveError> {
        self.note_gone(at);
        for (row, corrected) in taken {
            lock(&self.ledger).clear(row.sequence, self.chunks.as_ref())?;
            let mut catalogue = write(&self.catalogue);
            catalogue.edit_source(row.source, |state| {
                state.shots = state.shots.saturating_sub(1);
            });
            catalogue.discount_ball(row.ball);
            drop(catalogue);
            self.discount_base(row.ball, corrected.as_ref());
            lock(&self.gone).push(row.sequence);
        }
        Ok(())
    }
}
