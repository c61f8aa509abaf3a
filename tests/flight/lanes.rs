//! Many flights at once fly as each would by itself.

use evencarry::flight::{Conditions, Flight, Launch, Model, Trajectory, Wind, fly_all};
use proptest::prelude::*;

use crate::case::{Case, cases, in_wind, near, straight, trajectory};

/// What a batch may be off, m: 0.05 yd.
const CARRY_OFF_M: f64 = 0.045_72;

#[track_caller]
fn alike(what: &str, brisk: &Flight, exact: &Flight) {
    near((what, "carry"), brisk.carry_m, exact.carry_m, CARRY_OFF_M);
    near((what, "side"), brisk.side_m, exact.side_m, CARRY_OFF_M);
    near((what, "curve"), brisk.curve_m, exact.curve_m, CARRY_OFF_M);
    near((what, "apex"), brisk.apex_m, exact.apex_m, 0.02);
    near((what, "hang"), brisk.hang_time_s, exact.hang_time_s, 0.005);
    near((what, "descent"), brisk.descent_angle_deg, exact.descent_angle_deg, 0.1);
    near((what, "landing speed"), brisk.landing_speed_mps, exact.landing_speed_mps, 0.05);
    near((what, "landing spin"), brisk.landing_spin_rpm, exact.landing_spin_rpm, 1.0);
}

#[test]
fn every_row_of_the_reference_in_one_batch_within_a_twentieth_of_a_yard() {
    let cases = cases();
    let all: Vec<Trajectory> = cases.iter().map(Case::trajectory).collect();
    let flights = fly_all(&all);
    assert_eq!(flights.len(), cases.len());
    for ((case, trajectory), brisk) in cases.iter().zip(&all).zip(flights) {
        let brisk = brisk.unwrap();
        // Five digits of the file and half of one: 0.5 mm at most.
        near(&case.name, brisk.carry_m, case.number("carry_m"), CARRY_OFF_M);
        alike(&case.name, &brisk, &trajectory.fly().unwrap());
    }
}

#[test]
fn answers_keep_the_order_of_their_questions_however_many_there_are() {
    let kinds: [Box<dyn Fn(f64) -> Trajectory>; 4] = [
        Box::new(|speed| trajectory(&straight(speed, 14.0, 4_000.0), &Conditions::default())),
        Box::new(|speed| trajectory(&straight(speed, 20.0, 6_000.0), &in_wind(8.0, 30.0))),
        Box::new(|speed| trajectory(&straight(speed, -3.0, 1_000.0), &Conditions::default())),
        Box::new(|speed| {
            let mut conditions = in_wind(5.0, 200.0);
            conditions.aerodynamics.model = Model::Ball1990s;
            trajectory(&straight(speed, 12.0, 3_000.0), &conditions)
        }),
    ];
    for count in [0, 1, 3, 4, 5, 257, 1_000] {
        let all: Vec<Trajectory> = (0..count)
            .map(|at| {
                kinds[at * 7 % 4](20.0 + f64::from(u16::try_from(at * 37 % 600).unwrap()) / 10.0)
            })
            .collect();
        let flights = fly_all(&all);
        assert_eq!(flights.len(), count);
        for (trajectory, brisk) in all.iter().zip(flights) {
            alike("in order", &brisk.unwrap(), &trajectory.fly().unwrap());
        }
    }
}

#[test]
fn a_batch_gives_the_same_answer_whatever_flies_beside() {
    let of = |speed: f64| trajectory(&straight(speed, 16.0, 5_000.0), &in_wind(7.0, 70.0));
    let alone = fly_all(&[of(52.0)])[0];
    let beside = fly_all(&[of(30.0), of(70.0), of(52.0), of(41.0), of(66.0)])[2];
    assert_eq!(alone, beside);
}

/// A shot of any club of a skilled or a weak player, with its scatter.
fn shots() -> impl Strategy<Value = Launch> {
    (0.0..1.0, 0.55..1.05, -4.0..5.0, -8.0..8.0, 0.7..1.4, -20.0..20.0).prop_map(
        |(long, speed, angle, launch_direction_deg, spin, spin_axis_deg)| Launch {
            ball_speed_mps: speed * (38.0 + 42.0 * long),
            launch_angle_deg: 28.0 - 16.0 * long + angle,
            launch_direction_deg,
            spin_rate_rpm: spin * (9_500.0 - 7_000.0 * long),
            spin_axis_deg,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_batch_is_within_a_twentieth_of_a_yard_of_single_flights(
        launch in shots(), speed_mps in 0.0..14.0, from_deg in 0.0..360.0, nineties in any::<bool>(),
    ) {
        let mut windy = Conditions { wind: Wind { speed_mps, from_deg, height_m: 10.0 }, ..Conditions::default() };
        if nineties {
            windy.aerodynamics.model = Model::Ball1990s;
        }
        let still = Conditions { wind: Wind::STILL, ..windy };
        let both = [trajectory(&launch, &windy), trajectory(&launch, &still)];
        for (trajectory, brisk) in both.iter().zip(fly_all(&both)) {
            alike("any shot", &brisk.unwrap(), &trajectory.fly().unwrap());
        }
    }
}
