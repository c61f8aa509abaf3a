//! Strikes that pass a screen which has seen too few: half of a club's first eight are mishits, and none
//! of them looks out of place yet.

use evencarry::bag::{Marks, OfEarlier, Row};
use evencarry::shot::Measure;

use crate::golfer::{Golfer, Told};

/// Smash factors of a club's strikes in order: every second of the first eight is a mishit, the rest are
/// good.
fn strikes(shots: usize) -> Vec<Row> {
    let mut golfer = Golfer::new(3, 1.0, Told::All);
    golfer.mishits = 0.0;
    for _ in 0..shots {
        golfer.hit(4, 4);
    }
    for (at, row) in golfer.rows.iter_mut().enumerate() {
        let head = row.measures.get(Measure::ClubheadSpeed).unwrap();
        // Good strikes differ by a hundredth or two; a mishit loses a tenth.
        let smash = 1.35 + 0.01 * f64::from(u8::try_from(at % 4).unwrap());
        let lost = if at < 8 && at % 2 == 0 { 0.14 } else { 0.0 };
        row.measures.set(Measure::BallSpeed, head * (smash - lost));
    }
    golfer.rows
}

fn marks(rows: &[Row]) -> Marks {
    let clubs = Golfer::new(3, 1.0, Told::All).clubs;
    let mut marks = Marks::default();
    marks.extend(rows, &clubs);
    marks
}

fn doubtful(marks: &Marks) -> Vec<usize> {
    let places = marks.places();
    (0..places.len()).filter(|at| places[*at].is_doubtful(places.len())).collect()
}

#[test]
fn the_screen_looks_back_once_and_what_would_not_pass_is_doubtful_and_no_mishit() {
    let rows = strikes(40);
    let early = marks(&rows[..23]);
    assert!(early.places()[..8].iter().all(|place| !place.is_mishit(23)), "they pass the screen");
    assert!(doubtful(&early).is_empty(), "it has not looked back yet");
    let later = marks(&rows);
    assert_eq!(doubtful(&later), [0, 2, 4, 6]);
    assert!(later.places().iter().all(|place| !place.is_mishit(40)), "a mishit is judged once");
    // Known from the 24th on, and not before.
    assert!(!later.places()[0].is_doubtful(23) && later.places()[0].is_doubtful(24));
    let casting: Vec<usize> =
        (0..40).filter(|at| later.places()[*at].of_earlier == OfEarlier::Doubts).collect();
    assert_eq!(casting, [23]);
}

#[test]
fn a_strike_that_is_a_little_weak_is_not_doubtful() {
    let mut rows = strikes(40);
    for row in &mut rows[..8] {
        let head = row.measures.get(Measure::ClubheadSpeed).unwrap();
        row.measures.set(Measure::BallSpeed, head * 1.33);
    }
    assert!(doubtful(&marks(&rows)).is_empty());
}
