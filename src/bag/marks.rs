//! What a player's series says of each shot: which ones are mishits and since when that is known,
//! where sessions start, and what each club was mostly hit from.

use hashbrown::HashMap;

use super::{
    club::NamedClub,
    filter::{Basis, Evidence},
    row::Row,
};
use crate::{
    shot::{Height, Measure, SpeedOrigin, Swing},
    stats::{Judged, LOOKS_BACK_AFTER, Screen, Series},
};

/// "Never" among counts of shots.
const NEVER: u32 = u32::MAX;

/// A club as evidence sees it: a new build of a club is a new club.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Build {
    /// The club's number within the player.
    pub club: u32,
    /// How many of its dated builds had been made by the day of the shot.
    pub build: u32,
}

/// One present shot: its place in the list is its order.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Index of its row.
    pub row: u32,
    /// The club in the build it had that day.
    pub build: Build,
    /// Whether a screen could judge it (a strike was measured, or it is none of the screen's).
    pub screened: bool,
    /// Whether it is the first of its session.
    pub begins_session: bool,
    /// What it made known of earlier shots of its series.
    pub of_earlier: OfEarlier,
    /// How many present shots must have arrived for it to be a mishit; [`NEVER`] if it is none.
    mishit_from: u32,
    /// Likewise for it to be doubtful.
    doubtful_from: u32,
}

/// What a shot makes known of earlier ones of its series, when it is the last that the screen waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfEarlier {
    /// Nothing new.
    Nothing,
    /// That some are mishits.
    Mishits,
    /// That some are doubtful.
    Doubts,
}

impl Place {
    /// Whether it counted as a mishit when `arrived` present shots had arrived.
    #[must_use]
    pub fn is_mishit(&self, arrived: usize) -> bool {
        self.mishit_from != NEVER && self.mishit_from as usize <= arrived
    }

    /// Whether the screen, looking back when `arrived` present shots had arrived, would not have let it
    /// pass: no mishit, since the screen judges once, but no proof may rest on it alone.
    #[must_use]
    pub fn is_doubtful(&self, arrived: usize) -> bool {
        self.doubtful_from != NEVER && self.doubtful_from as usize <= arrived
    }
}

/// One mishit series: a club's build and a kind of measure.
#[derive(Debug)]
struct Screened {
    screen: Screen,
    /// Places that wait for the first judgement.
    waiting: Vec<u32>,
    /// The first strikes with their places, until the screen looks back at them.
    first: Vec<(u32, f64)>,
}

impl Screened {
    fn new(series: Series) -> Self {
        Self { screen: Screen::new(series), waiting: Vec::new(), first: Vec::new() }
    }

    /// Keeps a strike that was taken; at the last of the first ones, those that would not pass now.
    fn look_back(&mut self, place: u32, value: f64) -> Vec<u32> {
        if self.screen.n() > LOOKS_BACK_AFTER {
            return Vec::new();
        }
        self.first.push((place, value));
        if self.screen.n() < LOOKS_BACK_AFTER {
            return Vec::new();
        }
        let cutoff = self.screen.doubt().unwrap_or(f64::NEG_INFINITY);
        let first = std::mem::take(&mut self.first);
        first.into_iter().filter(|(_, value)| *value < cutoff).map(|(place, _)| place).collect()
    }
}

/// The present shots of a player with all that follows from their order alone.
///
/// Rows are read in sequence order and only ever appended; whoever changes a row starts anew.
#[derive(Debug, Default)]
pub struct Marks {
    rows_read: usize,
    places: Vec<Place>,
    /// The places of each club's shots, by the club's number: questions are about few clubs of many.
    of_club: Vec<Vec<u32>>,
    /// Rows that are set aside or were hit to warm up.
    absent: Vec<u32>,
    starts: Vec<(u32, u32)>,
    start_of: HashMap<u32, u32>,
    series: HashMap<(Build, Series), Screened>,
    tallies: HashMap<Build, Vec<(Basis, u32)>>,
}

impl Marks {
    /// Reads the rows that have come since the last call.
    pub fn extend(&mut self, rows: &[Row], clubs: &[NamedClub]) {
        for (index, row) in rows.iter().enumerate().skip(self.rows_read) {
            if row.is_present() {
                self.read(index, row, rows, clubs);
            } else {
                self.absent.push(number(index));
            }
        }
        self.rows_read = rows.len();
    }

