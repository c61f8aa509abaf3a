//! A verdict in sentences: what is said of the club, and the figures that it rests on.

use super::{
    answer::{CriterionAnswer, CriterionState, Figure},
    computed::{held_back, shortfall},
};
use crate::{
    bag::{
        Criterion, Metric,
        given_up::Two,
        words::{Said, listed},
    },
    shot::Measure,
    stats::{Open, Verdict},
};

/// A verdict on a candidate, with its figures in the reader's units.
pub(super) fn verdict_words(
    two: &Two<'_>,
    verdict: Verdict,
    criteria: &[CriterionAnswer],
) -> String {
    let [candidate, incumbent] = two.names();
    let figures = figures(two, criteria);
    let with = |opening: String, so_far: &str| match figures.as_str() {
        "" => format!("{opening}."),
        figures => format!("{opening}: {so_far}it {figures}."),
    };
    match verdict {
        Verdict::Replaces => with(format!("{candidate} can take the place of {incumbent}"), ""),
        Verdict::Undecided(Open::Computed) => {
            let held: Vec<String> = held_back(criteria).map(shortfall).collect();
            let held = listed(&held);
            with(format!("{candidate} is held back from the place of {incumbent}, for {held}"), "")
        }
        Verdict::Undecided(_) => with(
            format!("It is not proven yet whether {candidate} can take the place of {incumbent}"),
            "so far ",
        ),
        Verdict::Insufficient(_) => format!(
            "Too little was hit like for like to tell whether {candidate} can take the place of \
             {incumbent}."
        ),
        Verdict::DoesNotReplace { .. } => {
            let fails = criteria.iter().find(|one| one.state == CriterionState::Broken);
            let fails = fails.map_or_else(String::new, |one| format!(": {}", failure(one)));
            let rests = match figures.as_str() {
                "" => String::new(),
                figures => format!(" It {figures}."),
            };
            format!("{candidate} cannot take the place of {incumbent}{fails}.{rests}")
        }
    }
}

/// What it carries, how it launches and how it spins, behind "it"; empty while nothing is known.
fn figures(two: &Two<'_>, criteria: &[CriterionAnswer]) -> String {
    let [_, incumbent] = two.names();
    let found = |name| criteria.iter().find(|one| one.name == name);
    let said = |measure| Said { metric: Metric::Measured(measure), units: two.units };
    let carry = found(Criterion::CarryHeld).and_then(|one| {
        let (said, estimate) = (said(Measure::Carry), one.interval.estimate?);
        if one.of == Figure::OwnMean {
            return Some(format!("carries {}", said.bounded(&one.interval)));
        }
        let by = said.compared(&one.interval, if estimate < 0.0 { "less" } else { "more" });
        Some(match one.state {
            CriterionState::Met => format!("carries what {incumbent} carries, {by}"),
            _ => format!("carries {by}"),
        })
    });
    let against = |name, measure, [verb, more, less]: [&str; 3]| {
        let interval = found(name)?.interval;
        let how = if interval.estimate? < 0.0 { less } else { more };
        Some(format!("{verb} {}", said(measure).compared(&interval, how)))
    };
    let launch =
        against(Criterion::LaunchLower, Measure::LaunchAngle, ["launches", "higher", "lower"]);
    let spin = against(Criterion::SpinLower, Measure::SpinRate, ["spins", "more", "less"]);
    listed(&[carry, launch, spin].into_iter().flatten().collect::<Vec<_>>())
}

/// What is proven against it, behind a colon.
fn failure(broken: &CriterionAnswer) -> &'static str {
    match broken.name {
        Criterion::CarryHeld if broken.of == Figure::OwnMean => "its carry is not in the slot",
        Criterion::CarryHeld => "the carries are not even",
        Criterion::LaunchLower => "it does not launch lower by as much as is asked",
        Criterion::SpinLower => "it does not spin less by as much as is asked",
        Criterion::NotTooLow if broken.metric == Measure::SpinRate.si_name() => {
            "it spins too little"
        }
        Criterion::NotTooLow if broken.metric == Measure::Descent.si_name() => {
            "it comes down too flat"
        }
        Criterion::NotTooLow => "it launches too low",
        Criterion::SpreadHeld => "it scatters more",
        Criterion::CarryKeptInWind => {
            "it does not keep as much of its carry into the wind as is asked"
        }
        Criterion::AboveComputedFloor => "it launches below its computed floor",
    }
}
