//! The likelihood ratio, e-values, anytime-valid intervals and forecasts.

use evencarry::stats::{
    DELTAS, Estimate, Forecast, Insufficient, Look, Prior, Side, Test, anytime_interval, anytime_t,
    nct_log_ratio, nct_log_ratio_laplace, two_sided_log_e,
};
use serde_json::Value;

use crate::case::{cases, estimate, file, list, number, numbers, quantity, side, tolerance, whole};

/// The estimate of a case, unless the case says that there is none: then no look is possible.
fn given(value: &Value) -> Option<Estimate> {
    value.get("state").is_none().then(|| estimate(value))
}

fn check_ratios(
    group: &str,
    tolerance: f64,
    ratio: impl Fn(f64, f64, f64) -> Result<f64, Insufficient>,
) {
    let table = &file()["cases"][group];
    assert_eq!(table["columns"], serde_json::json!(["t", "df", "ncp", "log_ratio"]));
    let rows = list(&table["rows"]);
    assert!(rows.len() > 50);
    for row in rows.iter().map(numbers) {
        let [t, df, ncp, expected] = row[..] else { panic!("{row:?}") };
        let off = (ratio(t, df, ncp).unwrap() - expected).abs();
        assert!(off <= tolerance * expected.abs().max(1.0), "{group} {row:?}: off by {off:e}");
    }
}

#[test]
fn noncentral_ratios_against_long_arithmetic() {
    check_ratios("nct_log_ratio", tolerance("nct_log_ratio"), nct_log_ratio);
}

#[test]
fn ratios_by_laplaces_method() {
    check_ratios("nct_log_ratio_laplace", tolerance("nct_log_ratio"), nct_log_ratio_laplace);
}

#[test]
fn ratios_of_what_is_no_number_are_refused() {
    for (t, df, ncp) in
        [(f64::NAN, 5.0, 1.0), (1.0, f64::INFINITY, 1.0), (1.0, 0.0, 1.0), (1.0, 5.0, f64::NAN)]
    {
        assert_eq!(nct_log_ratio(t, df, ncp), Err(Insufficient::NotFinite));
        assert_eq!(nct_log_ratio_laplace(t, df, ncp), Err(Insufficient::NotFinite));
    }
}

#[test]
fn one_sided_evidence() {
    for case in cases("safe_t_log_e") {
        let Some(estimate) = given(&case.input["est"]) else {
            assert_eq!(case.output["state"], "insufficient");
            continue;
        };
        let side = if case.input["greater"].as_bool().unwrap() { Side::Above } else { Side::Below };
        let log_e = Look::at(&estimate).unwrap().log_e(number(&case.input["bound"]), side, &DELTAS);
        case.close("log e", log_e, case.output, case.tolerance("safe_t_log_e"));
    }
}

#[test]
fn evidence_for_each_test_of_a_brief_and_for_its_opposite() {
    for case in cases("criteria_logs") {
        let tests = list(&case.input["brief"]);
        assert_eq!(tests.len(), list(case.output).len());
        for (test, expected) in tests.iter().zip(list(case.output)) {
            let given = given(&case.input["estimates"][test[0].as_str().unwrap()]);
            let Some(estimate) = given else {
                assert_eq!(expected["state"], "insufficient");
                continue;
            };
            let evidence = Look::at(&estimate).unwrap().evidence(&crate::case::test(test));
            let tolerance = case.tolerance("safe_t_log_e");
            case.close("holds", evidence.holds, &expected["log_e_holds"], tolerance);
            case.close("broken", evidence.broken, &expected["log_e_broken"], tolerance);
        }
    }
}

#[test]
fn two_sided_evidence() {
    for case in cases("two_sided_log_e") {
        let log_e = two_sided_log_e(&estimate(&case.input["est"]), number(&case.input["bound"]));
        case.close("log e", log_e.unwrap(), case.output, case.tolerance("safe_t_log_e"));
    }
}

#[test]
fn the_t_at_which_an_interval_ends() {
    for case in cases("anytime_t") {
        let t = anytime_t(number(&case.input["df"]), number(&case.input["H"])).unwrap();
        let Some(t) = case.exists(t) else { continue };
        case.close("t", t, case.output, case.tolerance("anytime"));
    }
}

#[test]
fn anytime_valid_intervals() {
    for case in cases("anytime_interval") {
        let Some(estimate) = given(&case.input["est"]) else {
            assert_eq!(case.output["state"], "insufficient");
            continue;
        };
        let interval = anytime_interval(&estimate).unwrap();
        let (low, high) = interval.ends.expect("ends");
        let t = anytime_t(estimate.df, estimate.h).unwrap().expect("a root");
        case.fields(
            case.tolerance("anytime"),
            &[("estimate", interval.estimate), ("t", t), ("low", low), ("high", high)],
        );
    }
}

#[test]
fn shots_still_needed() {
    for case in cases("further_shots") {
        let Some(estimate) = given(&case.input["est"]) else {
            assert_eq!(case.output["state"], "insufficient");
            continue;
        };
        let or = |name: &str, default: f64| case.input.get(name).map_or(default, number);
        let prior = Prior { mean: or("prior_mean", 0.0), sd: or("prior_sd", 2.5) };
        let forecast = Forecast {
            prior: prior.sd.is_finite().then_some(prior),
            run_ratio: or("run_ratio", 0.0),
            shots_per_session: case.input.get("per_session").map_or(15, whole),
        };
        let test = Test {
            quantity: quantity("carry_yd"),
            bound: number(&case.input["bound"]),
            side: side(&case.input["side"]),
        };
        let shots = forecast.further_shots(&estimate, &test, number(&case.input["running_log_e"]));
        let Some(shots) = case.exists(shots) else { continue };
        assert_eq!(shots, whole(case.output), "{}", case.name);
    }
}
