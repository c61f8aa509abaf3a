//! Sentences about drift.

use super::{ClubDrift, Direction, SuspectedDrift};
use crate::{bag::METRES_PER_YARD, shot::Units};

/// How a club stands, as a sentence; a drift as a question.
pub(super) fn words(
    name: &str,
    drift: &ClubDrift,
    now: Option<&SuspectedDrift>,
    units: Units,
) -> String {
    if let Some(now) = now {
        return question(name, now, units);
    }
    let Some(baseline) = drift.baseline() else {
        let needed = visits(drift.sessions_needed(), "more ");
        return format!("It takes {needed} with the {name} before a change could be told.");
    };
    let since = drift.scores.iter().rev().take_while(|scored| !scored.alarm).count();
    let slot = units.distance(baseline.carry.centre * METRES_PER_YARD);
    if since == 0 {
        return format!("The {name} carried {slot}; the next visit is held against that.");
    }
    let since = visits(since, "");
    format!("The {name} carries {slot} as before, as far as {since} since its baseline can tell.")
}

fn question(name: &str, now: &SuspectedDrift, units: Units) -> String {
    let by = units.distance(now.carry_change_m.estimate.abs());
    let way = match now.direction {
        Direction::Longer => "more",
        Direction::Shorter => "less",
    };
    let since = now.began.date.strftime("%-d %B %Y");
    let carried = format!("Since {since} it has carried about {by} {way} than before");
    let doubt = match now.alone {
        0 => "more than the day explains.".to_owned(),
        alone if alone == now.sessions => "more than it usually varies. No other club was hit \
            beside it, so the day itself may be why."
            .to_owned(),
        alone => format!(
            "more than the day explains; but on {alone} of those {} no other club was hit beside it.",
            visits(now.sessions, "")
        ),
    };
    format!("Has something changed about the {name}? {carried}, {doubt}")
}

fn visits(count: usize, more: &str) -> String {
    let visits = if count == 1 { "visit" } else { "visits" };
    format!("{count} {more}{visits}")
}
