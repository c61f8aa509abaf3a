//! Every constant of the method, and the list of what is checked.

use evencarry::stats as s;
use evencarry::stats::{Measure, Of, Prior, Quantity, RunEffect};
use serde_json::{Value, json};

use crate::case::file;

fn priors(prior: impl Fn(Measure) -> Option<Prior>) -> Value {
    let pair = |measure| {
        let prior = prior(measure).expect("a prior");
        json!([prior.mean, prior.sd])
    };
    json!({"carry_yd": pair(Measure::Carry), "launch_deg": pair(Measure::Launch), "spin_rpm": pair(Measure::Spin)})
}

#[test]
fn every_constant_is_that_of_the_reference() {
    let ours = json!({
        "ALPHA": s::ALPHA, "DELTAS": s::DELTAS,
        "RUN_SD": {"carry_yd": s::RUN_SD_CARRY_YD, "launch_deg": s::RUN_SD_LAUNCH_DEG, "spin_rpm": s::RUN_SD_SPIN_RPM},
        "RUN_RATIO": s::RUN_RATIO, "RUN_PRIOR_DF": s::RUN_PRIOR_DF,
        "MIN_SHOTS": s::MIN_SHOTS, "MIN_SESSIONS": s::MIN_SESSIONS,
        "MISHIT_Z": s::MISHIT_Z, "MISHIT_MIN_N": s::MISHIT_MIN_N,
        "SMASH_SCALE_FLOOR": s::SMASH_SCALE_FLOOR, "SPEED_SCALE_FLOOR": s::SPEED_SCALE_FLOOR,
        "CARRY_MARGIN_YD": s::CARRY_MARGIN_YD,
        "LAUNCH_LOWER_BY_DEG": s::LAUNCH_LOWER_BY_DEG, "LAUNCH_DROP_AT_MOST_DEG": s::LAUNCH_DROP_AT_MOST_DEG,
        "SPIN_LOWER_BY_RPM": s::SPIN_LOWER_BY_RPM, "SPIN_DROP_AT_MOST_RPM": s::SPIN_DROP_AT_MOST_RPM,
        "MEAN_RUN_SD": {
            "carry_yd": s::MEAN_RUN_SD_CARRY_YD, "launch_deg": s::MEAN_RUN_SD_LAUNCH_DEG, "spin_rpm": s::MEAN_RUN_SD_SPIN_RPM,
        },
        "MEAN_RUN_RATIO": s::MEAN_RUN_RATIO, "INTERVAL_DELTAS": s::INTERVAL_DELTAS,
        "FORECAST_PRIOR": priors(Measure::forecast_prior), "OUTLOOK_PRIOR": priors(Measure::outlook_prior),
        "OUTLOOK_MIN_SHOTS": s::OUTLOOK_MIN_SHOTS,
        "HUBER_K": s::HUBER_K, "MAD_CONSISTENCY": s::MAD_CONSISTENCY,
        "SPREAD_RATIO": s::SPREAD_RATIO, "SPREAD_DELTAS": s::SPREAD_DELTAS,
        "SPREAD_MIN_SHOTS": s::SPREAD_MIN_SHOTS, "SPREAD_KURTOSIS_FLOOR": s::SPREAD_KURTOSIS_FLOOR,
        "CUSUM_K": s::CUSUM_K, "CUSUM_H": s::CUSUM_H, "DRIFT_BASELINE_SESSIONS": s::DRIFT_BASELINE_SESSIONS,
        "MAX_FURTHER": s::MAX_FURTHER,
    });
    assert_eq!(ours, file()["constants"]);
}

#[test]
fn the_floors_belong_to_their_measures_and_a_mean_has_flat_priors() {
    let floor = |measure, of| Quantity { measure, of }.run_effect_floor();
    assert_eq!(floor(Measure::Launch, Of::Difference), RunEffect::Sd(s::RUN_SD_LAUNCH_DEG));
    assert_eq!(floor(Measure::Spin, Of::OwnMean), RunEffect::Sd(s::MEAN_RUN_SD_SPIN_RPM));
    assert_eq!(floor(Measure::Other(3), Of::Difference), RunEffect::Ratio(s::RUN_RATIO));
    assert_eq!(floor(Measure::Other(3), Of::OwnMean), RunEffect::Ratio(s::MEAN_RUN_RATIO));
    let carry_mean = Quantity { measure: Measure::Carry, of: Of::OwnMean };
    assert_eq!((carry_mean.forecast_prior(), carry_mean.outlook_prior()), (None, None));
}

#[test]
fn no_group_of_check_values_is_left_out() {
    let mut groups: Vec<&str> =
        file()["cases"].as_object().unwrap().keys().map(String::as_str).collect();
    groups.sort_unstable();
    let checked = [
        "anytime_interval",
        "anytime_t",
        "blocked_difference",
        "blocked_difference_strata",
        "blocked_mean",
        "brief_tests",
        "criteria_logs",
        "cusum",
        "day_sd_from_history",
        "ellipse",
        "further_shots",
        "holm",
        "huber",
        "log_variance_ratio",
        "mad_scale",
        "median",
        "mishit_screen",
        "nct_log_ratio",
        "nct_log_ratio_laplace",
        "outlook",
        "outlook_word",
        "run_sd_from_history",
        "safe_t_log_e",
        "session_scores",
        "spread_state",
        "t_interval",
        "two_sample",
        "two_sided_log_e",
        "verdict",
    ];
    assert_eq!(groups, checked);
}
