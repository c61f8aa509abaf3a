//! What the physics says about a replacement: an invented pair that carries the same 158 m in still
//! air. Figures of the independent reference, to the digits of its table.

use evencarry::flight::{Conditions, Ground, Launch, Model};

use crate::case::{fly, in_wind, near, straight};

const MPH: f64 = 0.447_04;

fn incumbent() -> Launch {
    straight(53.712, 17.0, 5_300.0)
}

fn candidate() -> Launch {
    straight(52.9701, 13.5, 4_200.0)
}

fn carries(conditions: &Conditions) -> [f64; 2] {
    [incumbent(), candidate()].map(|launch| fly(&launch, conditions).carry_m)
}

#[test]
fn the_same_carry_in_still_air_is_not_the_same_in_wind() {
    for (mph, from, theirs) in [
        (0.0, 0.0, [158.0, 158.0]),
        (10.0, 0.0, [142.2, 148.5]),
        (20.0, 0.0, [120.0, 133.3]),
        (30.0, 0.0, [91.2, 111.9]),
        (10.0, 180.0, [167.9, 162.3]),
        (20.0, 180.0, [172.6, 162.4]),
        (30.0, 180.0, [173.2, 159.2]),
        (20.0, 90.0, [160.7, 160.1]),
    ] {
        let ours = carries(&in_wind(mph * MPH, from));
        for (ours, theirs) in ours.into_iter().zip(theirs) {
            near((mph, from), ours, theirs, 0.051);
        }
    }
    let drift = |launch: &Launch| fly(launch, &in_wind(20.0 * MPH, 90.0)).side_m;
    near("incumbent's drift", drift(&incumbent()), -27.9, 0.051);
    near("candidate's drift", drift(&candidate()), -20.9, 0.051);
}

#[test]
fn a_weak_strike_costs_the_low_flight_more() {
    let weak = |launch: Launch| Launch {
        ball_speed_mps: 0.97 * launch.ball_speed_mps,
        launch_angle_deg: launch.launch_angle_deg - 3.0,
        spin_rate_rpm: 0.85 * launch.spin_rate_rpm,
        ..launch
    };
    let still = Conditions::default();
    let total = |launch: &Launch| Ground::Soaked.run(&fly(launch, &still)).total_m;
    near("incumbent", total(&weak(incumbent())), 154.3, 0.051);
    near("candidate", total(&weak(candidate())), 147.0, 0.051);
}

#[test]
fn both_models_agree_on_who_carries_further() {
    let mut nineties = Conditions::default();
    nineties.aerodynamics.model = Model::Ball1990s;
    let [incumbent, candidate] =
        [straight(49.9015, 17.0, 5_300.0), straight(50.9799, 13.5, 4_200.0)];
    for (mph, from, theirs) in
        [(0.0, 0.0, [158.0, 158.0]), (20.0, 0.0, [122.0, 131.2]), (20.0, 180.0, [171.4, 165.0])]
    {
        let conditions = Conditions { wind: in_wind(mph * MPH, from).wind, ..nineties };
        near((mph, from), fly(&incumbent, &conditions).carry_m, theirs[0], 0.051);
        near((mph, from), fly(&candidate, &conditions).carry_m, theirs[1], 0.051);
    }
}
