//! What a candidate keeps of its carry into a wind.

use super::{Strikes, computed_by, unknown, within};
use crate::{
    bag::{
        Criterion, Fits,
        conditions::{Models, Struck, kept_into_wind},
        filter::{Evidence, SUMMARY_SHOTS},
        flown::{CalibrationTold, club_flown_from},
        marks::Build,
        player::Player,
        replacement::answer::{CriterionAnswer, CriterionState},
    },
    flight::{Aerodynamics, Model},
    shot::Measure,
};

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
    let mut flown = |(build, struck): (Build, &Struck)| {
        let typical = Strikes::of(struck)?.typical;
        let whole = club_flown_from(player.as_hit(), build, (evidence, SUMMARY_SHOTS));
        let fitted = fits.of(&whole);
        let main = Aerodynamics { model: Model::default(), scales: fitted.scales };
        Some((typical, Models::of(main, &typical).ok()?, CalibrationTold::of(&fitted).source))
    };
    let [candidate, incumbent] = clubs.map(&mut flown);
    let kept = candidate.zip(incumbent).and_then(|(candidate, incumbent)| {
        let kept = kept_into_wind([(&candidate.0, candidate.1), (&incumbent.0, incumbent.1)])?;
        Some((kept, computed_by(candidate.2, Some(incumbent.2))))
    });
    let Some((kept, computed_by)) = kept else { return unknown };
    CriterionAnswer {
        interval: within(kept),
        state: match kept {
            _ if kept.low >= by_m => CriterionState::MetByModels,
            _ if kept.high < by_m => CriterionState::BrokenByModels,
            _ => CriterionState::UnclearByModels,
        },
        hindered_by: None,
        computed_by: Some(computed_by),
        ..unknown
    }
}