    /// The present shots in order.
    #[must_use]
    pub fn places(&self) -> &[Place] {
        &self.places
    }

    /// The places of a club's shots, in order.
    #[must_use]
    pub fn of_club(&self, club: u32) -> &[u32] {
        self.of_club.get(club as usize).map_or(&[], Vec::as_slice)
    }

    /// The places of two clubs' shots, in order.
    pub fn of_clubs(&self, clubs: [u32; 2]) -> impl Iterator<Item = usize> {
        let is_one = clubs[0] == clubs[1];
        let [mut one, mut other] = clubs.map(|club| self.of_club(club).iter().peekable());
        if is_one {
            other = [].iter().peekable();
        }
        std::iter::from_fn(move || {
            let earlier = match (one.peek(), other.peek()) {
                (Some(a), Some(b)) => a < b,
                (Some(_), None) => true,
                (None, _) => false,
            };
            let next = if earlier { one.next() } else { other.next() };
            next.map(|place| *place as usize)
        })
    }

    /// The rows that are no present shots, by index.
    #[must_use]
    pub fn absent(&self) -> &[u32] {
        &self.absent
    }

    /// Sessions in order of their first shot: (session, place of that shot).
    #[must_use]
    pub fn starts(&self) -> &[(u32, u32)] {
        &self.starts
    }

    /// Place of a session's first shot.
    #[must_use]
    pub fn start_of(&self, session: u32) -> Option<usize> {
        self.start_of.get(&session).map(|place| *place as usize)
    }

    /// The mark of the row at `index`, if it is present and has been read.
    #[must_use]
    pub fn of_row(&self, index: usize) -> Option<&Place> {
        let last = self.places.last().filter(|place| place.row as usize == index);
        last.or_else(|| {
            let place =
                self.places.binary_search_by_key(&index, |place| place.row as usize).ok()?;
            self.places.get(place)
        })
    }

    /// What a club's build was mostly hit from, among what `fits`: the surface and ball with most
    /// counted shots, the first seen of equals.
    #[must_use]
    pub fn basis(&self, build: Build, fits: impl Fn(&Basis) -> bool) -> Option<Basis> {
        let fitting = || self.tallies.get(&build).into_iter().flatten().filter(|(b, _)| fits(b));
        let most = fitting().map(|(_, shots)| *shots).max()?;
        fitting().find(|(_, shots)| *shots == most).map(|(basis, _)| *basis)
    }

    /// Counted shots of every build by what they were hit from.
    pub fn tallies(&self) -> impl Iterator<Item = (Build, Basis, u32)> + '_ {
        self.tallies.iter().flat_map(|(build, tally)| {
            tally.iter().map(move |(basis, shots)| (*build, *basis, *shots))
        })
    }

    fn read(&mut self, index: usize, row: &Row, rows: &[Row], clubs: &[NamedClub]) {
        let place = number(self.places.len());
        let build = build_of(row, clubs);
        let strike = judged_strike(row);
        let judged = !belongs_to_series(row) || strike.is_some();
        let begins_session = *self.start_of.entry(row.session).or_insert(place) == place;
        if begins_session {
            self.starts.push((row.session, place));
        }
        self.places.push(Place {
            row: number(index),
            build,
            screened: judged,
            begins_session,
            of_earlier: OfEarlier::Nothing,
            mishit_from: NEVER,
            doubtful_from: NEVER,
        });
        let club = build.club as usize;
        if club >= self.of_club.len() {
            self.of_club.resize_with(club + 1, Vec::new);
        }
        self.of_club[club].push(place);
        self.tally(place, rows, 1);
        if let Some((kind, value)) = strike {
            self.screen(place, (build, kind), value, rows);
        }
    }

    /// Passes a strike to its screen and books what became known by it.
    fn screen(&mut self, place: u32, key: (Build, Series), value: f64, rows: &[Row]) {
        let series = self.series.entry(key).or_insert_with(|| Screened::new(key.1));
        // Speeds are finite and above 0 by the schema's bounds, and so is their ratio.
        let Ok(judged) = series.screen.push(value) else { return };
        let would_not_pass = series.look_back(place, value);
        match judged {
            Judged::Nothing => series.waiting.push(place),
            Judged::First(flags) => {
                let mut places = std::mem::take(&mut series.waiting);
                places.push(place);
                for (judged, _) in places.into_iter().zip(flags).filter(|(_, mishit)| *mishit) {
                    self.mark_mishit(judged, place, rows);
                }
            }
            Judged::This(true) => self.mark_mishit(place, place, rows),
            Judged::This(false) => {}
        }
        for passed in would_not_pass {
            self.mark_doubtful(passed, place);
        }
    }

    fn mark_doubtful(&mut self, place: u32, at: u32) {
        if self.places[place as usize].mishit_from == NEVER {
            self.places[place as usize].doubtful_from = at + 1;
            self.places[at as usize].of_earlier = OfEarlier::Doubts;
        }
    }

    fn mark_mishit(&mut self, place: u32, at: u32, rows: &[Row]) {
        self.tally(place, rows, -1);
        self.places[place as usize].mishit_from = at + 1;
        if place != at {
            self.places[at as usize].of_earlier = OfEarlier::Mishits;
        }
    }

    fn tally(&mut self, place: u32, rows: &[Row], change: i32) {
        let place = self.places[place as usize];
        let row = &rows[place.row as usize];
        if !Evidence::default().admits(row) {
            return;
        }
        let tally = self.tallies.entry(place.build).or_default();
        let basis = Basis::of(row);
        match tally.iter_mut().find(|(known, _)| *known == basis) {
            Some((_, shots)) => *shots = shots.saturating_add_signed(change),
            None => tally.push((basis, u32::from(change > 0))),
        }
    }
}

