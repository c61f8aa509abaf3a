//! Everything the bag reads of a player to answer a question.

use std::cmp::Reverse;

use super::{
    club::NamedClub,
    drift::Drift,
    filter::{Basis, Evidence, Filter},
    marks::{Build, Marks},
    reflown::InReferenceAir,
    row::{NONE, Row},
};
use crate::shot::{Ball, BallId, BallKind, ClubId, Hand, PlayerId, Sequence};

/// A ball of the catalogue under its id; its place in a slice is its number.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedBall {
    /// Its id, fixed for ever.
    pub id: BallId,
    /// What is known of it.
    pub document: Ball,
}

/// A player's shots with what follows from them, and the names behind their numbers.
#[derive(Debug, Clone, Copy)]
pub struct Player<'a> {
    /// Who.
    pub id: &'a PlayerId,
    /// The side the player plays from; `None` where nobody stated it.
    pub hand: Option<Hand>,
    /// The last sequence that touched anything of the player.
    pub as_of: Sequence,
    /// The player's clubs by number.
    pub clubs: &'a [NamedClub],
    /// All balls by number.
    pub balls: &'a [NamedBall],
    /// The names of the player's sessions by number.
    pub sessions: &'a [&'a str],
    /// All shots in sequence order.
    pub rows: &'a [Row],
    /// What follows from their order.
    pub marks: &'a Marks,
    /// Which clubs have moved.
    pub drift: &'a Drift,
    /// What took the carries of the rows to reference air; `None` where they are as hit.
    pub reference: Option<InReferenceAir<'a>>,
}

impl<'a> Player<'a> {
    /// A club's number.
    #[must_use]
    pub fn club_number(&self, id: &ClubId) -> Option<u32> {
        let number = self.clubs.iter().position(|club| club.id == *id && !club.removed)?;
        u32::try_from(number).ok()
    }

