//! What is asked of a player's clubs, by name.

use crate::{
    bag::{Brief, Filter},
    shot::{BagId, ClubId, Units},
};

/// What is asked of a club's place, by name.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceWanted {
    /// The club whose place is wanted.
    pub incumbent: ClubId,
    /// The clubs that are tried; of none, all neighbours.
    pub candidates: Vec<ClubId>,
    /// What they must do.
    pub brief: Brief,
}

/// What is asked of a ladder, by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LadderWanted {
    /// The bag; without it every club that is owned.
    pub bag: Option<BagId>,
    /// What counts.
    pub filter: Filter,
}

/// What is asked about drift, by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DriftsWanted {
    /// One club; without it all.
    pub club: Option<ClubId>,
    /// The units of its sentences.
    pub units: Units,
}
