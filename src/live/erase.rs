//! Erasure: what is taken out of the fold, and what is told to the store.

use super::{Live, LiveError, Receipt, lock, overlay::Corrected, write};
use crate::{bag::Row, shot::Sequence};

impl Live {
    /// Takes a shot out, with all that was said of it: its player's conclusions start anew.
    pub(super) fn erase_shot(&self, shot: Sequence, at: Sequence) -> Result<Receipt, LiveError> {
        let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
        if let Some(owner) = owner {
            let taken = self.rolls.change(owner, |roll| {
                roll.touch(at);
                roll.erase(&[shot])
            })?;
            self.forget(taken)?;
        }
        Ok(Receipt::Done)
    }

    /// Strikes rows that were taken out from the ledger and the counts.
    fn forget(&self, taken: Vec<(Row, Option<Corrected>)>) -> Result<(), LiveError> {
        for (row, corrected) in taken {
            lock(&self.ledger).clear(row.sequence, self.chunks.as_ref())?;
            let mut catalogue = write(&self.catalogue);
            catalogue.edit_source(row.source, |state| {
                state.shots = state.shots.saturating_sub(1);
            });
            catalogue.discount_ball(row.ball);
            let base = corrected.and_then(|corrected| corrected.base.ball);
            let base = base.and_then(|ball| catalogue.ball_number(&ball));
            if let Some(base) = base.filter(|base| *base != row.ball) {
                catalogue.discount_ball(base);
            }
            lock(&self.gone).push(row.sequence);
        }
        Ok(())
    }
}
