//! Run and day effects from history, and drift.

use std::collections::BTreeMap;

use evencarry::stats::{
    Cusum, Deviation, Insufficient, PastCell, PlayerSd, day_sd_from_history, run_sd_from_history,
    session_score,
};
use serde_json::Value;

use crate::case::{cases, list, number, numbers, whole};

fn past(cells: &Value) -> Vec<PastCell> {
    let mut keys: BTreeMap<String, u32> = BTreeMap::new();
    let mut key = |value: &Value| {
        let next = u32::try_from(keys.len()).unwrap();
        *keys.entry(value.as_str().unwrap().to_owned()).or_insert(next)
    };
    let mut past = Vec::new();
    for cell in list(cells) {
        past.push(PastCell {
            session: key(&cell[0]),
            club: key(&cell[1]),
            n: whole(&cell[2]),
            mean: number(&cell[3]),
            squares: number(&cell[4]),
        });
    }
    past
}

fn check(group: &'static str, of: impl Fn(&[PastCell], f64) -> Result<PlayerSd, Insufficient>) {
    for case in cases(group) {
        let answer = of(&past(&case.input["cells"]), number(&case.input["floor"]));
        let Some(answer) = case.succeeds(answer) else { continue };
        let tolerance = case.tolerance("run_sd_from_history");
        case.close("sd", answer.sd, &case.output["run_sd"], tolerance);
        assert_eq!(answer.nu, whole(&case.output["nu"]), "{}", case.name);
        match answer.estimate {
            Some(estimate) => case.close("estimate", estimate, &case.output["estimate"], tolerance),
            None => assert!(case.output["estimate"].is_null(), "{}", case.name),
        }
    }
}

#[test]
fn run_effects_from_history() {
    check("run_sd_from_history", run_sd_from_history);
}

#[test]
fn day_effects_from_history() {
    check("day_sd_from_history", day_sd_from_history);
}

#[test]
fn control_charts() {
    for case in cases("cusum") {
        let mut chart = Cusum::default();
        let steps: Result<Vec<_>, _> =
            numbers(&case.input["z"]).into_iter().map(|z| chart.push(z)).collect();
        let Some(steps) = case.succeeds(steps) else { continue };
        let tolerance = case.tolerance("default_relative");
        assert_eq!(steps.len(), list(&case.output["up"]).len());
        for (index, step) in steps.iter().enumerate() {
            case.close("up", step.up, &case.output["up"][index], tolerance);
            case.close("low", step.low, &case.output["low"][index], tolerance);
        }
        let first = steps.iter().position(|step| step.alarm).map(|place| place as u64);
        assert_eq!(first, case.output["first_alarm"].as_u64(), "{}", case.name);
    }
}

#[test]
fn scores_of_sessions() {
    for case in cases("session_scores") {
        let input = |name: &str| number(&case.input[name]);
        for (index, expected) in list(case.output).iter().enumerate() {
            let club = Deviation {
                from_baseline: number(&case.input["club_mean"][index]) - input("baseline"),
                n: whole(&case.input["club_n"][index]),
                sd: input("sd"),
                baseline_variance: case.input.get("baseline_var").map_or(0.0, number),
            };
            let others = list(&case.input["others"][index]).iter().map(|other| Deviation {
                from_baseline: number(&other[0]),
                n: whole(&other[1]),
                sd: number(&other[2]),
                baseline_variance: other.get(3).map_or(0.0, number),
            });
            let score = session_score(&club, others).unwrap();
            case.close("score", score.score, expected, case.tolerance("default_relative"));
        }
    }
}
