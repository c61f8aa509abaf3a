//! What the formulas promise beyond their check values.

use std::f64::consts::{FRAC_PI_2, PI};

use evencarry::stats::{
    Cell, DELTAS, Estimate, Forecast, INTERVAL_DELTAS, Insufficient, Look, Measure, RunEffect,
    RunningEvidence, RunningMax, SHOTS_PER_SESSION, Shots, Side, Stratum, Test, Variance,
    anytime_interval, anytime_t, blocked_difference, blocked_mean, ellipse, holm,
    log_variance_ratio, nct_log_ratio, proof, two_sided_log_e,
};
use proptest::prelude::*;

fn estimate(centre: f64, df: f64, h: f64) -> Estimate {
    let s = 7.0;
    Estimate {
        centre,
        se: s / h.sqrt(),
        df,
        h,
        s,
        s_within: s,
        sessions: 2,
        shots: Shots::Pair { candidate: 20, incumbent: 20 },
    }
}

/// The mean of e under a true effect of `ncp` in t, by the trapezium rule in φ, t = √df·tan φ: the central t's
/// density is there proportional to cosᵈᶠ⁻¹ φ, which vanishes with its derivatives at both ends.
fn mean_e(df: f64, h: f64, ncp: f64) -> f64 {
    let points = 2000_u32;
    let (mut mean, mut mass) = (0.0, 0.0);
    for point in 1..points {
        let angle = -FRAC_PI_2 + PI * f64::from(point) / f64::from(points);
        let weight = angle.cos().powf(df - 1.0);
        let t = df.sqrt() * angle.tan();
        let look = Look::at(&Estimate { se: 1.0, ..estimate(t, df, h) }).unwrap();
        let log_ratio = nct_log_ratio(t, df, ncp).unwrap();
        mean += weight * (look.log_e(0.0, Side::Above, &DELTAS) + log_ratio).exp();
        mass += weight;
    }
    mean / mass
}

#[test]
fn the_mean_of_e_is_one_at_the_bound_and_less_beyond_it() {
    for df in [5.0, 14.0, 60.0] {
        for h in [1.5, 4.0, 18.0] {
            let at_bound = mean_e(df, h, 0.0);
            assert!((at_bound - 1.0).abs() < 1e-9, "df {df} h {h}: {at_bound}");
            let (near, far) = (mean_e(df, h, -0.5), mean_e(df, h, -2.0));
            assert!(far < near && near < 1.0, "df {df} h {h}: {near} {far}");
        }
    }
}

#[test]
fn an_interval_ends_where_the_two_sided_evidence_reaches_proof() {
    for (df, h) in [(9.0, 3.0), (14.0, 3.2), (61.0, 11.7), (296.0, 40.0)] {
        let estimate = estimate(2.5, df, h);
        let (low, high) = anytime_interval(&estimate).unwrap().ends.unwrap();
        for end in [low, high] {
            assert!((two_sided_log_e(&estimate, end).unwrap() - proof()).abs() < 1e-8);
        }
        let outside = two_sided_log_e(&estimate, high + 0.1).unwrap();
        let inside = two_sided_log_e(&estimate, low + 0.1).unwrap();
        assert!(inside < proof() && outside > proof());
    }
}

#[test]
fn more_shots_narrow_an_interval() {
    let reach = |sessions: f64| {
        let h = 5.0 * sessions;
        anytime_t(28.0 * sessions, h).unwrap().unwrap() / h.sqrt()
    };
    for sessions in 1..40 {
        assert!(reach(f64::from(sessions + 1)) < reach(f64::from(sessions)));
    }
}

#[test]
fn an_estimate_that_no_data_gives_is_refused() {
    let good = estimate(1.0, 20.0, 8.0);
    for wrong in [
        Estimate { centre: f64::NAN, ..good },
        Estimate { se: 0.0, ..good },
        Estimate { df: f64::INFINITY, ..good },
        Estimate { h: -1.0, ..good },
    ] {
        assert_eq!(Look::at(&wrong), Err(Insufficient::NotFinite));
        assert_eq!(anytime_interval(&wrong), Err(Insufficient::NotFinite));
        assert_eq!(two_sided_log_e(&wrong, 0.0), Err(Insufficient::NotFinite));
    }
    assert_eq!(anytime_t(f64::NAN, 1.0), Err(Insufficient::NotFinite));
}

#[test]
fn a_bound_that_is_no_number_gathers_no_evidence() {
    let look = Look::at(&estimate(1.0, 20.0, 8.0)).unwrap();
    let mut running = RunningMax::default();
    for bound in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        running.take(&look, bound, Side::Above);
    }
    assert_eq!(running.log_e(), None);
}

