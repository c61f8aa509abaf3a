//! Shots that were hit with another club than was said: how many are found, and how many are
//! suspected that are honest. Simulated with a generator of its own; the figures are those of this
//! program, the bounds are what a user may rely on.

use super::golfer::{BAG, Golfer, Told};

/// Shares of shots, with how many there were.
#[derive(Debug, Default, Clone, Copy)]
struct Share {
    yes: u32,
    all: u32,
}

impl Share {
    fn note(&mut self, yes: bool) {
        self.yes += u32::from(yes);
        self.all += 1;
    }

    fn get(self) -> f64 {
        f64::from(self.yes) / f64::from(self.all)
    }
}

fn golfer(seed: u64, (spread, told): (f64, Told), visits: u32) -> Golfer {
    let mut golfer = Golfer::new(seed, spread, told);
    for _ in 0..visits {
        golfer.visit(10);
    }
    golfer
}

/// The share of honest shots, mishits among them, that are suspected.
fn false_flags(kind: (f64, Told), visits: u32) -> f64 {
    let mut suspected = Share::default();
    for seed in 0..12 {
        for like in golfer(seed, kind, visits).flies_like(0) {
            suspected.note(like.is_some());
        }
    }
    suspected.get()
}

/// Of six sound shots in a row with a club so many places shorter than said (longer where negative): the
/// share that is found, and of those the share whose club is named.
fn found(kind: (f64, Told), visits: u32, apart: isize) -> (f64, f64) {
    let (mut found, mut named) = (Share::default(), Share::default());
    for (seed, said) in (100..).zip(0..BAG.len()) {
        let Some(club) = said.checked_add_signed(apart).filter(|club| *club < BAG.len()) else {
            continue;
        };
        for again in 0..3 {
            let mut golfer = golfer(seed + 1_000 * again, kind, visits);
            let honest = golfer.rows.len();
            golfer.mishits = 0.0;
            for _ in 0..6 {
                golfer.hit(club, said);
            }
            for like in golfer.flies_like(honest) {
                found.note(like.is_some());
                if let Some(like) = like {
                    named.note(like as usize == club);
                }
            }
        }
    }
    (found.get(), named.get())
}

#[test]
fn honest_shots_are_hardly_ever_suspected() {
    for (kind, visits, most) in [
        ((0.6, Told::All), 6, 0.005),
        ((1.0, Told::All), 2, 0.005),
        ((1.0, Told::All), 6, 0.005),
        ((1.0, Told::NoHead), 6, 0.005),
        ((1.5, Told::All), 6, 0.01),
        ((1.0, Told::NoSpin), 6, 0.005),
        ((1.0, Told::CarryOnly), 6, 0.005),
    ] {
        let share = false_flags(kind, visits);
        assert!(share <= most, "{kind:?} after {visits} visits: {share}");
    }
}

#[test]
fn a_club_two_or_more_places_away_is_found_and_mostly_named() {
    for (kind, apart, least) in [
        ((0.6, Told::All), -2, 0.97),
        ((0.6, Told::All), 2, 0.97),
        ((1.0, Told::All), -2, 0.9),
        ((1.0, Told::All), 2, 0.88),
        ((1.0, Told::All), -3, 0.95),
        ((1.0, Told::All), 3, 0.95),
        ((1.0, Told::NoHead), -2, 0.9),
        ((1.0, Told::NoHead), 2, 0.7),
        ((1.0, Told::NoSpin), -2, 0.8),
        ((1.0, Told::CarryOnly), -2, 0.5),
    ] {
        let (found, named) = found(kind, 4, apart);
        assert!(found >= least, "{kind:?}, {apart} places: {found}");
        assert!(named >= 0.65, "{kind:?}, {apart} places, named: {named}");
    }
}

#[test]
fn twenty_good_shots_are_enough_to_tell_six_wrong_ones_in_a_row() {
    let (found, _) = found((1.0, Told::All), 2, -2);
    assert!(found >= 0.85, "{found}");
}

#[test]
fn six_wrong_ones_at_the_start_are_told_by_the_good_ones_that_follow() {
    let mut told = Share::default();
    for (seed, said) in (300..).zip(2..BAG.len()) {
        let mut golfer = golfer(seed, (1.0, Told::All), 2);
        golfer.rows.retain(|row| row.club as usize != said);
        let from = golfer.rows.len();
        golfer.mishits = 0.0;
        (0..6).for_each(|_| golfer.hit(said - 2, said));
        golfer.mishits = 0.08;
        (0..26).for_each(|_| golfer.hit(said, said));
        golfer.flies_like(from)[..6].iter().for_each(|like| told.note(like.is_some()));
    }
    assert!(told.get() >= 0.8, "{}", told.get());
}

#[test]
fn without_all_three_measures_a_short_shot_may_be_a_mishit_and_is_never_suspected() {
    for told in [Told::NoSpin, Told::CarryOnly] {
        assert!(found((1.0, told), 4, 2).0 < 0.01, "{told:?}");
    }
}
