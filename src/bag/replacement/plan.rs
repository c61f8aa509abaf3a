//! What is still missing: shots before anything can be said, and shots until a proof.

use super::answer::{Missing, MoreShots};
use crate::{
    bag::{PairQuestion, Player, Standing, Tested, pair::run_effect},
    stats::{Forecast, Lacking, MIN_SHOTS, Of, Open, RunEffect, SHOTS_PER_SESSION, Verdict},
};

/// The largest forecast over the tests; both clubs are hit in turn, so both need as many.
#[must_use]
pub fn more_shots(pair: &PairQuestion, standing: &Standing, verdict: Verdict) -> Option<MoreShots> {
    let shots = match verdict {
        Verdict::Replaces => 0,
        Verdict::Undecided(Open::Evidence { .. } | Open::Sessions) => {
            let needs = pair.tests.iter().zip(&standing.maxima.tests).map(|(test, running)| {
                let estimate = standing.estimates.of(test.quantity)?;
                let history = standing.frozen.map(|frozen| match test.quantity.of {
                    Of::Difference => frozen.run,
                    Of::OwnMean => frozen.day,
                });
                let run_ratio = match run_effect(test.quantity, history) {
                    RunEffect::Sd(sd) => sd / estimate.s,
                    RunEffect::Ratio(ratio) => ratio,
                    RunEffect::None => 0.0,
                };
                let forecast = Forecast {
                    prior: test.quantity.forecast_prior(),
                    run_ratio,
                    shots_per_session: SHOTS_PER_SESSION,
                };
                let so_far = running.holds.log_e().unwrap_or(f64::NEG_INFINITY);
                forecast.further_shots(estimate, test, so_far)
            });
            needs.collect::<Option<Vec<u32>>>()?.into_iter().max()?.max(1)
        }
        Verdict::Undecided(Open::Spread)
        | Verdict::Insufficient(_)
        | Verdict::DoesNotReplace { .. } => return None,
    };
    Some(MoreShots { incumbent: shots, candidate: shots })
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