/// The build that a shot's club had on the day of the shot.
#[must_use]
pub fn build_of(row: &Row, clubs: &[NamedClub]) -> Build {
    let build = clubs.get(row.club as usize).map_or(0, |club| club.build_on(row.date));
    Build { club: row.club, build }
}

/// The strike of a shot that a screen judges.
#[must_use]
pub(super) fn judged_strike(row: &Row) -> Option<(Series, f64)> {
    strike(row).filter(|_| belongs_to_series(row))
}

/// The mishit screen reads full swings of stock height; others are none of its business.
fn belongs_to_series(row: &Row) -> bool {
    row.intent.height == Height::Stock && row.intent.swing == Swing::Full
}

/// What was measured of the strike: smash factor where both speeds were measured, else ball speed.
#[must_use]
pub fn strike(row: &Row) -> Option<(Series, f64)> {
    let ball = row.measures.get(Measure::BallSpeed)?;
    let measured = row.speed_origin != Some(SpeedOrigin::FromBall);
    Some(match row.measures.get(Measure::ClubheadSpeed).filter(|_| measured) {
        Some(head) => (Series::SmashFactor, ball / head),
        None => (Series::BallSpeed, ball),
    })
}

/// Rows of one player stay far below 2³², which a store of shots cannot reach in memory.
fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(NEVER)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bag::rows::row;

    fn marks_of(clubs: &[u32]) -> Marks {
        let with = |club: &u32| Row { club: *club, ..row(&[(Measure::Carry, 150.0)]) };
        let mut marks = Marks::default();
        marks.extend(&clubs.iter().map(with).collect::<Vec<_>>(), &[]);
        marks
    }

    #[test]
    fn the_shots_of_two_clubs_come_in_the_order_in_which_they_were_hit() {
        let marks = marks_of(&[3, 1, 2, 1, 3, 3, 1]);
        let of = |clubs| marks.of_clubs(clubs).collect::<Vec<_>>();
        assert_eq!(of([1, 3]), [0, 1, 3, 4, 5, 6]);
        assert_eq!(of([3, 1]), of([1, 3]));
        assert_eq!((of([2, 2]), of([2, 9]), of([0, 9])), (vec![2], vec![2], vec![]));
    }

    #[test]
    fn what_is_set_aside_has_no_place_and_is_not_forgotten() {
        let mut rows = vec![row(&[(Measure::Carry, 150.0)]); 3];
        rows[1].set_aside = true;
        let mut marks = Marks::default();
        marks.extend(&rows, &[]);
        assert_eq!((marks.of_club(rows[0].club), marks.absent()), (&[0, 1][..], &[1][..]));
    }
}
