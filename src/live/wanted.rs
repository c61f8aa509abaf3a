//! What is asked of a player's clubs, by name.

use crate::{
    bag::{Brief, CarryAir, Filter, Mix},
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
    /// The bag whose other clubs may cover what is lost; all that are owned unless given.
    pub bag: Option<BagId>,
    /// A mix of lies to reckon with.
    pub mix: Option<Mix>,
    /// The air that carries are to be in. Unless given: as hit, but for a brief with a slot where the air of
    /// the shots differs and all carries can be taken to reference air.
    pub air: Option<CarryAir>,
    /// The units of its sentences.
    pub units: Units,
}

impl PlaceWanted {
    /// Who of all neighbours can take a club's place under the usual brief.
    #[must_use]
    pub fn of(incumbent: ClubId) -> Self {
        Self {
            incumbent,
            candidates: Vec::new(),
            brief: Brief::default(),
            bag: None,
            mix: None,
            air: None,
            units: Units::default(),
        }
    }
}

/// What is asked of a ladder, by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LadderWanted {
    /// The bag; without it every club that is owned.
    pub bag: Option<BagId>,
    /// What counts.
    pub filter: Filter,
    /// The units of its sentences.
    pub units: Units,
    /// The air that carries are to be in.
    pub air: CarryAir,
}

/// What is asked about drift, by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DriftsWanted {
    /// One club; without it all.
    pub club: Option<ClubId>,
    /// The units of its sentences.
    pub units: Units,
}
