//! Blocked differences and means.

use evencarry::stats::{
    Cell, Estimate, Insufficient, RunEffect, Shots, Stratum, Variance, blocked_difference,
    blocked_mean,
};
use serde_json::Value;

use crate::case::{Case, cases, cell, list, number};

fn run_effect(input: &Value) -> RunEffect {
    match (input.get("run_sd"), input.get("run_ratio")) {
        (Some(sd), None) => RunEffect::Sd(number(sd)),
        (None, Some(ratio)) => RunEffect::Ratio(number(ratio)),
        _ => RunEffect::None,
    }
}

/// (session, candidate, incumbent) of a list of pairs of series, or of lists of such pairs, one a stratum.
fn cells(sessions: &Value) -> Result<Vec<(u32, Cell, Cell)>, Insufficient> {
    let mut cells = Vec::new();
    for (session, strata) in (0..).zip(list(sessions)) {
        let is_pair = |value: &Value| {
            list(value).iter().all(|series| list(series).iter().all(|value| !value.is_array()))
        };
        let strata = if is_pair(strata) { std::slice::from_ref(strata) } else { list(strata) };
        for pair in strata {
            cells.push((session, cell(&pair[0])?, cell(&pair[1])?));
        }
    }
    Ok(cells)
}

fn difference(input: &Value) -> Result<Estimate, Insufficient> {
    let cells = cells(&input["sessions"])?;
    let variance = if input["variance"] == "pooled" { Variance::Pooled } else { Variance::Welch };
    let strata = cells.iter().map(|(session, candidate, incumbent)| Stratum {
        session: *session,
        candidate,
        incumbent,
    });
    blocked_difference(strata, run_effect(input), variance)
}

fn check(case: &Case, result: Result<Estimate, Insufficient>) {
    let Some(estimate) = case.succeeds(result) else { return };
    let mut fields = vec![
        ("se", estimate.se),
        ("df", estimate.df),
        ("H", estimate.h),
        ("s", estimate.s),
        ("s_within", estimate.s_within),
        ("sessions", f64::from(estimate.sessions)),
    ];
    match estimate.shots {
        Shots::Pair { candidate, incumbent } => fields.extend([
            ("difference", estimate.centre),
            ("n_a", f64::from(candidate)),
            ("n_b", f64::from(incumbent)),
        ]),
        Shots::Single(n) => fields.extend([("mean", estimate.centre), ("n", f64::from(n))]),
    }
    case.fields(case.tolerance("default_relative"), &fields);
}

#[test]
fn differences_within_sessions() {
    for case in cases("blocked_difference") {
        check(&case, difference(case.input));
    }
}

#[test]
fn differences_within_strata_of_sessions() {
    for case in cases("blocked_difference_strata") {
        check(&case, difference(case.input));
    }
}

#[test]
fn means_over_sessions() {
    for case in cases("blocked_mean") {
        let cells: Result<Vec<Cell>, _> = list(&case.input["sessions"]).iter().map(cell).collect();
        check(&case, cells.and_then(|cells| blocked_mean(&cells, run_effect(case.input))));
    }
}
