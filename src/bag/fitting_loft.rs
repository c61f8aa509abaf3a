//! Which loft of a family of clubs would fill a slot.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    club::NamedClub,
    filter::Basis,
    given_up::Two,
    metric::{ByMetric, Interval, Metric, number_by_metric},
    pair::run_effect,
    survey::Group,
    words::listed,
};
use crate::{
    shot::{ClubId, Measure, spoken},
    stats::{self, Cell, Estimate, Of},
};

/// A loft may lie so far beyond the two that were hit, degrees (common practice, no source).
const BEYOND_AT_MOST_DEG: f64 = 1.0;

const CARRY: Metric = Metric::Measured(Measure::Carry);
const FLIGHT: [Metric; 2] =
    [Metric::Measured(Measure::LaunchAngle), Metric::Measured(Measure::SpinRate)];

/// The loft at which a family's carry would meet the wanted one: a straight line between two
/// siblings that were hit. No club was hit at that loft.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FittingLoft {
    /// The loft, degrees.
    pub loft_deg: f64,
    /// Lower end, from the ends of the two carries; null where it is not known or lies beyond the two
    /// lofts.
    pub low: Option<f64>,
    /// Upper end, likewise.
    pub high: Option<f64>,
    /// The two clubs, the stronger loft first.
    pub from: [ClubId; 2],
    /// Their lofts.
    pub lofts_deg: [f64; 2],
    /// What that loft would launch and spin, less the incumbent, SI; only what both were compared in.
    #[schema(schema_with = number_by_metric)]
    pub differs_by: ByMetric<f64>,
    /// That it is an estimate: always true.
    pub estimate: bool,
    /// The same in a sentence.
    pub words: String,
}

/// A sibling with how far its carry is from the wanted one, metres.
struct Sibling {
    club: u32,
    loft: f64,
    off: Interval,
}

/// A wanted carry in place of the incumbent's own.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slot {
    /// Its middle, metres.
    pub middle_m: f64,
    /// The surface and ball that own carries are taken from.
    pub basis: Option<Basis>,
}

/// Looks along the candidate's family.
pub(super) fn fitting_loft(two: &Two<'_>, slot: Option<Slot>) -> Option<FittingLoft> {
    let own = &two.player.clubs[two.candidate as usize];
    let mut siblings: Vec<Sibling> = (0_u32..)
        .zip(two.player.clubs)
        .filter(|(number, club)| *number != two.incumbent && is_sibling(own, club))
        .filter_map(|(number, club)| {
            let off = off(two, number, slot).filter(|off| off.estimate.is_some())?;
            Some(Sibling { club: number, loft: club.loft_deg()?, off })
        })
        .collect();
    siblings.sort_by(|a, b| a.loft.total_cmp(&b.loft));
    // The two lofts between which the wanted carry lies; else the end that comes nearest to it.
    let pairs = siblings.windows(2).filter_map(|two| line([&two[0], &two[1]]));
    let best = pairs.min_by(|a, b| a.beyond().total_cmp(&b.beyond()))?;
    (best.beyond() <= BEYOND_AT_MOST_DEG).then(|| told(two, &best))
}

/// Clubs of one model, kind and shaft; the club itself too.
fn is_sibling(own: &NamedClub, other: &NamedClub) -> bool {
    let family = |club: &NamedClub| {
        let club = &club.document;
        (club.model.clone(), club.kind, club.shaft.clone())
    };
    own.document.model.is_some() && !other.removed && family(own) == family(other)
}

/// How far a club's carry is from the wanted one, metres: like for like with the incumbent, or its
/// own mean against the slot.
fn off(two: &Two<'_>, club: u32, slot: Option<Slot>) -> Option<Interval> {
    let Some(slot) = slot else {
        let job = two.job(None);
        let met = two.survey.met((club, job), (two.incumbent, job));
        let run = run_effect(CARRY.quantity(Of::Difference), None);
        return CARRY.interval(&met.difference(CARRY, run).ok()?);
    };
    let shift = |end: Option<f64>| end.map(|end| end - slot.middle_m);
    let Interval { estimate, low, high, inferred } =
        CARRY.interval(&own_mean(two, club, slot.basis)?)?;
    Some(Interval { estimate: shift(estimate), low: shift(low), high: shift(high), inferred })
}

fn own_mean(two: &Two<'_>, club: u32, basis: Option<Basis>) -> Option<Estimate> {
    let mut sessions: Vec<(u32, Cell)> = Vec::new();
    let groups = two.survey.doing(club, two.job(None));
    for group in groups.filter(|group| Some(group.basis()) == basis) {
        let cell = two.survey.cell(std::iter::once::<&Group>(group), CARRY);
        match sessions.iter_mut().find(|(session, _)| *session == group.session) {
            Some((_, sum)) => *sum = sum.merge(&cell),
            None => sessions.push((group.session, cell)),
        }
    }
    let run = CARRY.quantity(Of::OwnMean).run_effect_floor();
    stats::blocked_mean(sessions.iter().map(|(_, cell)| cell), run).ok()
}

