//! The room of numbers and verdicts: what may be said of a player's shots, and when.
//!
//! In come plain numbers, already screened for being comparable: the shots of one club in one stratum (lie and
//! ball) of one session, as a [`Cell`] of sums. Out come summaries, estimates with their uncertainty, evidence
//! that may be watched after every shot, verdicts, an outlook, forecasts, drift alarms and ellipses, or an
//! [`Insufficient`] that says why not. The room knows no shot, club, unit system, clock or store; it does no I/O
//! and never panics on a number.
//!
//! Constants are stated in the trade's units: **the caller gives carry and side in yards, angles in degrees,
//! spin in rpm.** A difference is candidate minus incumbent.
//!
//! The way of a comparison: [`Screen`] flags mishits; [`blocked_difference`] (or [`blocked_mean`]) estimates
//! within sessions, with a run effect from [`Quantity::run_effect_floor`] or [`run_sd_from_history`]; a
//! [`Look`] turns an estimate into evidence for each [`Test`]; [`RunningEvidence`] keeps the maxima;
//! [`Verdict::of`] puts them into words and [`holm`] guards a family of candidates.

mod blocked;
mod cell;
mod cloud;
mod combined;
mod criteria;
mod drift;
mod ellipse;
mod forecast;
mod history;
mod insufficient;
mod interval;
mod measure;
mod nct;
mod outlook;
mod proportion;
mod robust;
mod safe_t;
mod screen;
mod sessions;
mod spread;
mod student;
mod two_way;
mod verdict;

pub use blocked::{
    Estimate, RunEffect, Shots, Stratum, Variance, blocked_difference, blocked_mean,
    difference_of_sessions,
};
pub use cell::Cell;
pub use cloud::{CLOUD_MEASURES, CLOUD_MIN_N, Cloud, Distance, Point, SpreadOf, UsualSpread};
pub use combined::{apart, mixed};
pub use criteria::{
    CARRY_MARGIN_YD, CarryCriterion, Criteria, LAUNCH_DROP_AT_MOST_DEG, LAUNCH_LOWER_BY_DEG,
    LaunchLimit, SPIN_DROP_AT_MOST_RPM, SPIN_LOWER_BY_RPM,
};
pub use drift::{
    CUSUM_H, CUSUM_K, Cusum, CusumStep, DRIFT_BASELINE_SESSIONS, DRIFT_FALSE_ALARMS, Deviation,
    FalseAlarms, SessionScore, Shift, session_score,
};
pub use ellipse::{ELLIPSE_COVERAGE, ELLIPSE_MIN_SHOTS, Ellipse, ellipse};
pub use forecast::{Forecast, MAX_FURTHER, SHOTS_PER_SESSION};
pub use history::{PastCell, PlayerSd, RUN_PRIOR_DF, day_sd_from_history, run_sd_from_history};
pub use insufficient::{Insufficient, LARGEST_VALUE};
pub use interval::{
    AnytimeInterval, INTERVAL_DELTAS, anytime_interval, anytime_t, two_sided_log_e,
};
pub use measure::{
    MEAN_RUN_RATIO, MEAN_RUN_SD_CARRY_YD, MEAN_RUN_SD_LAUNCH_DEG, MEAN_RUN_SD_SPIN_RPM, Measure,
    Of, Prior, Quantity, RUN_RATIO, RUN_SD_CARRY_YD, RUN_SD_LAUNCH_DEG, RUN_SD_SPIN_RPM, Side,
    Test,
};
pub use nct::{nct_log_ratio, nct_log_ratio_laplace};
pub use outlook::{Calibration, OUTLOOK_MIN_SHOTS, Outlook, OutlookWord};
pub use proportion::{Share, weighted_shares, wilson};
pub use robust::{
    HUBER_K, Huber, MAD_CONSISTENCY, Summary, huber, mad_scale, median, percentile, trimmed_mean,
};
pub use safe_t::{ALPHA, DELTAS, Evidence, Look, RunningEvidence, RunningMax, proof};
pub use screen::{
    DOUBT_Z, Judged, LOOKS_BACK_AFTER, MISHIT_MIN_N, MISHIT_Z, SMASH_SCALE_FLOOR,
    SPEED_SCALE_FLOOR, Screen, Series,
};
pub use sessions::SessionSums;
pub use spread::{
    SPREAD_DELTAS, SPREAD_KURTOSIS_FLOOR, SPREAD_MIN_SHOTS, SPREAD_RATIO, Spread, VarianceRatio,
    log_variance_ratio, variance_ratio_of_sessions,
};
pub use student::{MeanInterval, Sample, TwoSample, t_interval, two_sample};
pub use verdict::{Basis, Familywise, Lacking, MIN_SESSIONS, MIN_SHOTS, Open, Verdict, holm};

/// A length as a number; exact for any series that fits in memory.
#[allow(clippy::cast_precision_loss)]
fn count(length: usize) -> f64 {
    length as f64
}
