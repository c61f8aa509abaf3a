//! What is still missing: shots before anything can be said, and shots until a proof.

use super::answer::{Missing, MoreShots};
use crate::{
    bag::{Maxima, PairQuestion, Player, Standing, Tested, pair::run_effect},
    stats::{
        Forecast, Lacking, MIN_SHOTS, Of, Open, Quantity, RunEffect, SHOTS_PER_SESSION, Verdict,
    },
};

/// How far from what is believed the ends of a forecast lie, in sds: the 20 and 80 % points of the
/// normal law.
const ENDS: f64 = 0.841_621_233_572_914;

/// The largest forecast over the tests; both clubs are hit in turn, so both need as many.
#[must_use]
pub fn more_shots(pair: &PairQuestion, standing: &Standing, verdict: Verdict) -> Option<MoreShots> {
    let needed = match verdict {
        Verdict::Replaces => Needed { expected: Some(0), low: Some(0), high: Some(0) },
        Verdict::Undecided(Open::Evidence { .. } | Open::Sessions) => {
            Needed::of(pair, standing, &standing.maxima)
        }
        Verdict::Undecided(Open::Doubt) => {
            let sure = standing.beyond_doubt.as_ref()?;
            match pair.verdict_on(&sure.maxima, sure.basis) {
                Verdict::Undecided(Open::Evidence { .. } | Open::Sessions) => {
                    Needed::of(pair, standing, &sure.maxima)
                }
                _ => return None,
            }
        }
        Verdict::Undecided(Open::Spread | Open::Computed)
        | Verdict::Insufficient(_)
        | Verdict::DoesNotReplace { .. } => return None,
    };
    let least = u32::from(verdict != Verdict::Replaces);
    let shots = needed.expected?.max(least);
    Some(MoreShots {
        incumbent: shots,
        candidate: shots,
        low: needed.low.map_or(shots, |low| low.max(least)),
        high: needed.high.map(|high| high.max(least)),
    })
}

/// Further shots of each club; `None` where a proof is out of sight.
struct Needed {
    /// If the clubs differ as is believed.
    expected: Option<u32>,
    /// At the nearer end of what is believed.
    low: Option<u32>,
    /// At the farther end.
    high: Option<u32>,
}

impl Needed {
    /// Of all quantities: each with its own ends.
    fn of(pair: &PairQuestion, standing: &Standing, maxima: &Maxima) -> Self {
        let mut quantities: Vec<Quantity> = Vec::new();
        for test in &pair.tests {
            if !quantities.contains(&test.quantity) {
                quantities.push(test.quantity);
            }
        }
        let start = Self { expected: Some(0), low: Some(0), high: Some(0) };
        quantities.into_iter().fold(start, |all, quantity| {
            let at = |sds| further_shots(pair, (standing, maxima), (quantity, sds));
            let [below, expected, above] = [-ENDS, 0.0, ENDS].map(at);
            let most = |one: Option<u32>, other: Option<u32>| Some(one?.max(other?));
            let near = [below, expected, above].into_iter().flatten().min();
            Self {
                expected: most(all.expected, expected),
                low: most(all.low, near),
                high: most(all.high, most(most(below, expected), above)),
            }
        })
    }
}

/// The largest forecast over the tests of one quantity that lies so many sds from what is believed.
fn further_shots(
    pair: &PairQuestion,
    (standing, maxima): (&Standing, &Maxima),
    (quantity, sds): (Quantity, f64),
) -> Option<u32> {
    let estimate = standing.estimates.of(quantity)?;
    let history = standing.frozen.map(|frozen| match quantity.of {
        Of::Difference => frozen.run,
        Of::OwnMean => frozen.day,
    });
    let run_ratio = match run_effect(quantity, history) {
        RunEffect::Sd(sd) => sd / estimate.s,
        RunEffect::Ratio(ratio) => ratio,
        RunEffect::None => 0.0,
    };
    let prior = quantity.forecast_prior();
    let forecast = Forecast { prior, run_ratio, shots_per_session: SHOTS_PER_SESSION };
    let asked = pair.tests.iter().zip(&maxima.tests);
    let needs = asked.filter(|(test, _)| test.quantity == quantity).map(|(test, running)| {
        let so_far = running.holds.log_e().unwrap_or(f64::NEG_INFINITY);
        forecast.further_shots_at(sds, estimate, (test, so_far))
    });
    needs.collect::<Option<Vec<u32>>>()?.into_iter().max()
}

/// The like-for-like shots that a verdict waits for.
pub(super) fn missing(
    player: Player<'_>,
    pair: &PairQuestion,
    standing: &Standing,
    verdict: Verdict,
) -> Vec<Missing> {
    if !matches!(verdict, Verdict::Insufficient(Lacking::Estimate | Lacking::Shots)) {
        return Vec::new();
    }
    let mut missing: Vec<Missing> = Vec::new();
    for test in &pair.tests {
        let Some(tested) =
            Tested::ALL.into_iter().find(|t| t.in_statistics() == test.quantity.measure)
        else {
            continue;
        };
        let [candidate, incumbent] = standing.shots[tested.index()];
        let sides = match test.quantity.of {
            Of::Difference => {
                [Some((pair.candidate, candidate)), Some((pair.incumbent, incumbent))]
            }
            Of::OwnMean => [Some((pair.candidate, standing.own_shots[tested.index()])), None],
        };
        for (build, have) in sides.into_iter().flatten() {
            let Some(club) = player.clubs.get(build.club as usize) else { continue };
            let known =
                |one: &Missing| one.club == club.id && one.metric == tested.measure().si_name();
            if have < MIN_SHOTS && !missing.iter().any(known) {
                missing.push(Missing {
                    club: club.id.clone(),
                    metric: tested.measure().si_name(),
                    have,
                    needed: MIN_SHOTS,
                });
            }
        }
    }
    missing
}
