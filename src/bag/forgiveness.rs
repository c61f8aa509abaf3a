//! How much a club forgives: how often a strike goes wrong, how, and what that costs.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    metric::{Interval, Metric},
    rate::Rate,
    row::{Row, Stratum},
    survey::{self, Group, Survey},
    words::{self, Said},
};
use crate::{
    shot::{Measure, Units},
    stats::{self, Cell, Estimate, Insufficient, RunEffect, Variance},
};

/// Good shots with a figure before mishits are named by it: those that the screen waits for, too.
const NAMED_FROM: usize = stats::MISHIT_MIN_N;
/// A strike so much lower on the face than the club's median is thin, mm (common practice, no
/// source): a third of the way from the middle of a face to its leading edge.
const THIN_BELOW_MM: f64 = 8.0;
/// And so much lower it is topped, mm: the leading edge then meets the ball about its middle, whose
/// radius is 21.3 mm (Equipment Rules: a ball is 42.67 mm wide at least; the rest is common practice,
/// no source).
const TOPPED_BELOW_MM: f64 = 16.0;
/// A launch so many robust sds below the club's median is thin (common practice, no source).
const THIN_LAUNCH_Z: f64 = -2.0;
/// The least robust sd of launch that is reckoned with, degrees: devices round to a tenth or so.
const LAUNCH_SCALE_FLOOR_DEG: f64 = 0.5;
/// A launch under this share of the club's median is topped: the ball runs or dives (common
/// practice, no source).
const TOPPED_LAUNCH_SHARE: f64 = 1.0 / 3.0;

const CARRY: Metric = Metric::Measured(Measure::Carry);

/// Strikes that go wrong, and what that costs.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Forgiveness {
    /// The share of judged strikes that the screen found to be mishits.
    pub mishit_rate: Rate,
    /// Full swings of stock height that no screen could judge: no ball speed was measured. They
    /// count as good shots.
    pub unscreened: usize,
    /// The mishits by kind.
    pub mishit_kinds: MishitKinds,
    /// What one costs.
    pub mishit_cost: MishitCost,
    /// The same in a sentence.
    pub words: String,
}

/// Mishits by how the ball was met. A fat strike cannot be told from the ball alone, and is among
/// the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct MishitKinds {
    /// Met low on the face: 8 to 16 mm below the club's own median strike, or without a strike
    /// height a launch two robust sds below its own median.
    pub thin: usize,
    /// Met about its middle by the leading edge: more than 16 mm below, or a launch under a third of
    /// the median.
    pub topped: usize,
    /// All others: fat, off the heel or toe, or nothing tells.
    pub other: usize,
}

/// How much shorter mishits carry.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct MishitCost {
    /// Mishits with a carry.
    pub n: usize,
    /// Mean carry of the counted shots less that of the mishits, within lies and balls, metres.
    pub carry_m: Interval,
}

/// The strikes of a club in some groups.
#[derive(Debug)]
pub(super) struct Strikes<'s> {
    survey: &'s Survey<'s>,
    groups: Vec<&'s Group>,
}

impl<'s> Strikes<'s> {
    /// Of some groups of one club.
    pub(super) fn of(survey: &'s Survey<'s>, groups: impl Iterator<Item = &'s Group>) -> Self {
        Self { survey, groups: groups.collect() }
    }

