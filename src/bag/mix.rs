//! What a mix of lies would make of two clubs: reported, in no verdict.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    given_up::Two,
    lie_group::LieGroup,
    like_for_like::ShotsOfPair,
    measure::METRES_PER_YARD,
    metric::{ByMetric, Interval, Metric, by_metric},
    survey,
    words::{Said, listed},
};
use crate::{
    shot::{Lie, Measure},
    stats::{self, Cell, Share},
};

/// How far the shares of a mix may be from a whole, in per cent: what rounding to a tenth leaves.
pub const MIX_OFF_AT_MOST_PCT: f64 = 0.1;

const CARRY: Metric = Metric::Measured(Measure::Carry);

/// Shares of lies, in per cent, that make a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix(Vec<(Lie, f64)>);

impl Mix {
    /// A mix of shares in per cent, each above 0, that make 100 to within
    /// [`MIX_OFF_AT_MOST_PCT`]; `None` of others, and where a lie is named twice.
    #[must_use]
    pub fn of(shares: Vec<(Lie, f64)>) -> Option<Self> {
        let sum: f64 = shares.iter().map(|(_, share)| share).sum();
        let positive = shares.iter().all(|(_, share)| *share > 0.0 && share.is_finite());
        let once =
            (1..shares.len()).all(|at| shares[..at].iter().all(|(lie, _)| *lie != shares[at].0));
        // A hair is for the rounding of the sum itself.
        let whole = (sum - 100.0).abs() <= MIX_OFF_AT_MOST_PCT + 1e-9;
        (positive && once && whole).then_some(Self(shares))
    }

    /// Shares of one by group of lies, in the order named.
    fn groups(&self) -> Vec<(LieGroup, f64)> {
        let whole: f64 = self.0.iter().map(|(_, share)| share).sum();
        let mut groups: Vec<(LieGroup, f64)> = Vec::new();
        for (lie, share) in &self.0 {
            let group = LieGroup::of(Some(*lie), false);
            match groups.iter_mut().find(|(known, _)| *known == group) {
                Some((_, sum)) => *sum += share / whole,
                None => groups.push((group, share / whole)),
            }
        }
        groups
    }
}

/// Two clubs over a mix of lies. All rests on their like-for-like shots, mishit rates on all their
/// strikes from those lies; a lie of the mix without such shots leaves the figures unknown.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MixOfLies {
    /// The lies and their shares.
    pub lies: Vec<MixedLie>,
    /// Lies of the mix that the two were not hit from like for like.
    pub lacking: Vec<LieGroup>,
    /// The incumbent's figures; null while a lie is lacking.
    pub incumbent: Option<MixFigures>,
    /// The candidate's figures; null while a lie is lacking.
    pub candidate: Option<MixFigures>,
    /// Candidate minus incumbent, SI; empty while a lie is lacking.
    #[schema(schema_with = by_metric::<Interval>)]
    pub differences: ByMetric<Interval>,
    /// The candidate's share of mishits less the incumbent's.
    pub mishit_rate: Interval,
    /// The same in a sentence.
    pub words: String,
}

/// One lie of a mix.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct MixedLie {
    /// The lie; `fairway` holds tight lies too.
    pub lie: LieGroup,
    /// Its share of one.
    pub share: f64,
    /// Like-for-like shots from it.
    pub shots: ShotsOfPair,
}

/// What one club would do over a mix of lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct MixFigures {
    /// Mean carry, metres.
    pub carry_m: f64,
    /// Standard deviation of a shot's carry over the mix, metres; null while a lie has a single
    /// shot.
    pub carry_sd_m: Option<f64>,
    /// The share of strikes that go wrong; null while a lie has no judged strike.
    pub mishit_rate: Option<f64>,
}

/// Reckons a mix.
pub(super) fn mix_of_lies(two: &Two<'_>, mix: &Mix) -> MixOfLies {
    let groups = mix.groups();
    let shots = |lie| two.gathered.shots(Some(lie));
    let lies: Vec<MixedLie> = groups
        .iter()
        .map(|(lie, share)| MixedLie { lie: *lie, share: *share, shots: shots(*lie) })
        .collect();
    let carries: Vec<[Cell; 2]> =
        groups.iter().map(|(lie, _)| two.gathered.cells(CARRY, Some(*lie))).collect();
    let lacking: Vec<LieGroup> = groups
        .iter()
        .zip(&carries)
        .filter(|(_, cells)| cells.iter().any(Cell::is_empty))
        .map(|((lie, _), _)| *lie)
        .collect();
    let whole = lacking.is_empty();
    let figures = |side: usize| {
        let cells: Vec<(f64, Cell)> =
            groups.iter().zip(&carries).map(|((_, share), cells)| (*share, cells[side])).collect();
        figures(&cells, mixed_rate(two, side, &groups))
    };
    let rates = [0, 1].map(|side| mixed_rate(two, side, &groups));
    let mishit_rate = match rates {
        [Some(own), Some(other)] if whole => {
            Interval::of_share(stats::weighted_shares(&[(1.0, own), (-1.0, other)]))
        }
        _ => Interval::UNKNOWN,
    };
    let carry = difference(two, &groups).filter(|_| whole);
    let mut told = MixOfLies {
        lies,
        incumbent: whole.then(|| figures(1)),
        candidate: whole.then(|| figures(0)),
        differences: ByMetric(carry.map(|carry| (CARRY, carry)).into_iter().collect()),
        mishit_rate,
        lacking,
        words: String::new(),
    };
    told.words = sentence(two, &told);
    told
}

