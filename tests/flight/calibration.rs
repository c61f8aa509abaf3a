//! Calibration and missing spin on shots flown by the independent reference with other lift and drag
//! than the models' (`../data/flight/calibration.py`).

use std::collections::BTreeMap;

use evencarry::flight::{
    Calibration, Conditions, Fit, LEAST_SHOTS, Launch, Model, Observed, Scales, Scene,
    SpinEstimate, Tracked, calibrate, missing_spin,
};

use crate::case::{fly, in_model, near, straight, trajectory};

const YARD: f64 = 0.9144;

#[derive(Clone, Copy)]
struct Shot {
    ball_speed_mps: f64,
    launch_angle_deg: f64,
    spin_rate_rpm: f64,
    carry_m: f64,
    apex_m: f64,
    descent_angle_deg: f64,
}

impl Shot {
    fn launch(&self) -> Launch {
        straight(self.ball_speed_mps, self.launch_angle_deg, self.spin_rate_rpm)
    }

    fn tracked(&self) -> Tracked {
        Tracked {
            carry_m: Some(self.carry_m),
            apex_m: Some(self.apex_m),
            descent_angle_deg: Some(self.descent_angle_deg),
            hang_time_s: None,
        }
    }

    fn observed(&self) -> Observed {
        observed(&self.launch(), self.tracked())
    }

    fn carry_error_m(&self, scales: Scales) -> f64 {
        fly(&self.launch(), &scaled(scales)).carry_m - self.carry_m
    }
}

fn observed(launch: &Launch, tracked: Tracked) -> Observed {
    Observed::new(trajectory(launch, &Conditions::default()), tracked).unwrap()
}

fn scaled(scales: Scales) -> Conditions {
    let mut conditions = Conditions::default();
    conditions.aerodynamics.scales = scales;
    conditions
}

/// The shots to fit to and those to judge by.
#[derive(Default)]
struct Set {
    fit: Vec<Shot>,
    held_out: Vec<Shot>,
}

fn sets() -> BTreeMap<String, Set> {
    let mut reader =
        csv::Reader::from_reader(include_str!("../data/flight/calibration.csv").as_bytes());
    let mut sets: BTreeMap<String, Set> = BTreeMap::new();
    for row in reader.deserialize::<(String, String, [f64; 6])>() {
        let (name, role, numbers) = row.expect("a row");
        let [ball_speed_mps, launch_angle_deg, spin_rate_rpm, carry_m, apex_m, descent_angle_deg] =
            numbers;
        let shot = Shot {
            ball_speed_mps,
            launch_angle_deg,
            spin_rate_rpm,
            carry_m,
            apex_m,
            descent_angle_deg,
        };
        let set = sets.entry(name).or_default();
        if role == "fit" { set.fit.push(shot) } else { set.held_out.push(shot) }
    }
    assert!(sets.len() == 24 && sets.values().all(|set| set.fit.len() == 24));
    sets
}

fn fit_to(shots: &[Shot]) -> Calibration {
    let observed: Vec<Observed> = shots.iter().map(Shot::observed).collect();
    calibrate(&observed)
}

fn mean_size(errors: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = errors.fold((0.0, 0.0), |(n, sum), error| (n + 1.0, sum + error.abs()));
    sum / count
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    f64::midpoint(values[(values.len() - 1) / 2], values[values.len() / 2])
}

#[test]
fn two_dozen_shots_bring_the_carry_of_unseen_ones_within_half_a_yard() {
    let mut after = Vec::new();
    let mut before = Vec::new();
    for (name, set) in sets() {
        let Calibration { scales, plain_error_m, fitted_error_m, shots, .. } = fit_to(&set.fit);
        assert_eq!(shots, 24);
        let unseen = |scales| mean_size(set.held_out.iter().map(|shot| shot.carry_error_m(scales)));
        let (plain, fitted) = (unseen(Scales::NONE) / YARD, unseen(scales) / YARD);
        // Never worse than the model as it is by more than 0.2 yd.
        assert!(fitted <= plain + 0.2, "{name}: {fitted} after {plain}");
        // What the calibration says of itself holds the noise of the shots that it has (1 m) too.
        let (says_plain, says_fitted) = (plain_error_m.unwrap(), fitted_error_m.unwrap());
        near((&name, "before"), says_plain / YARD, plain, 1.2 + 0.2 * plain);
        near((&name, "after"), says_fitted / YARD, fitted, 1.2);
        after.push(fitted);
        before.push(plain);
    }
    let (before, after) = (median(before), median(after));
    assert!(after < 0.5 && before > 2.0, "median {after} yd after {before} yd");
}

#[test]
fn the_factors_are_found_where_the_shots_tell_them() {
    let sets = sets();
    // A whole bag of shots tells drag; one club alone trades it against lift.
    for (truth, drag) in [("more-drag", 1.06), ("less-drag", 0.94)] {
        let all: Vec<Shot> = sets
            .iter()
            .filter(|(name, _)| name.ends_with(truth))
            .flat_map(|(_, set)| set.fit.clone())
            .collect();
        let calibration = fit_to(&all);
        assert_eq!(calibration.fit, Fit::Fitted);
        near(truth, calibration.scales.drag, drag, 0.02);
        near(truth, calibration.scales.lift, 1.0, 0.04);
    }
}