#[test]
fn forecasts_grow_with_the_evidence_that_is_missing() {
    let forecast = Forecast { prior: None, run_ratio: 0.2, shots_per_session: SHOTS_PER_SESSION };
    let test = Test::of_difference(Measure::Carry, Side::Below, 5.0);
    let shots = |centre| forecast.further_shots(&estimate(centre, 28.0, 5.0), &test, -1.0);
    let (near, nearer) = (shots(0.0).unwrap(), shots(2.5).unwrap());
    assert!(0 < near && near < nearer, "{near} {nearer}");
    assert_eq!(shots(4.9), None, "beyond the cap");
    assert_eq!(shots(f64::NAN), None);
    assert_eq!(forecast.further_shots(&estimate(0.0, 28.0, 5.0), &test, proof()), Some(0));
    let one_a_session = Forecast { shots_per_session: 0, ..forecast };
    assert!(one_a_session.further_shots(&estimate(0.0, 28.0, 5.0), &test, -1.0).is_some());
}

fn cells(sessions: &[(Vec<f64>, Vec<f64>)]) -> Vec<(u32, Cell, Cell)> {
    let pair = |(session, (a, b)): (u32, &(Vec<f64>, Vec<f64>))| {
        (session, Cell::of(a).unwrap(), Cell::of(b).unwrap())
    };
    (0..).zip(sessions).map(pair).collect()
}

fn welch(cells: &[(u32, Cell, Cell)]) -> Result<Estimate, Insufficient> {
    let strata = cells.iter().map(|(session, candidate, incumbent)| Stratum {
        session: *session,
        candidate,
        incumbent,
    });
    blocked_difference(strata, RunEffect::Sd(1.5), Variance::Welch)
}

fn sessions() -> impl Strategy<Value = Vec<(Vec<f64>, Vec<f64>)>> {
    let shots = || prop::collection::vec(140.0..190.0_f64, 0..9);
    prop::collection::vec((shots(), shots()), 1..6)
}