/// A mixture's mean and sd: the parts' own variances, and how far their means lie apart.
fn figures(parts: &[(f64, Cell)], mishits: Option<Share>) -> MixFigures {
    let mean: f64 = parts.iter().map(|(share, cell)| share * cell.mean()).sum();
    let variance = |cell: &Cell| {
        let df = f64::from(cell.n()) - 1.0;
        (df > 0.0).then(|| cell.squares() / df)
    };
    let spread: Option<f64> = parts
        .iter()
        .map(|(share, cell)| Some(share * (variance(cell)? + (cell.mean() - mean).powi(2))))
        .sum();
    MixFigures {
        carry_m: mean * METRES_PER_YARD,
        carry_sd_m: spread.map(|variance| variance.sqrt() * METRES_PER_YARD),
        mishit_rate: mishits.map(|found| found.share),
    }
}

/// A club's mishit rate over the mix; `None` while a lie has no judged strike.
fn mixed_rate(two: &Two<'_>, side: usize, groups: &[(LieGroup, f64)]) -> Option<Share> {
    let club = [two.candidate, two.incumbent][side];
    let rate = |(lie, share): &(LieGroup, f64)| {
        let rate = survey::mishit_rate(two.survey.doing(club, two.job(Some(*lie))));
        Some((*share, rate.found()?))
    };
    let parts: Vec<(f64, Share)> = groups.iter().map(rate).collect::<Option<_>>()?;
    Some(stats::weighted_shares(&parts))
}

/// The lies share days, so that their differences are not independent: standard errors add.
fn difference(two: &Two<'_>, groups: &[(LieGroup, f64)]) -> Option<Interval> {
    let parts: Vec<(f64, stats::Estimate)> = groups
        .iter()
        .map(|(lie, share)| Some((*share, two.gathered.difference(CARRY, Some(*lie)).ok()?)))
        .collect::<Option<_>>()?;
    let interval = CARRY.interval(&stats::mixed(&parts).ok()?)?;
    Some(Interval { inferred: two.gathered.is_inferred(CARRY), ..interval })
}

fn sentence(two: &Two<'_>, told: &MixOfLies) -> String {
    let [candidate, incumbent] = two.names();
    if !told.lacking.is_empty() {
        let lacking: Vec<String> = told.lacking.iter().map(|lie| lie.from().to_owned()).collect();
        return format!(
            "This mix cannot be told: the two were not hit like for like {}.",
            listed(&lacking)
        );
    }
    let Some(carry) = told.differences.get(CARRY) else {
        return "This mix cannot be told yet: too few shots were repeated within a visit.".into();
    };
    let how = if carry.estimate.is_some_and(|less| less < 0.0) { "less" } else { "more" };
    let said = Said { metric: CARRY, units: two.units }.compared(carry, how);
    format!("Over this mix of lies {candidate} carries {said} than {incumbent}.")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn shares_make_a_whole_and_each_lie_is_named_once() {
        let of = |shares: &[(Lie, f64)]| Mix::of(shares.to_vec());
        assert!(of(&[(Lie::Tee, 60.0), (Lie::Tight, 40.0)]).is_some());
        assert!(of(&[(Lie::Tee, 33.3), (Lie::Tight, 33.3), (Lie::Sand, 33.3)]).is_some());
        assert!(of(&[(Lie::Tee, 60.0), (Lie::Tight, 39.8)]).is_none());
        assert!(of(&[(Lie::Tee, 60.0), (Lie::Tee, 40.0)]).is_none());
        assert!(of(&[(Lie::Tee, 100.0), (Lie::Tight, 0.0)]).is_none());
        assert!(of(&[]).is_none());
        // Fairway and tight lies play alike.
        let mix = of(&[(Lie::Fairway, 30.0), (Lie::Sand, 20.0), (Lie::Tight, 50.0)]).unwrap();
        let groups = mix.groups();
        assert_eq!(groups[0].0, LieGroup::Fairway);
        assert!((groups[0].1 - 0.8).abs() < 1e-12 && (groups[1].1 - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_mixture_spreads_by_its_parts_and_by_how_far_they_lie_apart() {
        let cell = |values: &[f64]| Cell::of(values).unwrap();
        // Variances 1 and 4 about 100 and 90; mixed 3 to 1 the mean is 97.5 and the variance
        // 0.75 × (1 + 2.5²) + 0.25 × (4 + 7.5²) = 20.5.
        let parts = [(0.75, cell(&[99.0, 100.0, 101.0])), (0.25, cell(&[88.0, 90.0, 92.0]))];
        let told = figures(&parts, None);
        assert!((told.carry_m - 97.5 * 0.9144).abs() < 1e-9);
        assert!((told.carry_sd_m.unwrap() - 20.5_f64.sqrt() * 0.9144).abs() < 1e-9);
        let single = [(0.5, cell(&[99.0, 101.0])), (0.5, cell(&[90.0]))];
        assert_eq!(figures(&single, None).carry_sd_m, None);
    }
}