    fn good(&self) -> impl Iterator<Item = &'s Row> {
        let survey = self.survey;
        self.groups.iter().flat_map(move |group| survey.counted(group))
    }

    fn wrong(&self) -> impl Iterator<Item = &'s Row> {
        let survey = self.survey;
        self.groups.iter().flat_map(move |group| survey.mishits(group))
    }

    /// How many mishits there are.
    pub(super) fn mishits(&self) -> usize {
        self.wrong().count()
    }

    /// Their share of what was judged.
    pub(super) fn rate(&self) -> Rate {
        survey::mishit_rate(self.groups.iter().copied())
    }

    /// Everything about them.
    pub(super) fn forgiveness(&self, units: Units) -> Forgiveness {
        let (rate, cost) = (self.rate(), self.cost());
        let kinds = self.kinds();
        let all: usize = self.groups.iter().map(|group| group.all()).sum();
        Forgiveness {
            mishit_rate: rate,
            unscreened: all.saturating_sub(rate.n),
            mishit_kinds: kinds,
            words: sentence(&rate, kinds, &cost, units),
            mishit_cost: cost,
        }
    }

    fn kinds(&self) -> MishitKinds {
        if self.mishits() == 0 {
            return MishitKinds::default();
        }
        let good: Vec<&Row> = self.good().collect();
        let low = Low::of(&good);
        self.wrong().fold(MishitKinds::default(), |mut kinds, row| {
            match low.kind(row) {
                Some(Kind::Thin) => kinds.thin += 1,
                Some(Kind::Topped) => kinds.topped += 1,
                None => kinds.other += 1,
            }
            kinds
        })
    }

    fn cost(&self) -> MishitCost {
        let inferred = self.good().chain(self.wrong()).any(|row| CARRY.is_inferred(row));
        let interval = self.cost_estimate().ok().and_then(|cost| CARRY.interval(&cost));
        let known = interval.unwrap_or_else(|| Interval {
            estimate: self.mean_cost().map(|cost| CARRY.in_si(cost)),
            ..Interval::UNKNOWN
        });
        MishitCost {
            n: self.wrong().filter_map(|row| CARRY.value(row)).count(),
            carry_m: Interval { inferred, ..known },
        }
    }

    /// The cost as an estimate, in yards, within lies and balls. One club is compared with itself: the
    /// day's effect on it is on both sides, and none is allowed for.
    pub(super) fn cost_estimate(&self) -> Result<Estimate, Insufficient> {
        let strata = self.carries();
        let strata = strata.iter().map(|[good, mishits]| stats::Stratum {
            session: 0,
            candidate: good,
            incumbent: mishits,
        });
        stats::blocked_difference(strata, RunEffect::None, Variance::Welch)
    }

    /// The same where too few mishits say how they scatter: with the same weights, and nothing that
    /// bounds it.
    fn mean_cost(&self) -> Option<f64> {
        let strata = self.carries().into_iter().filter(|both| both.iter().all(|c| !c.is_empty()));
        let (sum, weights) = strata.fold((0.0, 0.0), |(sum, weights), [good, mishits]| {
            let (a, b) = (f64::from(good.n()), f64::from(mishits.n()));
            let weight = a * b / (a + b);
            (sum + weight * (good.mean() - mishits.mean()), weights + weight)
        });
        (weights > 0.0).then(|| sum / weights)
    }

    /// Carries of good shots and of mishits from each lie with each ball, in yards.
    fn carries(&self) -> Vec<[Cell; 2]> {
        let mut strata: Vec<(Stratum, [Cell; 2])> = Vec::new();
        for group in &self.groups {
            let good = self.survey.cell(std::iter::once(*group), CARRY);
            let mut wrong = Cell::default();
            for carry in self.survey.mishits(group).filter_map(|row| CARRY.evidence(row)) {
                // A stored carry is finite by the schema's bounds.
                let _ = wrong.push(carry);
            }
            match strata.iter_mut().find(|(known, _)| *known == group.stratum) {
                Some((_, sums)) => *sums = [sums[0].merge(&good), sums[1].merge(&wrong)],
                None => strata.push((group.stratum, [good, wrong])),
            }
        }
        strata.into_iter().map(|(_, cells)| cells).collect()
    }
}

/// How a ball was met that was met low.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Thin,
    Topped,
}

/// What is low for a club, by its own good shots.
struct Low {
    /// Thin and topped below these strike heights, mm.
    strike: Option<[f64; 2]>,
    /// Thin and topped below these launch angles, degrees.
    launch: Option<[f64; 2]>,
}

impl Low {
    fn of(good: &[&Row]) -> Self {
        let values = |measure: Measure| -> Option<(f64, f64)> {
            let values: Vec<f64> =
                good.iter().filter_map(|row| row.measures.get(measure)).collect();
            let middle = stats::median(&values).ok()??;
            let scale = stats::mad_scale(&values).ok()??;
            (values.len() >= NAMED_FROM).then_some((middle, scale))
        };
        let strike = values(Measure::StrikeHigh)
            .map(|(middle, _)| [middle - THIN_BELOW_MM, middle - TOPPED_BELOW_MM]);
        let launch = values(Measure::LaunchAngle).map(|(middle, scale)| {
            let thin = middle + THIN_LAUNCH_Z * scale.max(LAUNCH_SCALE_FLOOR_DEG);
            [thin, thin.min(middle * TOPPED_LAUNCH_SHARE)]
        });
        Self { strike, launch }
    }

    /// By the height of the strike where it was measured, else by the launch.
    fn kind(&self, row: &Row) -> Option<Kind> {
        let by = |bounds: Option<[f64; 2]>, measure| bounds.zip(row.measures.get(measure));
        let by_strike = by(self.strike, Measure::StrikeHigh);
        let ([thin, topped], value) =
            by_strike.or_else(|| by(self.launch, Measure::LaunchAngle))?;
        if value < topped { Some(Kind::Topped) } else { (value < thin).then_some(Kind::Thin) }
    }
}

