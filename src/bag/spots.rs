//! Counted shots one by one: where they landed and how they left, which a picture shows beside the
//! figures that are made of them.

use std::cmp::Reverse;

use super::{
    filter::{Filter, SUMMARY_SHOTS},
    like_for_like::{LikeForLike, PairOfBuilds},
    player::Player,
    profile::on_basis,
    row::Row,
};
use crate::shot::Measure;

/// One counted shot; what was not measured of it is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spot {
    /// Where it landed, metres from the ball.
    pub carry_m: Option<f64>,
    /// Where it landed aside, metres; right is positive.
    pub side_m: Option<f64>,
    /// Up from level, degrees.
    pub launch_angle_deg: Option<f64>,
    /// Whole spin, rpm.
    pub spin_rate_rpm: Option<f64>,
}

impl Spot {
    fn of(row: &Row) -> Self {
        let get = |measure| row.measures.get(measure);
        Self {
            carry_m: get(Measure::Carry),
            side_m: get(Measure::Side),
            launch_angle_deg: get(Measure::LaunchAngle),
            spin_rate_rpm: get(Measure::SpinRate),
        }
    }
}

/// The newest shots that a club's profile rests on, newest first, 1,000 at most.
#[must_use]
pub fn spots_of_club(player: Player<'_>, club: u32, filter: &Filter) -> Vec<Spot> {
    let (build, evidence) = (player.newest_build(club), player.evidence(filter));
    let basis = player.basis(build, &evidence);
    let counted = on_basis(player, build, &evidence, basis);
    let wanted = filter.last.unwrap_or(SUMMARY_SHOTS).min(SUMMARY_SHOTS);
    counted.take(wanted).map(Spot::of).collect()
}

/// The newest shots that a comparison rests on, of candidate and incumbent, newest first, 1,000 of each
/// at most.
#[must_use]
pub fn spots_of_pair(player: Player<'_>, pair: [u32; 2], filter: &Filter) -> [Vec<Spot>; 2] {
    rows_of_pair(player, pair, filter).map(|rows| rows.into_iter().map(Spot::of).collect())
}

/// The newest like-for-like rows of candidate and incumbent, newest first, 1,000 of each at most.
pub(super) fn rows_of_pair<'a>(
    player: Player<'a>,
    [candidate, incumbent]: [u32; 2],
    filter: &Filter,
) -> [Vec<&'a Row>; 2] {
    let pair = PairOfBuilds {
        candidate: player.newest_build(candidate),
        incumbent: player.newest_build(incumbent),
        evidence: player.evidence(filter),
    };
    let gathered = LikeForLike::of(player, &pair, &[]);
    [0, 1].map(|side| {
        let mut rows: Vec<&Row> =
            gathered.rows(side).map(|row| &player.rows[row as usize]).collect();
        rows.sort_unstable_by_key(|row| Reverse(row.sequence));
        rows.truncate(SUMMARY_SHOTS);
        rows
    })
}
