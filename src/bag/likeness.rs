//! Which shots fly unlike their club and like another of the player's: the club was not changed in the
//! bay, most often. A screen and not a proof; it changes nothing that counts.
//!
//! A shot is held against the clouds of its own and of the other clubs in ball speed, launch and spin
//! together, from the same surface and ball: where one measure alone cannot tell a thin or fat shot
//! from a shorter club, all three mostly can, since a shorter club launches higher and spins more; where
//! the head speed was measured as well, the smash factor tells most of the rest.

use std::collections::VecDeque;

use hashbrown::HashMap;

use super::{
    club::NamedClub,
    filter::{Basis, Evidence},
    marks::{Build, Marks, Place, strike},
    measure::Tested,
    row::Row,
};
use crate::{
    shot::Measure,
    stats::{self, CLOUD_MEASURES, CLOUD_MIN_N, Cloud, Point, SpreadOf, UsualSpread},
};

/// A club's cloud is made of so many of its newest counted shots: four visits or so, so that one that
/// was hit with another club throughout is a minority.
const LATEST: usize = 192;
/// A cloud is made anew after so many further shots, the first ones sooner: some 2 µs a shot.
const STEP: usize = 32;
const FIRST_STEP: usize = 8;
/// Shots that are the first ones.
const FIRST: usize = 64;
/// A shot must lie nearer the other club than its own by this much, in squared scales: a likelihood
/// ratio of e⁶ where spreads are normal. Own simulation, held by `tests/trade`.
const MARGIN_LONGER: f64 = 12.0;
/// The same for a shorter club, which mishits come near to, where the smash factor tells most of them.
/// Own simulation.
const MARGIN_SHORTER: f64 = 14.0;
/// The same where no smash factor was measured. Own simulation.
const MARGIN_UNSCREENED: f64 = 20.0;
/// A smash factor so many scales below that of the other club is no good strike of that one either. Own
/// simulation: it clears half of the mishits and loses one wrong club in fifty.
const WEAK_STRIKE: f64 = -2.5;

/// Launch and spin of the clubs of one player. Common figures of amateurs, no source; what a player
/// shows soon outweighs them.
const LAUNCH: UsualSpread = UsualSpread { usual: 1.3, least: 0.5, of: SpreadOf::Unit };
const SPIN: UsualSpread = UsualSpread { usual: 0.08, least: 0.03, of: SpreadOf::Middle };
/// Smash factor, which is not compared: it tells a weak strike.
const SMASH: UsualSpread = UsualSpread { usual: 0.02, least: 0.01, of: SpreadOf::Unit };
/// The measures that are compared come first in a point; smash factor is the last.
const COMPARED: usize = 3;
/// Ball speed, and carry in its place, which wind and ground spread further.
const BALL_SPEED: UsualSpread = UsualSpread { usual: 0.025, least: 0.008, of: SpreadOf::Middle };
const CARRY: UsualSpread = UsualSpread { usual: 0.045, least: 0.015, of: SpreadOf::Middle };

/// What tells how long a shot was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Length {
    BallSpeed,
    Carry,
}

impl Length {
    fn spreads(self) -> [UsualSpread; CLOUD_MEASURES] {
        match self {
            Self::BallSpeed => [BALL_SPEED, LAUNCH, SPIN, SMASH],
            Self::Carry => [CARRY, LAUNCH, SPIN, SMASH],
        }
    }
}

/// Shots that can be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Kind {
    build: Build,
    basis: Basis,
    length: Length,
}

/// The shots of one kind and the cloud that was made of them.
#[derive(Debug, Default)]
struct Series {
    shots: usize,
    /// Places of the newest of them, as many as the next cloud may need.
    newest: VecDeque<usize>,
    /// How many there were when the cloud was made.
    made_at: usize,
    cloud: Option<Cloud>,
}

/// The clouds of all clubs of a player.
///
/// They follow from the rows alone: a cloud rests on the first 12, 16, 24 ... 64, 96 ... shots of its
/// kind, whenever that is asked.
#[derive(Debug, Default)]
pub struct Likeness {
    places_read: usize,
    series: HashMap<Kind, Series>,
}

impl Likeness {
    /// Reads the shots that have been marked since the last call.
    pub fn extend(&mut self, rows: &[Row], marks: &Marks) {
        let mut due = Vec::new();
        let known = marks.places().len();
        for at in self.places_read..known {
            let place = &marks.places()[at];
            let row = &rows[place.row as usize];
            let Some((kind, _)) = comparable(row, place) else { continue };
            let series = self.series.entry(kind).or_default();
            let was_due = series.is_due();
            series.push(at);
            if series.is_due() && !was_due {
                due.push(kind);
            }
        }
        self.places_read = known;
        for kind in due {
            if let Some(series) = self.series.get_mut(&kind) {
                series.make(kind.length, rows, marks);
            }
        }
    }

