//! What a player gives up with a swap: in no verdict, and never left unsaid.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    comparison::LikeForLike,
    metric::{Interval, Metric},
    pair::PairQuestion,
    player::Player,
    profile::Rate,
};
use crate::shot::{ClubId, Measure};

/// One thing that the candidate does less well.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GivenUp {
    /// The measure, or `mishit_rate`.
    pub metric: &'static str,
    /// Candidate minus incumbent.
    #[serde(flatten)]
    pub difference: Interval,
    /// What it means for the player.
    pub words: &'static str,
    /// The candidate's clubs' own shares, where the metric is a share: candidate, then incumbent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rates: Option<[ClubRate; 2]>,
}

/// A club's share of mishits.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubRate {
    /// The club.
    pub club: ClubId,
    /// Its share.
    #[serde(flatten)]
    pub rate: Rate,
}

/// A measure of which less is a loss, and the words for it.
const LOSSES: [(Measure, &str); 3] = [
    (Measure::Apex, "a lower flight clears less"),
    (Measure::Descent, "a flatter landing is harder to stop on a green"),
    (Measure::BallSpeed, "a slower ball"),
];

/// Lists what the candidate does less well, where its estimate says so.
#[must_use]
pub(super) fn given_up(
    player: Player<'_>,
    pair: &PairQuestion,
    gathered: &LikeForLike,
) -> Vec<GivenUp> {
    let mut lost: Vec<GivenUp> = LOSSES
        .iter()
        .filter_map(|(measure, words)| {
            let metric = Metric::Measured(*measure);
            let difference = gathered.interval(metric);
            difference.estimate.filter(|estimate| *estimate < 0.0)?;
            Some(GivenUp { metric: metric.name(), difference, words, rates: None })
        })
        .collect();
    lost.extend(more_mishits(player, pair));
    lost
}

fn more_mishits(player: Player<'_>, pair: &PairQuestion) -> Option<GivenUp> {
    let rate = |build| -> Option<ClubRate> {
        let arrived = player.marks.places().len();
        let (mut all, mut mishits) = (0, 0);
        for place in player.marks.places().iter().filter(|place| place.build == build) {
            let row = &player.rows[place.row as usize];
            if pair.evidence.admits(row) && super::marks::judged_strike(row).is_some() {
                all += 1;
                mishits += usize::from(place.is_mishit(arrived));
            }
        }
        let club = player.clubs.get(build.club as usize)?.id.clone();
        Some(ClubRate { club, rate: Rate::of(mishits, all) })
    };
    let (candidate, incumbent) = (rate(pair.candidate)?, rate(pair.incumbent)?);
    let difference = candidate.rate.share? - incumbent.rate.share?;
    (difference > 0.0).then(|| GivenUp {
        metric: "mishit_rate",
        difference: Interval { estimate: Some(difference), ..Interval::UNKNOWN },
        words: "more strikes go wrong",
        rates: Some([candidate, incumbent]),
    })
}
