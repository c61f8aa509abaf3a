//! What flights of a player's clubs are worked out from. It is gathered under a question and flown
//! after it: flying takes longer than any question may hold a player's rows.

use super::{Live, ReadError};
use crate::{
    bag::{self, ClubToFly, Filter},
    shot::{ClubId, PlayerId},
};

impl Live {
    /// What a club's flight is worked out from.
    ///
    /// # Errors
    /// An unknown name, or a state that cannot be read.
    pub fn club_to_fly(
        &self,
        player: &PlayerId,
        club: &ClubId,
        filter: &Filter,
    ) -> Result<ClubToFly, ReadError> {
        self.check_ball(filter)?;
        let unknown = || ReadError::UnknownClub(club.clone());
        self.ask(player, |player, _| {
            let number = player.club_number(club).ok_or_else(unknown)?;
            bag::club_to_fly(player, number, filter).ok_or_else(unknown)
        })
    }
}
