//! Spread, one- and two-dimensional.

use evencarry::stats::{Cell, Insufficient, ellipse, log_variance_ratio};
use serde_json::Value;

use crate::case::{cases, cell, list, number, numbers};

fn cells(sessions: &Value) -> Result<Vec<Cell>, Insufficient> {
    list(sessions).iter().map(cell).collect()
}

#[test]
fn ratios_of_variances() {
    for case in cases("log_variance_ratio") {
        let ratio = cells(&case.input["a_sessions"]).and_then(|a| {
            cells(&case.input["b_sessions"]).and_then(|b| log_variance_ratio(&a, &b))
        });
        let Some(ratio) = case.succeeds(ratio) else { continue };
        case.fields(
            case.tolerance("default_relative"),
            &[
                ("log_ratio", ratio.log_ratio),
                ("kurtosis", ratio.kurtosis),
                ("sd", ratio.sd),
                ("z", ratio.z),
                ("log_e_worse", ratio.log_e_worse),
            ],
        );
    }
}

#[test]
fn ellipses_of_shots() {
    for case in cases("ellipse") {
        let [side, carry] = [&case.input["side"], &case.input["carry"]].map(numbers);
        let Some(e) = case.succeeds(ellipse(&side, &carry, number(&case.input["coverage"]))) else {
            continue;
        };
        let tolerance = case.tolerance("default_relative");
        for axis in 0..2 {
            case.close("centre", e.centre[axis], &case.output["centre"][axis], tolerance);
            case.close("sd", e.sd[axis], &case.output["sd"][axis], tolerance);
        }
        for (name, actual) in [
            ("rho", e.rho),
            ("semi_major", e.semi_major),
            ("semi_minor", e.semi_minor),
            ("angle_deg", e.angle_deg),
            ("area", e.area),
        ] {
            case.close(name, actual, &case.output[name], tolerance);
        }
    }
}
