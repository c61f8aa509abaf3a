//! A season in which a club loses carry, with any acts and restarts between its visits: what is said of
//! drift is what a fresh fold says.

use proptest::prelude::*;
use serde_json::json;

use crate::{
    Restartable,
    acts::{Step, steps},
    answers, fresh_fold,
};

/// Visits of the season.
const VISITS: u32 = 10;

/// One visit: four shots of each of three clubs; from the eighth on one of them is 20 m shorter.
fn visit(number: u32) -> Step {
    let shot = |at: u32| {
        let (club, carry) = [("5h", 158.0), ("4i", 168.0), ("7w", 150.0)][at as usize % 3];
        let lost = if club == "5h" && number >= 7 { 20.0 } else { 0.0 };
        let spread = f64::from((at * 7 + number) % 12) / 2.0;
        json!({
            "id": (1_000 * (number + 1) + at).to_string(), "source": "bay-1",
            "time": format!("2026-03-{:02}T10:{at:02}:00Z", number + 1),
            "player": "rowan", "club": club, "session": format!("season {number}"), "lie": "mat",
            "launch": {"ball_speed_mps": 52.0 + spread / 20.0, "launch_angle_deg": 15.0},
            "flight": {"carry_m": carry - lost + spread, "origin": "tracked"},
        })
        .to_string()
    };
    Step::Shots((0..12).map(shot).collect())
}

/// The season with a step after each of its visits.
fn played(between: Vec<Step>) -> Restartable {
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let mut kept = Restartable::new();
    let mut between = between.into_iter();
    runtime.block_on(async {
        for number in 0..VISITS {
            kept.take(visit(number)).await;
            if let Some(step) = between.next() {
                kept.take(step).await;
            }
        }
    });
    kept
}

#[test]
fn the_season_alone_asks_about_the_club() {
    let kept = played(Vec::new());
    assert!(answers(kept.store().projection()).contains("\"may_have_drifted\""));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 30, ..ProptestConfig::default() })]

    #[test]
    fn a_drift_is_that_of_a_fresh_fold_whatever_happens_between_the_visits(between in steps()) {
        let mut kept = played(between);
        let expected = answers(&fresh_fold(kept.store()));
        prop_assert_eq!(&answers(kept.store().projection()), &expected);
        kept.restart();
        prop_assert_eq!(&answers(kept.store().projection()), &expected);
    }
}