/// A straight line through two siblings.
struct Line<'s> {
    ends: [&'s Sibling; 2],
    loft: f64,
}

/// `None` where the stronger loft does not carry further, so that the line says nothing.
fn line(ends: [&Sibling; 2]) -> Option<Line<'_>> {
    let [stronger, weaker] = ends.map(|end| end.off.estimate);
    Some(Line { ends, loft: crossing([ends[0].loft, ends[1].loft], [stronger?, weaker?])? })
}

impl Line<'_> {
    /// How far the loft lies beyond the two, degrees.
    fn beyond(&self) -> f64 {
        let [stronger, weaker] = self.ends.map(|end| end.loft);
        (stronger - self.loft).max(self.loft - weaker).max(0.0)
    }

    /// Where between the two the loft lies: 0 at the stronger one.
    fn share(&self) -> f64 {
        let [stronger, weaker] = self.ends.map(|end| end.loft);
        (self.loft - stronger) / (weaker - stronger)
    }
}

/// The loft at which a line through two points is zero.
fn crossing([stronger, weaker]: [f64; 2], [at_stronger, at_weaker]: [f64; 2]) -> Option<f64> {
    let fall = at_stronger - at_weaker;
    (fall > 0.0 && weaker > stronger).then(|| stronger + (weaker - stronger) * (at_stronger / fall))
}

fn told(two: &Two<'_>, line: &Line<'_>) -> FittingLoft {
    let lofts = line.ends.map(|end| end.loft);
    let end = |of: fn(&Interval) -> Option<f64>| {
        let [stronger, weaker] = line.ends.map(|sibling| of(&sibling.off));
        let loft = crossing(lofts, [stronger?, weaker?])?;
        let within = lofts[0] - BEYOND_AT_MOST_DEG..=lofts[1] + BEYOND_AT_MOST_DEG;
        within.contains(&loft).then_some(loft)
    };
    let job = two.job(None);
    let flight = |metric: &Metric| {
        let of = |sibling: &Sibling| {
            let met = two.survey.met((sibling.club, job), (two.incumbent, job));
            let run = run_effect(metric.quantity(Of::Difference), None);
            met.difference(*metric, run).ok().map(|found| found.centre)
        };
        let [stronger, weaker] = line.ends.map(of);
        Some((*metric, stronger? + (weaker? - stronger?) * line.share()))
    };
    let from = line.ends.map(|end| two.player.clubs[end.club as usize].id.clone());
    let mut told = FittingLoft {
        loft_deg: line.loft,
        low: end(|off| off.low),
        high: end(|off| off.high),
        from,
        lofts_deg: lofts,
        differs_by: ByMetric(FLIGHT.iter().filter_map(flight).collect()),
        estimate: true,
        words: String::new(),
    };
    told.words = sentence(&told, line.ends.map(|end| two.name(end.club)));
    told
}

fn sentence(told: &FittingLoft, [stronger, weaker]: [&str; 2]) -> String {
    let [low, high] = told.lofts_deg.map(spoken::angle);
    let loft = spoken::angle(told.loft_deg);
    let range = match told.low.zip(told.high) {
        Some(ends) => {
            let [low, high] = [ends.0, ends.1].map(spoken::angle);
            format!(" ({low} to {high})")
        }
        None => String::new(),
    };
    let from = listed(&[format!("{stronger} ({low})"), format!("{weaker} ({high})")]);
    format!(
        "By a straight line between {from}, a loft of {loft}{range} would carry as wanted. It is an estimate: that loft was not hit."
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn the_line_through_two_carries_crosses_zero_where_it_is_reckoned_by_hand() {
        // 24° carries 6 m more than wanted, 28° carries 10 m less: 16 m over 4°, so 24 + 6/4.
        assert_eq!(crossing([24.0, 28.0], [6.0, -10.0]), Some(25.5));
        // Both are longer: the line is followed beyond.
        assert_eq!(crossing([24.0, 28.0], [12.0, 4.0]), Some(30.0));
        // A stronger loft that carries no further tells nothing.
        assert_eq!(crossing([24.0, 28.0], [-2.0, 3.0]), None);
        assert_eq!(crossing([24.0, 24.0], [3.0, -2.0]), None);
    }

    #[test]
    fn what_lies_beyond_the_two_lofts_is_told_apart() {
        let sibling = |loft, off| Sibling {
            club: 0,
            loft,
            off: Interval { estimate: Some(off), ..Interval::UNKNOWN },
        };
        let (a, b) = (sibling(24.0, 6.0), sibling(28.0, -10.0));
        let within = line([&a, &b]).unwrap();
        assert!(within.beyond().abs() < 1e-12 && (within.share() - 0.375).abs() < 1e-12);
        let (a, b) = (sibling(24.0, 12.0), sibling(28.0, 4.0));
        assert!((line([&a, &b]).unwrap().beyond() - 2.0).abs() < 1e-12);
    }
}
