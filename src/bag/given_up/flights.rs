//! Flights that are meant, of two clubs.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    GivenUp, Loss, Two,
    cover::{LostJob, cover},
};
use crate::{
    bag::{
        metric::{Interval, Metric},
        survey::Job,
        words::{Said, capital, counted, share, times},
        workability::{self, Meant, Workability, Worked, moved},
    },
    shot::{ClubId, Measure},
    stats::{self, MIN_SHOTS},
};

/// One club's part in a flight that is meant.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubWorkability {
    /// The club.
    pub club: ClubId,
    /// What it does.
    #[serde(flatten)]
    pub workability: Workability,
}

/// What the candidate does less of, where the incumbent was ever so meant.
pub(super) fn flights(two: &Two<'_>) -> Vec<GivenUp> {
    Meant::ALL.into_iter().filter_map(|meant| flight(two, meant)).collect()
}

fn flight(two: &Two<'_>, meant: Meant) -> Option<GivenUp> {
    let own = |club| {
        let worked = Worked { club, hand: two.player.hand, units: two.units };
        workability::one(two.survey, worked, meant)
    };
    let both = [own(two.candidate), own(two.incumbent)];
    if both[1].shots == 0 {
        return None;
    }
    let (measure, difference) = difference(two, meant);
    let less = does_less(two, (meant, measure), (&difference, &both));
    let never = both[0].shots == 0;
    if !never && !less.any {
        return None;
    }
    let job = Job { lie: None, intent: meant.intent() };
    let lost = LostJob { job, meant: Some(meant), said: meant.done() };
    let words = sentence(two, meant, (measure, &both));
    Some(GivenUp {
        workability: Some(two.named(both)),
        covered_by: (never || less.lost).then(|| cover(two, lost)),
        ..GivenUp::of(Loss::Workability, measure.si_name(), difference, words)
    })
}

/// The candidate's move from its stock flight less the incumbent's, in the measure that decides.
fn difference(two: &Two<'_>, meant: Meant) -> (Measure, Interval) {
    let of = |measure: Measure| {
        let [own, other] =
            [two.candidate, two.incumbent].map(|club| moved(two.survey, club, (meant, measure)));
        let apart = stats::apart(&own.ok()?, &other.ok()?).ok()?;
        Some((measure, Metric::Measured(measure).interval(&apart)?))
    };
    let [first, second] = meant.deciding();
    of(first).or_else(|| of(second)).unwrap_or((first, Interval::UNKNOWN))
}

/// Whether a candidate does less than the incumbent, and so much less that the job is lost.
struct DoesLess {
    any: bool,
    lost: bool,
}

fn does_less(
    two: &Two<'_>,
    (meant, measure): (Meant, Measure),
    (difference, [own, other]): (&Interval, &[Workability; 2]),
) -> DoesLess {
    // Where nobody said which hand, the incumbent shows which way is meant.
    let shown = other.differences.get(Metric::Measured(measure)).and_then(|moved| moved.estimate);
    let sign = meant.wanted_sign(two.player.hand).or_else(|| shown.map(f64::signum));
    let towards = difference.estimate.zip(sign).map(|(estimate, sign)| estimate * sign);
    let proven = difference.proves_less() || difference.proves_more();
    let moved_less = towards.is_some_and(|towards| towards < 0.0);
    let success = own.success.less(&other.success);
    let fails = |of: &Workability| of.success.share.is_some_and(|share| share < 0.5);
    let tried = own.success.n >= MIN_SHOTS as usize;
    DoesLess {
        any: moved_less || success.estimate.is_some_and(|estimate| estimate < 0.0),
        lost: (moved_less && proven)
            || success.proves_less()
            || (tried && fails(own) && !fails(other)),
    }
}

fn sentence(
    two: &Two<'_>,
    meant: Meant,
    (measure, [own, other]): (Measure, &[Workability; 2]),
) -> String {
    let [candidate, incumbent] = two.names();
    let done = meant.done();
    if own.shots == 0 {
        return format!(
            "{candidate} was never {done}; {incumbent} was, {}: whether it can be is unknown.",
            times(other.shots)
        );
    }
    let said = Said { metric: Metric::Measured(measure), units: two.units };
    let moved = |of: &Workability| Some(said.size(of.differences.get(said.metric)?.estimate?));
    let went = |of: &Workability| {
        let success = of.success.share?;
        Some(format!("{} of {}", share(success), counted(of.success.n, "shot")))
    };
    let parts: Vec<String> = [
        moved(own).zip(moved(other)).map(|(own, other)| {
            format!("{candidate} leaves its stock flight by {own}, {incumbent} by {other}")
        }),
        went(own)
            .zip(went(other))
            .map(|(own, other)| format!("{own} went as meant, against {other}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    if parts.is_empty() {
        return format!("{}, {candidate} cannot be told from {incumbent} yet.", capital(done));
    }
    format!("{}: {}.", capital(done), parts.join("; "))
}
