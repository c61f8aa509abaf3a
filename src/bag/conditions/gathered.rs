//! What two clubs are flown from, gathered under a question.

use hashbrown::HashSet;

use crate::{
    bag::{
        comparison::ComparisonQuestion,
        flown::{ClubFlown, Flown, club_flown},
        like_for_like::{LikeForLike, PairOfBuilds},
        marks::Build,
        player::Player,
        row::{Row, Stratum},
    },
    shot::{ClubId, Sequence, Units},
};

/// The newest like-for-like strikes of each club that are flown, mishits among them.
const STRIKES: usize = 500;

/// Two clubs' like-for-like strikes: all that [`super::ConditionsOfPair`] is worked out from.
#[derive(Debug, Clone, PartialEq)]
pub struct PairToFly {
    /// The last sequence that touched the player.
    pub(super) as_of: Sequence,
    /// The club that is tried, and the club whose place is wanted.
    pub(super) clubs: [ClubOfPair; 2],
    /// The units of sentences.
    pub(super) units: Units,
}

/// One of them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ClubOfPair {
    pub(super) id: ClubId,
    pub(super) name: String,
    pub(super) struck: Struck,
    /// The club's counted shots, with other partners too: what its model is fitted to.
    pub(super) whole: ClubFlown,
}

impl PairToFly {
    /// The last sequence that touched the player.
    #[must_use]
    pub const fn as_of(&self) -> Sequence {
        self.as_of
    }
}

/// A club's newest strikes of a pair: those that count like for like, and the mishits of the same visits
/// from the same places.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::bag) struct Struck {
    /// The strikes, newest first.
    pub(in crate::bag) strikes: ClubFlown,
    /// Those that count, in order.
    counted: Vec<Sequence>,
}

impl Struck {
    /// Whether a strike counts, being no mishit.
    pub(in crate::bag) fn counts(&self, shot: Sequence) -> bool {
        self.counted.binary_search(&shot).is_ok()
    }

    /// How many count.
    pub(in crate::bag) fn counted(&self) -> usize {
        self.counted.len()
    }
}

/// The newest strikes of one build of a pair, at most so many.
pub(in crate::bag) fn struck(
    player: Player<'_>,
    (pair, gathered): (&PairOfBuilds, &LikeForLike),
    (build, most): (Build, usize),
) -> Struck {
    let where_of = |row: &Row| (row.session, row.stratum());
    let met: HashSet<(u32, Stratum)> =
        gathered.meetings().map(|row| where_of(&player.rows[row as usize])).collect();
    let arrived = player.arrived(&pair.evidence);
    let of_club = player.marks.of_club(build.club).iter().rev().map(|place| *place as usize);
    let places = of_club.take_while(|place| *place >= gathered.from);
    let of_build =
        places.map(|place| &player.marks.places()[place]).filter(|place| place.build == build);
    let rows = of_build.map(|place| (&player.rows[place.row as usize], place.is_mishit(arrived)));
    let met = rows.filter(|(row, _)| pair.evidence.admits(row) && met.contains(&where_of(row)));
    let mut struck = Struck::default();
    for (row, mishit) in met.take(most) {
        struck.strikes.counted += 1;
        struck.strikes.shots.extend(Flown::of(row));
        struck.counted.extend((!mishit).then_some(row.sequence));
    }
    struck.counted.sort_unstable();
    struck
}

/// Gathers what two clubs, candidate and incumbent by number, are flown from.
#[must_use]
pub fn pair_to_fly(
    player: Player<'_>,
    [candidate, incumbent]: [u32; 2],
    question: &ComparisonQuestion,
) -> Option<PairToFly> {
    let player = player.as_hit();
    let pair = PairOfBuilds {
        candidate: player.newest_build(candidate),
        incumbent: player.newest_build(incumbent),
        evidence: player.evidence(&question.filter),
    };
    let gathered = LikeForLike::of(player, &pair, &[]);
    let club = |build: Build| {
        let of = player.clubs.get(build.club as usize)?;
        Some(ClubOfPair {
            id: of.id.clone(),
            name: of.document.name.clone(),
            struck: struck(player, (&pair, &gathered), (build, STRIKES)),
            whole: club_flown(player, build, &question.filter),
        })
    };
    Some(PairToFly {
        as_of: player.as_of,
        clubs: [club(pair.candidate)?, club(pair.incumbent)?],
        units: question.units,
    })
}
