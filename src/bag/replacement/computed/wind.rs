//! What a candidate keeps of its carry into a wind.

use super::{Lacking, Role, Strikes, computed_by, unknown};
use crate::{
    bag::{
        Criterion, Fits, Interval,
        conditions::{ModelRange, Models, Struck},
        filter::{Evidence, SUMMARY_SHOTS},
        flown::{CalibrationTold, ClubFlown, ToFit, club_flown_from},
        marks::Build,
        player::Player,
        replacement::{
            ReplacementQuestion,
            answer::{CriterionAnswer, CriterionState},
            pairs::pair_questions,
        },
    },
    flight::{Aerodynamics, Model},
    shot::Measure,
};

/// The clubs whose fits a question asks for and nobody knows yet.
#[must_use]
pub fn to_fit(player: Player<'_>, question: &ReplacementQuestion, fits: &Fits) -> Vec<ToFit> {
    let mut lacking: Vec<ToFit> = Vec::new();
    if question.brief.carry_kept_in_wind_by_m.is_none() {
        return lacking;
    }
    for pair in pair_questions(player, question) {
        for build in [pair.candidate, pair.incumbent] {
            let club = fits.lacking(whole(player, build, &pair.evidence));
            lacking.extend(club.filter(|club| !lacking.iter().any(|known| known.is_of(club))));
        }
    }
    lacking
}

/// All of a club's counted shots, with other partners too: what its model is fitted to.
fn whole(player: Player<'_>, build: Build, evidence: &Evidence) -> ClubFlown {
    club_flown_from(player.as_hit(), build, (evidence, SUMMARY_SHOTS))
}

/// Whether a candidate, which comes first, keeps so much more of its carry into 20 mph, m: as weather beside a
/// comparison has it, by the model that is fitted to each club's own tracked shots where there are enough.
pub(super) fn carry_kept_in_wind(
    player: Player<'_>,
    (clubs, evidence): ([(Build, &Struck); 2], &Evidence),
    by_m: f64,
    fits: &mut Fits,
) -> CriterionAnswer {
    let unknown = CriterionAnswer {
        at_least: Some(by_m),
        ..unknown((Criterion::CarryKeptInWind, Measure::Carry))
    };
    let hindered = |lacking: Lacking, role| CriterionAnswer {
        hindered_by: Some(lacking.of(role)),
        ..unknown.clone()
    };
    let mut flown = |(build, struck): (Build, &Struck)| {
        let typical = Strikes::of(struck)?.typical;
        let fitted = fits.of(whole(player, build, evidence));
        let main = Aerodynamics { model: Model::default(), scales: fitted.scales };
        let kept = Models::of(main, &typical).ok().and_then(|by| by.kept_into_wind(&typical));
        Ok((kept.ok_or(Lacking::Landing)?, CalibrationTold::of(&fitted).source))
    };
    let [candidate, incumbent] = clubs.map(&mut flown);
    let (candidate, incumbent) = match (candidate, incumbent) {
        (Ok(candidate), Ok(incumbent)) => (candidate, incumbent),
        (Err(lacking), _) => return hindered(lacking, Role::Candidate),
        (_, Err(lacking)) => return hindered(lacking, Role::Incumbent),
    };
    let [main, other] = [0, 1].map(|model| candidate.0[model] - incumbent.0[model]);
    let ModelRange { estimate, low, high } = ModelRange::of(main, other);
    CriterionAnswer {
        interval: Interval {
            estimate: Some(estimate),
            low: Some(low),
            high: Some(high),
            inferred: true,
        },
        state: match [low, high].map(|kept| kept >= by_m) {
            [true, _] => CriterionState::MetByModels,
            [_, false] => CriterionState::BrokenByModels,
            [false, true] => CriterionState::UnclearByModels,
        },
        computed_by: Some(computed_by(candidate.1, Some(incumbent.1))),
        ..unknown
    }
}