    /// The club that the shot of the row at `index` flies like, if that is another than its own.
    #[must_use]
    pub fn flies_like(
        &self,
        index: usize,
        (rows, marks): (&[Row], &Marks),
        clubs: &[NamedClub],
    ) -> Option<u32> {
        let (row, place) = (&rows[index], marks.of_row(index)?);
        let (kind, point) = comparable(row, place)?;
        let own = self.cloud(kind)?;
        if own.distance(&flight(&point), own)?.is_inside() {
            return None;
        }
        let others = (0_u32..).zip(clubs).filter(|(club, named)| {
            *club != kind.build.club && !named.removed && !named.is_putter()
        });
        others
            .filter_map(|(club, named)| {
                let build = Build { club, build: named.build_on(row.date) };
                let other = self.cloud(Kind { build, ..kind })?;
                Some((likeness(&point, own, other)?, club))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, club)| club)
    }

    fn cloud(&self, kind: Kind) -> Option<&Cloud> {
        self.series.get(&kind)?.cloud.as_ref()
    }
}

/// How far a shot lies from another club's middle, where it flies like that one and not like its own.
fn likeness(point: &Point, own: &Cloud, other: &Cloud) -> Option<f64> {
    let compared = &flight(point);
    let (from_own, from_other) = (own.distance(compared, other)?, other.distance(compared, own)?);
    let strike = point[COMPARED].and_then(|smash| other.deviation(COMPARED, smash));
    // Nobody mishits a ball longer. Shorter, only all measures together tell a mishit.
    let longer = other.middle(0)? > own.middle(0)?;
    let margin = match strike {
        _ if longer => MARGIN_LONGER,
        Some(_) => MARGIN_SHORTER,
        None => MARGIN_UNSCREENED,
    };
    let may_be_mishit = !longer
        && (from_other.measures < COMPARED || strike.is_some_and(|scales| scales < WEAK_STRIKE));
    let like = !from_own.is_inside()
        && from_other.is_inside()
        && from_own.squared - from_other.squared > margin
        && !may_be_mishit;
    like.then_some(from_other.squared)
}

/// What is compared of a point.
fn flight(point: &Point) -> Point {
    let mut flight = *point;
    flight[COMPARED] = None;
    flight
}

/// What a shot is compared by; `None` for one that is no stock shot or says nothing of its length.
fn comparable(row: &Row, place: &Place) -> Option<(Kind, Point)> {
    if !Evidence::default().admits(row) {
        return None;
    }
    let value = |measure| row.measures.get(measure);
    let (length, long) = match value(Measure::BallSpeed) {
        Some(speed) => (Length::BallSpeed, speed),
        None => (Length::Carry, value(Measure::Carry)?),
    };
    let smash = strike(row).filter(|(kind, _)| *kind == stats::Series::SmashFactor);
    let point = [
        Some(long),
        value(Measure::LaunchAngle),
        Tested::Spin.evidence(row),
        smash.map(|(_, smash)| smash),
    ];
    Some((Kind { build: place.build, basis: Basis::of(row), length }, point))
}

impl Series {
    fn push(&mut self, place: usize) {
        self.shots += 1;
        self.newest.push_back(place);
        if self.newest.len() > LATEST + STEP {
            self.newest.pop_front();
        }
    }

    /// How many of its shots a cloud rests on by now.
    fn basis(&self) -> usize {
        match self.shots {
            shots if shots < CLOUD_MIN_N => 0,
            shots if shots < CLOUD_MIN_N.next_multiple_of(FIRST_STEP) => CLOUD_MIN_N,
            shots if shots < FIRST => shots - shots % FIRST_STEP,
            shots => shots - shots % STEP,
        }
    }

    fn is_due(&self) -> bool {
        self.made_at != self.basis()
    }

    /// Makes the cloud, of the shots that were no mishits when the last of them had come.
    fn make(&mut self, length: Length, rows: &[Row], marks: &Marks) {
        let upto = self.newest.len() - (self.shots - self.basis());
        let from = upto.saturating_sub(LATEST);
        let places = self.newest.range(from..upto).copied();
        let arrived = places.clone().next_back().map_or(0, |last| last + 1);
        let points: Vec<Point> = places
            .map(|at| &marks.places()[at])
            .filter(|place| !place.is_mishit(arrived))
            .filter_map(|place| Some(comparable(&rows[place.row as usize], place)?.1))
            .collect();
        self.cloud = Some(Cloud::of(&points, &length.spreads()));
        self.made_at = self.basis();
    }
}
