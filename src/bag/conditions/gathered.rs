//! What two clubs are flown from, gathered under a question.

use hashbrown::HashSet;

use crate::{
    bag::{
        comparison::ComparisonQuestion,
        flown::{ClubFlown, Flown, club_flown},
        like_for_like::{LikeForLike, PairOfBuilds},
        marks::Build,
        player::Player,
        row::Stratum,
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
    /// The strikes, newest first, mishits among them.
    pub(super) strikes: ClubFlown,
    /// Those that count, in order.
    counted: Vec<Sequence>,
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

impl ClubOfPair {
    /// Whether a strike counts, being no mishit.
    pub(super) fn counts(&self, shot: Sequence) -> bool {
        self.counted.binary_search(&shot).is_ok()
    }

    /// How many count.
    pub(super) fn counted(&self) -> usize {
        self.counted.len()
    }
}

/// Gathers two clubs' strikes, candidate and incumbent by number: those that count like for like, and the
/// mishits of the same visits from the same places.
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
    let met: HashSet<(u32, Stratum)> = (0..2)
        .flat_map(|side| gathered.rows(side))
        .map(|row| &player.rows[row as usize])
        .map(|row| (row.session, row.stratum()))
        .collect();
    let club = |side: usize, build: Build| {
        let of = player.clubs.get(build.club as usize)?;
        let counts: HashSet<u32> = gathered.rows(side).collect();
        let arrived = player.arrived(&pair.evidence);
        let mut counted = Vec::new();
        let mut strikes = ClubFlown::default();
        let struck = player.marks.places().iter().rev().filter_map(|place| {
            let row = &player.rows[place.row as usize];
            let counts = counts.contains(&place.row);
            let mishit = || {
                place.build == build
                    && place.is_mishit(arrived)
                    && pair.evidence.admits(row)
                    && met.contains(&(row.session, row.stratum()))
            };
            (counts || mishit()).then_some((row, counts))
        });
        for (row, counts) in struck.take(STRIKES) {
            strikes.counted += 1;
            strikes.shots.extend(Flown::of(row));
            if counts {
                counted.push(row.sequence);
            }
        }
        counted.sort_unstable();
        Some(ClubOfPair {
            id: of.id.clone(),
            name: of.document.name.clone(),
            strikes,
            counted,
            whole: club_flown(player, build, &question.filter),
        })
    };
    Some(PairToFly {
        as_of: player.as_of,
        clubs: [club(0, pair.candidate)?, club(1, pair.incumbent)?],
        units: question.units,
    })
}
