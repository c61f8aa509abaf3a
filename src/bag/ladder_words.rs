//! A ladder in sentences.

use super::{
    brief::Brief,
    ladder::{Gap, Ladder, Rung},
    metric::{Metric, MetricSummary},
    player::Player,
    profile_words::from,
    words::{Said, listed},
};
use crate::shot::{ClubId, Measure, Units};

const CARRY: Metric = Metric::Measured(Measure::Carry);

/// From where to where the bag carries, its wide gaps, the clubs for one carry, the lofts that carry
/// says otherwise of, and a club too many.
pub(super) fn ladder_words(player: Player<'_>, ladder: &Ladder, units: Units) -> String {
    let said = Said { metric: CARRY, units };
    let name = |id: &ClubId| player.called(id).to_owned();
    let hit: Vec<(&Rung, f64)> =
        ladder.rungs.iter().filter_map(|rung| Some((rung, centre(rung)?))).collect();
    let told = match hit.as_slice() {
        [] => String::from("No club of this bag has a shot that counts yet."),
        [(only, at)] => format!("{} carries {}.", name(&only.club), said.size(*at)),
        [(shortest, from), .., (longest, to)] => format!(
            "The bag carries from {} ({}) to {} ({}).",
            said.size(*from),
            name(&shortest.club),
            said.size(*to),
            name(&longest.club)
        ),
    };
    let gap = |gap: &Gap| {
        format!("{} from {} to {}", said.size(gap.width_m), name(&gap.from), name(&gap.to))
    };
    let wide: Vec<String> = ladder.gaps.iter().filter(|gap| gap.wide).map(gap).collect();
    let wide = match wide.len() {
        0 => String::new(),
        1 => format!(" One gap is wide: {}.", wide[0]),
        many => format!(" {many} gaps are wide: {}.", listed(&wide)),
    };
    let same: Vec<String> = ladder
        .overlaps
        .iter()
        .map(|same| same.clubs.each_ref().map(&name))
        .map(|[one, other]| format!(" {one} and {other} carry the same."))
        .collect();
    let lofts: Vec<String> = ladder
        .inversions
        .iter()
        .filter(|pair| pair.proven)
        .map(|pair| pair.clubs.each_ref().map(&name))
        .map(|[strong, weak]| {
            let margin = said.size(Brief::default().carry_margin_m);
            format!(" {strong} has a stronger loft than {weak} and carries no more than {margin} further.")
        })
        .collect();
    let limit = ladder.limit;
    let many = if limit.clubs > limit.allowed {
        format!(" It holds {} clubs, and the rules allow {}.", limit.clubs, limit.allowed)
    } else {
        String::new()
    };
    let even = if hit.len() > 1 && wide.is_empty() && same.is_empty() {
        " No gap is wide, and no two clubs carry the same."
    } else {
        ""
    };
    told + &wide + &same.concat() + even + &lofts.concat() + &unhit(ladder, &hit, &name) + &many
}

/// That clubs have no place, where they were not hit from where the others were.
fn unhit(ladder: &Ladder, hit: &[(&Rung, f64)], name: &impl Fn(&ClubId) -> String) -> String {
    let Some(from) = ladder.surface.map(from).filter(|_| !hit.is_empty()) else {
        return String::new();
    };
    let unhit = ladder.rungs.iter().filter(|rung| hit.iter().all(|(one, _)| one.club != rung.club));
    let unhit: Vec<String> = unhit.map(|rung| name(&rung.club)).collect();
    let with = match &ladder.ball {
        Some(ball) => format!(" with ball {ball}"),
        None => String::new(),
    };
    match unhit.len() {
        0 => String::new(),
        1 => format!(" {} has no shot {from}{with} that counts, and so no place here.", unhit[0]),
        _ => {
            format!(
                " {} have no shot {from}{with} that counts, and so no place here.",
                listed(&unhit)
            )
        }
    }
}

fn centre(rung: &Rung) -> Option<f64> {
    rung.metrics.get(CARRY).and_then(|carry: &MetricSummary| carry.centre.or(carry.mean))
}
