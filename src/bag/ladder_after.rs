//! What a swap makes of the ladder: gaps that open and close, clubs that come to carry the same.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    filter::Basis,
    given_up::Two,
    ladder::{Centres, Gap, WIDE_GAP_M},
    metric::{ByMetric, Metric, number_by_metric},
    words::{Said, listed},
};
use crate::shot::{ClubId, Measure};

/// What two clubs of one carry may differ by.
const DIFFERS_BY: [Metric; 5] = [
    Metric::Measured(Measure::Carry),
    Metric::Measured(Measure::LaunchAngle),
    Metric::Measured(Measure::SpinRate),
    Metric::Measured(Measure::Apex),
    Metric::Measured(Measure::Descent),
];

/// The ladder around a candidate once the incumbent has left the bag.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LadderAfter {
    /// The widths from the candidate to its neighbours, shorter first.
    pub gaps: Vec<Gap>,
    /// Clubs that carry the same as the candidate, to within the brief's margin.
    pub overlaps: Vec<ClubId>,
    /// Wide gaps that the swap opens.
    pub opened: Vec<Gap>,
    /// Wide gaps of the ladder before that the swap closes.
    pub closed: Vec<Gap>,
    /// Clubs that carried the same as the incumbent and do not carry the same as the candidate.
    pub overlaps_gone: Vec<ClubId>,
    /// What the candidate and each club that carries the same differ by.
    pub clashes: Vec<Clash>,
    /// The same in a sentence.
    pub words: String,
}

/// A club that carries the same as the candidate.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Clash {
    /// The club.
    pub club: ClubId,
    /// The candidate less that club, mean by mean on the ladder's surface and ball, SI.
    #[schema(schema_with = number_by_metric)]
    pub differs_by: ByMetric<f64>,
}

/// Clubs by carry.
struct Rungs(Vec<(u32, f64)>);

impl Rungs {
    fn of(two: &Two<'_>, centres: &Centres, clubs: impl Iterator<Item = u32>) -> Self {
        let mut rungs: Vec<(u32, f64)> =
            clubs.filter_map(|club| Some((club, centres.get(club)?))).collect();
        rungs.sort_by(|a, b| a.1.total_cmp(&b.1).then_with(|| two.id(a.0).cmp(two.id(b.0))));
        Self(rungs)
    }

    /// Neighbours that lie further apart than a ladder should have.
    fn wide(&self) -> impl Iterator<Item = [(u32, f64); 2]> {
        self.0.windows(2).map(|pair| [pair[0], pair[1]]).filter(|[a, b]| b.1 - a.1 > WIDE_GAP_M)
    }

    /// Clubs that carry the same as one of them.
    fn near(&self, club: u32, margin_m: f64) -> Vec<u32> {
        let own = self.0.iter().find(|(known, _)| *known == club).map(|(_, centre)| *centre);
        let near = |(other, centre): &&(u32, f64)| {
            *other != club && own.is_some_and(|own| (centre - own).abs() <= margin_m)
        };
        self.0.iter().filter(near).map(|(club, _)| *club).collect()
    }
}

/// Reckons the ladder with the candidate in the incumbent's place.
#[must_use]
pub(super) fn after(two: &Two<'_>, centres: &Centres, basis: Option<Basis>) -> LadderAfter {
    let (incumbent, candidate) = (two.incumbent, two.candidate);
    let bag_with = |swapped: u32, without: Option<u32>| {
        let others = two.bag.iter().copied();
        let others = others.filter(move |club| *club != swapped && Some(*club) != without);
        Rungs::of(two, centres, others.chain([swapped]))
    };
    let (before, after) = (bag_with(incumbent, None), bag_with(candidate, Some(incumbent)));
    let gap = |[shorter, longer]: [(u32, f64); 2]| {
        let width_m = longer.1 - shorter.1;
        let (from, to) = (two.id(shorter.0).clone(), two.id(longer.0).clone());
        Gap { from, to, width_m, wide: width_m > WIDE_GAP_M }
    };
    // A wide gap beside the incumbent that stays wide beside the candidate is neither new nor gone.
    let swapped = |[a, b]: [(u32, f64); 2]| {
        [a, b].map(|(club, _)| if club == incumbent { candidate } else { club })
    };
    let clubs = |pair: [(u32, f64); 2]| pair.map(|(club, _)| club);
    let opened = after.wide().filter(|pair| before.wide().all(|b| swapped(b) != clubs(*pair)));
    let closed = before.wide().filter(|pair| after.wide().all(|a| clubs(a) != swapped(*pair)));
    let at = after.0.iter().position(|(club, _)| *club == candidate);
    let around =
        at.map_or(&[][..], |at| &after.0[at.saturating_sub(1)..(at + 2).min(after.0.len())]);
    let near = after.near(candidate, two.margin_m);
    let gone = before
        .near(incumbent, two.margin_m)
        .into_iter()
        .filter(|club| *club != candidate && !near.contains(club));
    let mut told = LadderAfter {
        gaps: around.windows(2).map(|pair| gap([pair[0], pair[1]])).collect(),
        overlaps: near.iter().map(|club| two.id(*club).clone()).collect(),
        opened: opened.map(gap).collect(),
        closed: closed.map(gap).collect(),
        overlaps_gone: gone.map(|club| two.id(club).clone()).collect(),
        clashes: near.iter().map(|club| clash(two, *club, basis)).collect(),
        words: String::new(),
    };
    told.words = sentence(two, &told, at.is_some());
    told
}

fn clash(two: &Two<'_>, club: u32, basis: Option<Basis>) -> Clash {
    let mean = |club: u32, metric: Metric| {
        let cell = two.survey.cell_on(basis?, (club, two.job(None)), metric);
        (!cell.is_empty()).then(|| metric.in_si(cell.mean()))
    };
    let difference =
        |metric: &Metric| Some((*metric, mean(two.candidate, *metric)? - mean(club, *metric)?));
    Clash {
        club: two.id(club).clone(),
        differs_by: ByMetric(DIFFERS_BY.iter().filter_map(difference).collect()),
    }
}

fn sentence(two: &Two<'_>, told: &LadderAfter, is_known: bool) -> String {
    let candidate = two.name(two.candidate);
    if !is_known {
        return format!(
            "{candidate} has no place on the ladder yet: it has no counted carry there."
        );
    }
    let incumbent = two.name(two.incumbent);
    let swap = format!("With {candidate} in place of {incumbent},");
    let said = Said { metric: DIFFERS_BY[0], units: two.units };
    let name = |id: &ClubId| two.player.called(id).to_owned();
    let names = |clubs: &[ClubId]| listed(&clubs.iter().map(name).collect::<Vec<_>>());
    let gap = |gap: &Gap| (said.size(gap.width_m), name(&gap.from), name(&gap.to));
    let opened = told.opened.iter().map(gap);
    let opened =
        opened.map(|(width, from, to)| format!("a gap of {width} opens between {from} and {to}"));
    let closed = told.closed.iter().map(gap);
    let closed = closed
        .map(|(width, from, to)| format!("the gap of {width} between {from} and {to} is gone"));
    let same = (!told.overlaps.is_empty())
        .then(|| format!("{candidate} carries the same as {}", names(&told.overlaps)));
    let parted = (!told.overlaps_gone.is_empty())
        .then(|| format!("{incumbent} no longer overlaps with {}", names(&told.overlaps_gone)));
    let parts: Vec<String> = opened.chain(closed).chain(same).chain(parted).collect();
    if parts.is_empty() {
        return format!("{swap} no wide gap opens and no two clubs come to carry the same.");
    }
    format!("{swap} {}.", listed(&parts))
}