proptest! {
    #[test]
    fn evidence_rises_with_the_effect(
        df in 1.0..300.0_f64, h in 0.3..60.0_f64, centre in -20.0..20.0_f64, more in 0.01..5.0_f64,
    ) {
        let (low, high) = (estimate(centre, df, h), estimate(centre + more, df, h));
        let (low, high) = (Look::at(&low).unwrap(), Look::at(&high).unwrap());
        for deltas in [&DELTAS[..], &INTERVAL_DELTAS] {
            prop_assert!(low.log_e(0.0, Side::Above, deltas) < high.log_e(0.0, Side::Above, deltas));
            prop_assert!(low.log_e(0.0, Side::Below, deltas) > high.log_e(0.0, Side::Below, deltas));
        }
    }

    #[test]
    fn a_running_maximum_is_that_of_all_exact_looks(
        // Looks that differ much, and looks that differ less than Laplace's method errs.
        width in prop_oneof![Just(9.0), Just(1e-3)],
        looks in prop::collection::vec((-1.0..1.0_f64, 0.0..1.0_f64), 1..40),
        start in 0.5..20.0_f64,
    ) {
        let test = Test::of_difference(Measure::Carry, Side::Above, -5.0);
        let mut running = RunningEvidence::default();
        let (mut holds, mut broken) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut df = start;
        for (centre, more) in looks {
            df += more * width;
            let look = Look::at(&estimate(centre * width, df, df / 4.0)).unwrap();
            running.take(&look, &test);
            let exact = look.evidence(&test);
            holds = holds.max(exact.holds);
            broken = broken.max(exact.broken);
            let kept = running.evidence().unwrap();
            prop_assert_eq!((kept.holds, kept.broken), (holds, broken));
        }
    }

    #[test]
    fn a_forecast_is_the_least_number_of_shots_that_proves(
        centre in -4.0..4.0_f64, df in 5.0..60.0_f64, shots_per_session in 2..20_u32, run_ratio in 0.0..0.4_f64,
    ) {
        let now = estimate(centre, df, df / 4.0);
        let test = Test::of_difference(Measure::Carry, Side::Below, 5.0);
        let forecast = Forecast { prior: None, run_ratio, shots_per_session };
        // With a flat prior the shots to come average the estimate itself: it stays, and gains precision.
        let log_e_after = |shots: u32| {
            let (full, rest) = (shots / shots_per_session, shots % shots_per_session);
            let of_session = |n: u32| 1.0 / (2.0 / f64::from(n) + 2.0 * run_ratio * run_ratio);
            let last = if rest > 0 { of_session(rest) } else { 0.0 };
            let h = now.h + f64::from(full) * of_session(shots_per_session) + last;
            let lost = full + u32::from(rest > 0);
            let then = estimate(centre, df + f64::from(2 * shots) - f64::from(lost), h);
            Look::at(&then).unwrap().evidence(&test).holds
        };
        if let Some(shots) = forecast.further_shots(&now, &test, -1.0) {
            prop_assert!(log_e_after(shots) >= proof() - 1e-9, "{} shots are too few", shots);
            prop_assert!(shots == 1 || log_e_after(shots - 1) < proof() + 1e-9, "{} shots are too many", shots);
        }
    }

    #[test]
    fn an_interval_contains_its_estimate(df in 1.0..500.0_f64, h in 0.2..90.0_f64, centre in -30.0..30.0_f64) {
        let interval = anytime_interval(&estimate(centre, df, h)).unwrap();
        if let Some((low, high)) = interval.ends {
            prop_assert!(low < centre && centre < high);
            prop_assert!((low + high - 2.0 * centre).abs() < 1e-9 * (high - low));
        }
    }

    #[test]
    fn values_of_any_size_give_finite_numbers_or_a_reason(shots in sessions(), power in -200..57_i32, run in 0.0..1e9_f64) {
        let scale = |values: &[f64]| values.iter().map(|value| value * 10_f64.powi(power)).collect::<Vec<_>>();
        let scaled: Vec<_> = shots.iter().map(|(a, b)| (scale(a), scale(b))).collect();
        let cells = cells(&scaled);
        let strata =
            cells.iter().map(|(session, candidate, incumbent)| Stratum { session: *session, candidate, incumbent });
        for variance in [Variance::Welch, Variance::Pooled] {
            if let Ok(estimate) = blocked_difference(strata.clone(), RunEffect::Sd(run), variance) {
                let look = Look::at(&estimate);
                prop_assert!(look.is_ok(), "{:?}", estimate);
                let evidence = look.unwrap().evidence(&Test::of_difference(Measure::Carry, Side::Above, -5.0));
                prop_assert!(evidence.holds.is_finite() && evidence.broken.is_finite(), "{:?}", estimate);
            }
        }
        if let Ok(ratio) = log_variance_ratio(cells.iter().map(|c| &c.1), cells.iter().map(|c| &c.2)) {
            prop_assert!(ratio.log_e_worse.is_finite(), "{:?}", ratio);
        }
        let (side, carry) = &scaled[0];
        let both = side.len().min(carry.len());
        if let Ok(ellipse) = ellipse(&side[..both], &carry[..both], 0.8) {
            prop_assert!(ellipse.area.is_finite() && ellipse.rho.is_finite(), "{:?}", ellipse);
        }
    }

    #[test]
    fn swapping_the_clubs_turns_the_difference_round(shots in sessions()) {
        let swapped: Vec<_> = shots.iter().cloned().map(|(a, b)| (b, a)).collect();
        let (there, back) = (welch(&cells(&shots)), welch(&cells(&swapped)));
        prop_assert_eq!(there.is_ok(), back.is_ok());
        if let (Ok(there), Ok(back)) = (there, back) {
            prop_assert!((there.centre + back.centre).abs() < 1e-9);
            prop_assert!((there.se - back.se).abs() < 1e-9 * there.se);
            prop_assert!((there.df - back.df).abs() < 1e-9 * there.df);
        }
    }

    #[test]
    fn a_day_that_moves_both_clubs_leaves_the_difference(shots in sessions(), day in -30.0..30.0_f64) {
        let mut moved = shots.clone();
        let (candidate, incumbent) = &mut moved[0];
        candidate.iter_mut().chain(incumbent).for_each(|value| *value += day);
        if let (Ok(here), Ok(there)) = (welch(&cells(&shots)), welch(&cells(&moved))) {
            prop_assert!((here.centre - there.centre).abs() < 1e-9);
            prop_assert!((here.se - there.se).abs() < 1e-9 * here.se);
        }
    }

    #[test]
    fn a_run_effect_only_widens(shots in sessions(), sd in 0.1..6.0_f64) {
        let own: Vec<Cell> = shots.iter().map(|(a, _)| Cell::of(a).unwrap()).collect();
        if let (Ok(without), Ok(with)) = (blocked_mean(&own, RunEffect::None), blocked_mean(&own, RunEffect::Sd(sd))) {
            prop_assert!(with.se > without.se && with.h < without.h);
        }
        prop_assert!(blocked_mean(&own, RunEffect::Sd(f64::NAN)).is_err());
    }

    #[test]
    fn holms_p_never_falls_below_the_plain_one_and_keeps_the_order(
        log_e in prop::collection::vec(-3.0..9.0_f64, 1..8),
    ) {
        let family = holm(&log_e.iter().copied().map(Some).collect::<Vec<_>>()).unwrap();
        for (member, own) in family.iter().zip(&log_e) {
            prop_assert!(member.adjusted_p >= (-own).exp().min(1.0));
            prop_assert!(!member.proven || *own >= proof() - 1e-9);
            for (other, theirs) in family.iter().zip(&log_e) {
                prop_assert!(theirs > own || other.adjusted_p >= member.adjusted_p);
            }
        }
    }
}