fn sentence(rate: &Rate, kinds: MishitKinds, cost: &MishitCost, units: Units) -> String {
    let Some(share) = rate.share else {
        return "No strike could be judged: no ball speed was measured.".into();
    };
    let mishits = kinds.thin + kinds.topped + kinds.other;
    if mishits == 0 {
        return format!("None of its {} strikes went wrong.", rate.n);
    }
    let named: Vec<String> = [(kinds.thin, "thin"), (kinds.topped, "topped")]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, name)| format!("{count} {name}"))
        .collect();
    let named = if named.is_empty() { String::new() } else { format!(", {}", named.join(", ")) };
    let costs = cost.carry_m.estimate.map_or_else(String::new, |_| {
        let said = Said { metric: CARRY, units };
        format!(", and a mishit costs {} of carry", said.bounded(&cost.carry_m))
    });
    format!(
        "{mishits} of its {} strikes went wrong ({}){named}{costs}.",
        rate.n,
        words::share(share)
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::bag::rows;

    fn row(strike: Option<f64>, launch: f64, carry: f64) -> Row {
        let mut row = rows::row(&[(Measure::LaunchAngle, launch), (Measure::Carry, carry)]);
        if let Some(strike) = strike {
            row.measures.set(Measure::StrikeHigh, strike);
        }
        row
    }

    fn told(good: &[Row], mishits: &[Row]) -> Forgiveness {
        let rows = [good, mishits].concat();
        let survey = Survey::of_strikes(&rows, good.len(), true);
        Strikes::of(&survey, survey.groups(0)).forgiveness(Units::Si)
    }

    /// Launches 13 to 17 about a median of 15: MAD 1, scale 1.4826; carries 150 to 154.
    fn good(strike: Option<f64>) -> Vec<Row> {
        (0..10).map(|n| row(strike, 13.0 + f64::from(n % 5), 150.0 + f64::from(n % 5))).collect()
    }

    #[test]
    fn a_mishit_is_named_by_its_strike_and_without_one_by_its_launch() {
        let kinds = |mishit: Row| {
            let measured = mishit.measures.get(Measure::StrikeHigh).map(|_| 2.0);
            told(&good(measured), &[mishit]).mishit_kinds
        };
        let named = |thin, topped, other| MishitKinds { thin, topped, other };
        // The median strike is 2 mm above the middle: thin below −6, topped below −14.
        assert_eq!(kinds(row(Some(-5.0), 3.0, 120.0)), named(0, 0, 1));
        assert_eq!(kinds(row(Some(-7.0), 15.0, 120.0)), named(1, 0, 0));
        assert_eq!(kinds(row(Some(-15.0), 15.0, 40.0)), named(0, 1, 0));
        // The median launch is 15°: thin below 15 − 2 × 1.4826 = 12.03, topped below 5.
        assert_eq!(kinds(row(None, 12.1, 120.0)), named(0, 0, 1));
        assert_eq!(kinds(row(None, 12.0, 120.0)), named(1, 0, 0));
        assert_eq!(kinds(row(None, 4.9, 40.0)), named(0, 1, 0));
        // Seven good shots say nothing yet.
        let few = told(&good(None)[..7], &[row(None, 4.0, 40.0)]);
        assert_eq!(few.mishit_kinds, named(0, 0, 1));
    }

    #[test]
    fn a_mishit_costs_the_distance_between_the_means() {
        let mishits = [row(None, 15.0, 130.0), row(None, 15.0, 134.0)];
        let all = told(&good(None), &mishits);
        let cost = all.mishit_cost;
        assert_eq!(cost.n, 2);
        // 152 on average against 132.
        assert!((cost.carry_m.estimate.unwrap() - 20.0).abs() < 1e-9);
        assert_eq!(all.mishit_rate.n, 12);
        assert!(
            all.words.starts_with("2 of its 12 strikes went wrong (17 %), and a mishit costs 20 m"),
            "{}",
            all.words
        );
        // A single one has a mean and nothing that bounds it.
        let one = told(&good(None), &mishits[..1]).mishit_cost.carry_m;
        assert!((one.estimate.unwrap() - 22.0).abs() < 1e-9 && one.low.is_none());
    }

    #[test]
    fn what_a_lie_takes_is_no_cost_of_a_mishit() {
        let from_rough = |mut row: Row| {
            row.lie = Some(crate::shot::Lie::HeavyRough);
            row
        };
        let mut all = good(None);
        all.extend((0..2_u8).map(|n| from_rough(row(None, 15.0, 120.0 + f64::from(n)))));
        // Two mishits from the rough, ten shorter than its good shots; none from the mat.
        let mishits = [110.0, 111.0].map(|carry| from_rough(row(None, 15.0, carry)));
        let cost = told(&all, &mishits).mishit_cost.carry_m.estimate.unwrap();
        assert!((cost - 10.0).abs() < 1e-9, "{cost}");
    }

    #[test]
    fn what_nobody_could_judge_is_said() {
        let rows = good(None);
        let survey = Survey::of_strikes(&rows, rows.len(), false);
        let told = Strikes::of(&survey, survey.groups(0)).forgiveness(Units::Si);
        assert_eq!((told.unscreened, told.mishit_rate.share), (10, None));
        assert!(told.words.contains("could be judged"), "{}", told.words);
    }
}