    /// What a club is called, as sentences say it; its id where there is no such club.
    #[must_use]
    pub fn called<'b>(&self, id: &'b ClubId) -> &'b str
    where
        'a: 'b,
    {
        let club = self.clubs.iter().find(|club| club.id == *id);
        club.map_or(id.as_str(), |club| club.document.name.as_str())
    }

    /// The build of a club that verdicts speak of: its newest.
    #[must_use]
    pub fn newest_build(&self, club: u32) -> Build {
        let build = self.clubs.get(club as usize).map_or(0, NamedClub::newest_build);
        Build { club, build }
    }

    /// The clubs of a bag that have a carry; all that are owned unless one is given.
    #[must_use]
    pub fn bag(&self, bag: Option<&[u32]>) -> Vec<u32> {
        let is_in = |number: u32, club: &NamedClub| {
            bag.map_or_else(|| club.is_owned(), |bag| bag.contains(&number))
        };
        (0_u32..)
            .zip(self.clubs)
            .filter(|(number, club)| is_in(*number, club) && !club.is_putter())
            .map(|(number, _)| number)
            .collect()
    }

    /// A ball's name; `None` where unstated.
    #[must_use]
    pub fn ball_id(&self, ball: u32) -> Option<&'a BallId> {
        self.balls.get(ball as usize).map(|ball| &ball.id)
    }

    /// The evidence that a filter asks for. A ball that no shot was hit with admits none.
    #[must_use]
    pub fn evidence(&self, filter: &Filter) -> Evidence {
        let ball = filter.ball.as_ref().map(|id| {
            let number = self.balls.iter().position(|ball| ball.id == *id);
            number.and_then(|number| u32::try_from(number).ok()).unwrap_or(NONE - 1)
        });
        Evidence {
            lie: filter.lie,
            ball,
            intent: filter.intent,
            from: filter.from,
            to: filter.to,
            stretches: None,
        }
    }

    /// What a club's own figures rest on: among what was asked for the surface and ball with most
    /// counted shots, the first seen of equals.
    #[must_use]
    pub fn basis(&self, build: Build, evidence: &Evidence) -> Option<Basis> {
        if evidence.is_tallied() {
            return self.marks.basis(build, |basis| evidence.may_rest_on(basis));
        }
        let mut tally: Vec<(Basis, u32)> = Vec::new();
        for (of, basis) in self.counted_bases(evidence) {
            if of == build {
                count(&mut tally, basis, 1);
            }
        }
        let most = tally.iter().map(|(_, shots)| *shots).max()?;
        tally.iter().find(|(_, shots)| *shots == most).map(|(basis, _)| *basis)
    }

    /// The same over all clubs' newest builds, limited-flight balls left out; of equals the surface
    /// and ball that come first, so that no map's order has a say.
    #[must_use]
    pub fn main_basis(&self, evidence: &Evidence) -> Option<Basis> {
        let mut tally: Vec<(Basis, u32)> = Vec::new();
        if evidence.is_tallied() {
            for (build, basis, shots) in self.marks.tallies() {
                if build == self.newest_build(build.club) {
                    count(&mut tally, basis, shots);
                }
            }
        } else {
            for (build, basis) in self.counted_bases(evidence) {
                if build == self.newest_build(build.club) {
                    count(&mut tally, basis, 1);
                }
            }
        }
        tally
            .into_iter()
            .filter(|(basis, shots)| {
                *shots > 0 && evidence.may_rest_on(basis) && !self.is_limited(basis.ball)
            })
            .max_by_key(|(basis, shots)| {
                (
                    *shots,
                    Reverse((
                        basis.surface,
                        self.ball_id(basis.ball).is_none(),
                        self.ball_id(basis.ball),
                    )),
                )
            })
            .map(|(basis, _)| basis)
    }

    /// The place among the present shots from which neither of two clubs has moved: evidence that nobody
    /// watches begins there.
    pub(super) fn unmoved_since(&self, builds: [Build; 2]) -> usize {
        let last = self.marks.places().len().saturating_sub(1);
        self.drift.last_alarm(builds, last).unwrap_or(0)
    }

    fn is_limited(&self, ball: u32) -> bool {
        let ball = self.balls.get(ball as usize);
        ball.is_some_and(|ball| ball.document.kind == Some(BallKind::LimitedFlight))
    }

    /// What every counted shot was hit from, in order.
    fn counted_bases(&self, evidence: &Evidence) -> impl Iterator<Item = (Build, Basis)> {
        let arrived = self.arrived(evidence);
        self.marks.places().iter().filter_map(move |place| {
            let row = &self.rows[place.row as usize];
            let counts = !place.is_mishit(arrived) && evidence.admits(row);
            counts.then(|| (place.build, Basis::of(row)))
        })
    }

    /// Counted rows of a club's build under a filter, newest first: what its summaries read.
    pub fn counted(
        &self,
        build: Build,
        evidence: &'a Evidence,
    ) -> impl Iterator<Item = &'a Row> + use<'a> {
        self.counted_since(0, build, evidence)
    }

    /// The same from a place among the present shots on.
    pub(super) fn counted_since(
        &self,
        since: usize,
        build: Build,
        evidence: &'a Evidence,
    ) -> impl Iterator<Item = &'a Row> + use<'a> {
        let (rows, marks) = (self.rows, self.marks);
        let arrived = self.arrived(evidence);
        let places = marks.of_club(build.club);
        let first = places.partition_point(|place| (*place as usize) < since);
        places[first..].iter().rev().filter_map(move |place| {
            let place = &marks.places()[*place as usize];
            let row = &rows[place.row as usize];
            let counts = place.build == build && !place.is_mishit(arrived) && evidence.admits(row);
            counts.then_some(row)
        })
    }
}

fn count(tally: &mut Vec<(Basis, u32)>, basis: Basis, shots: u32) {
    match tally.iter_mut().find(|(known, _)| *known == basis) {
        Some((_, sum)) => *sum += shots,
        None => tally.push((basis, shots)),
    }
}
