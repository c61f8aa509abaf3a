//! How each criterion of a brief stands.

use super::answer::{CriterionAnswer, CriterionState, Figure};
use crate::{
    bag::{
        Clause, Criterion, Interval, LikeForLike, Metric, PairQuestion, Standing, Tested,
        measure::unit,
    },
    shot::Measure,
    stats::{self, Of, RunningEvidence, Spread},
};

/// Evidence is capped here in answers: beyond it the number says nothing more.
pub(in crate::bag) const EVIDENCE_CAP: f64 = 1e9;

/// The criteria's entries in the order of the brief's clauses, the spread last.
pub(super) fn criteria(
    clauses: &[Clause],
    pair: &PairQuestion,
    standing: &Standing,
    gathered: &LikeForLike,
) -> Vec<CriterionAnswer> {
    let criterion = |clause| {
        let answer = criterion(clause, pair, standing)?;
        let inferred = gathered.is_inferred(answer.0);
        let interval = Interval { inferred, ..answer.1.interval };
        Some(CriterionAnswer { interval, ..answer.1 })
    };
    let answers = clauses.iter().filter_map(criterion);
    answers.chain([spread_held(standing, gathered)]).collect()
}

fn criterion(
    clause: &Clause,
    pair: &PairQuestion,
    standing: &Standing,
) -> Option<(Metric, CriterionAnswer)> {
    let running = running(clause, pair, standing);
    let quantity = clause.tests.first()?.quantity;
    let tested = Tested::ALL.into_iter().find(|t| t.in_statistics() == quantity.measure)?;
    let metric = Metric::Measured(tested.measure());
    let per_unit = unit(tested.measure());
    let bound =
        |side| clause.tests.iter().find(|test| test.side == side).map(|test| test.bound * per_unit);
    let least = least_evidence(clause, pair, standing);
    let most_against = running.iter().filter_map(|r| r.broken.log_e()).max_by(f64::total_cmp);
    let answer = CriterionAnswer {
        name: clause.criterion,
        metric: metric.name(),
        interval: standing
            .estimates
            .of(quantity)
            .and_then(|estimate| metric.interval(estimate))
            .unwrap_or(Interval::UNKNOWN),
        of: if quantity.of == Of::OwnMean { Figure::OwnMean } else { Figure::Difference },
        at_least: bound(stats::Side::Above),
        at_most: bound(stats::Side::Below),
        state: state(least, most_against, pair.tests.len() + pair.hindered_tests),
        evidence: least.map(|log_e| log_e.exp().min(EVIDENCE_CAP)),
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: pair
            .hindered
            .contains(&quantity)
            .then_some("the spin comes from a club setting, which proves nothing"),
        computed_floor: None,
        floor_deg: None,
        computed_by: None,
    };
    Some((metric, answer))
}

/// The running maxima of a clause's tests.
fn running<'a>(
    clause: &Clause,
    pair: &PairQuestion,
    standing: &'a Standing,
) -> Vec<&'a RunningEvidence> {
    let asked = pair.tests.iter().zip(&standing.maxima.tests);
    asked.filter(|(test, _)| clause.tests.contains(test)).map(|(_, running)| running).collect()
}

/// The least running maximum of a clause's tests, as log e; `None` before the first look.
pub(in crate::bag) fn least_evidence(
    clause: &Clause,
    pair: &PairQuestion,
    standing: &Standing,
) -> Option<f64> {
    let running = running(clause, pair, standing);
    let holds = running.iter().map(|r| r.holds.log_e()).collect::<Option<Vec<f64>>>();
    holds.and_then(|all| all.into_iter().min_by(f64::total_cmp))
}

fn state(least: Option<f64>, most_against: Option<f64>, tests: usize) -> CriterionState {
    // A brief has a handful of tests.
    let disproof = stats::proof() + f64::from(u32::try_from(tests).unwrap_or(u32::MAX)).ln();
    if most_against.is_some_and(|log_e| log_e >= disproof) {
        CriterionState::Broken
    } else if least.is_some_and(|log_e| log_e >= stats::proof()) {
        CriterionState::Met
    } else {
        CriterionState::Open
    }
}

fn spread_held(standing: &Standing, gathered: &LikeForLike) -> CriterionAnswer {
    let log_e = standing.maxima.spread;
    let carry = Metric::Measured(Measure::Carry);
    CriterionAnswer {
        name: Criterion::SpreadHeld,
        metric: carry.name(),
        interval: gathered.spread(carry, None).ratio,
        of: Figure::SpreadRatio,
        at_least: None,
        at_most: Some(stats::SPREAD_RATIO),
        state: Spread::of(log_e).into(),
        evidence: log_e.map(|log_e| log_e.exp().min(EVIDENCE_CAP)),
        evidence_needed: 1.0 / stats::ALPHA,
        hindered_by: None,
        computed_floor: None,
        floor_deg: None,
        computed_by: None,
    }
}
