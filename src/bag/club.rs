//! What the bag needs to know of a club besides its shots.

use jiff::civil::Date;

use crate::shot::{Club, ClubId, ClubKind};

/// A club of the catalogue under its id; its place in a slice is its number within the player.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedClub {
    /// Its id, fixed for ever.
    pub id: ClubId,
    /// What the player says of it.
    pub document: Club,
    /// Whether it was taken out of the catalogue. It has no shots, and its number stays its own.
    pub removed: bool,
}

impl NamedClub {
    /// How many of the club's dated builds had been made by a day; 0 before the first.
    #[must_use]
    pub fn build_on(&self, day: Date) -> u32 {
        let made = self.document.builds.iter().filter(|build| build.from <= day).count();
        u32::try_from(made).unwrap_or(u32::MAX)
    }

    /// The newest build: the one that verdicts speak of.
    #[must_use]
    pub fn newest_build(&self) -> u32 {
        u32::try_from(self.document.builds.len()).unwrap_or(u32::MAX)
    }

    /// The loft that tells most: measured, else stamped.
    #[must_use]
    pub fn loft_deg(&self) -> Option<f64> {
        self.document.measured_loft_deg.or(self.document.loft_deg)
    }

    /// Whether it has a place of its own in the player's bag: kept, and not there to be tried only.
    #[must_use]
    pub fn is_owned(&self) -> bool {
        !self.removed && !self.document.demo
    }

    /// A putter counts towards a bag's limit and has neither carry nor verdict.
    #[must_use]
    pub fn is_putter(&self) -> bool {
        self.document.kind == Some(ClubKind::Putter)
    }
}