#[test]
fn one_wild_shot_does_not_carry_the_fit_away() {
    let set = &sets()["middle/more-drag"];
    let mut shots = set.fit.clone();
    shots[7].carry_m += 60.0;
    let unseen = |scales| mean_size(set.held_out.iter().map(|shot| shot.carry_error_m(scales)));
    let wild = unseen(fit_to(&shots).scales);
    assert!(wild < unseen(fit_to(&set.fit).scales) + 0.5 * YARD, "{wild} m");
}

#[test]
fn too_few_shots_leave_the_model_as_it_is_and_say_so() {
    let few = fit_to(&sets()["middle/more-drag"].fit[..LEAST_SHOTS - 1]);
    assert_eq!((few.fit, few.scales, few.shots), (Fit::TooFewShots, Scales::NONE, LEAST_SHOTS - 1));
    assert_eq!((few.plain_error_m, few.fitted_error_m), (None, None));
    // Shots whose carry was not tracked do not count.
    let untracked: Vec<Observed> = sets()["middle/more-drag"]
        .fit
        .iter()
        .map(|shot| observed(&shot.launch(), Tracked { carry_m: None, ..shot.tracked() }))
        .collect();
    assert_eq!(calibrate(&untracked).shots, 0);
}

#[test]
fn shots_that_fly_as_the_model_says_need_no_factors() {
    let launches = (0..20).map(|at| straight(50.0 + 0.2 * f64::from(at), 16.0, 5_200.0));
    let shots: Vec<Observed> = launches
        .map(|launch| {
            let flown = fly(&launch, &Conditions::default());
            observed(&launch, Tracked { carry_m: Some(flown.carry_m), ..Tracked::default() })
        })
        .collect();
    let calibration = calibrate(&shots);
    assert_eq!((calibration.fit, calibration.scales), (Fit::NoBetter, Scales::NONE));
}

#[test]
fn a_missing_spin_is_found_from_a_tracked_flight() {
    for (spin, launch) in
        [(2_700.0, straight(70.0, 11.5, 0.0)), (5_300.0, straight(53.0, 16.5, 0.0))]
    {
        let flown = fly(&Launch { spin_rate_rpm: spin, ..launch }, &Conditions::default());
        let tracked = Tracked {
            carry_m: Some(flown.carry_m),
            apex_m: Some(flown.apex_m),
            descent_angle_deg: Some(flown.descent_angle_deg),
            hang_time_s: Some(flown.hang_time_s),
        };
        let found = missing_spin(&observed(&launch, tracked)).unwrap();
        near("spin", found.spin_rate_rpm, spin, 100.0);
        assert!(found.low_rpm < spin && spin < found.high_rpm);
        assert!(found.high_rpm - found.low_rpm < 0.5 * spin, "{found:?}");
        // The less was tracked, the less is known.
        let carry_only = Tracked { carry_m: tracked.carry_m, ..Tracked::default() };
        let vague = missing_spin(&observed(&launch, carry_only)).unwrap();
        assert!(vague.low_rpm < spin && spin < vague.high_rpm, "{vague:?}");
        assert!(vague.high_rpm - vague.low_rpm > 1.2 * (found.high_rpm - found.low_rpm));
    }
    assert_eq!(missing_spin(&observed(&straight(50.0, 15.0, 0.0), Tracked::default())), None);
}

/// The balls fly otherwise than the model says, so the club is calibrated first.
#[test]
fn a_found_spin_of_a_calibrated_club_is_near_the_true_one() {
    let sets = sets();
    for (name, spin_off) in
        // With much spin lift hardly grows any more: a short club's flight says little of it.
        [("driver/more-drag", 0.1), ("middle/all", 0.1), ("short/more-lift", 0.5)]
    {
        let set = &sets[name];
        let conditions = scaled(fit_to(&set.fit).scales);
        let [mut spins, mut carries] = [Vec::new(), Vec::new()];
        let mut held = 0;
        for shot in &set.held_out {
            let unknown = Launch { spin_rate_rpm: 0.0, ..shot.launch() };
            let tracked = Observed::new(trajectory(&unknown, &conditions), shot.tracked()).unwrap();
            let SpinEstimate { spin_rate_rpm, low_rpm, high_rpm } = missing_spin(&tracked).unwrap();
            held += usize::from((low_rpm..=high_rpm).contains(&shot.spin_rate_rpm));
            spins.push((spin_rate_rpm / shot.spin_rate_rpm - 1.0).abs());
            let flown = fly(&Launch { spin_rate_rpm, ..unknown }, &conditions);
            carries.push((flown.carry_m - shot.carry_m).abs() / YARD);
        }
        let (spin, carry) = (median(spins), median(carries));
        assert!(spin < spin_off && carry < 2.0, "{name}: {spin} of the spin, {carry} yd");
        assert!(held >= 19, "{name}: {held} of 24 within the interval");
    }
}

#[test]
fn what_was_tracked_is_held_to_its_ranges() {
    let scene = Scene::new(&in_model(Model::Modern)).unwrap();
    let trajectory = scene.launch(&straight(50.0, 15.0, 5_000.0)).unwrap();
    let bad = Some(f64::NAN);
    let tracked = Tracked { carry_m: bad, apex_m: bad, descent_angle_deg: bad, hang_time_s: bad };
    assert_eq!(Observed::new(trajectory, tracked).unwrap_err().all().len(), 4);
}
