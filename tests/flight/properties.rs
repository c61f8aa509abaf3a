//! What the equations promise of any launch.

use evencarry::flight::{
    Aerodynamics, Conditions, GRAVITY_MPS2, Ground, Launch, Model, Pressure, Scales, Weather, Wind,
};
use proptest::prelude::*;

use crate::case::{fly, in_wind, trajectory};

fn launches() -> impl Strategy<Value = Launch> {
    (1.0..110.0, -20.0..80.0, -90.0..90.0, 0.0..20_000.0, -90.0..90.0).prop_map(
        |(ball_speed_mps, launch_angle_deg, launch_direction_deg, spin_rate_rpm, spin_axis_deg)| {
            Launch {
                ball_speed_mps,
                launch_angle_deg,
                launch_direction_deg,
                spin_rate_rpm,
                spin_axis_deg,
            }
        },
    )
}

fn winds() -> impl Strategy<Value = Wind> {
    (0.0..60.0, 0.0..360.0, 0.5..100.0).prop_map(|(speed_mps, from_deg, height_m)| Wind {
        speed_mps,
        from_deg,
        height_m,
    })
}

fn airs() -> impl Strategy<Value = Conditions> {
    let model = prop::sample::select(Model::ALL.to_vec());
    let scales = (0.5..2.0, 0.5..2.0, 0.0..3.0).prop_map(|(drag, lift, spin_drag)| Scales {
        drag,
        lift,
        spin_drag,
    });
    (-40.0..60.0, 400.0..1_100.0, 0.0..100.0, model, scales).prop_map(
        |(temperature_c, hpa, humidity_pct, model, scales)| Conditions {
            weather: Weather { temperature_c, pressure: Pressure::Station(hpa), humidity_pct },
            wind: Wind::STILL,
            aerodynamics: Aerodynamics { model, scales },
        },
    )
}

/// A measure of a point that grows with its place: what rounding may do to it.
fn slack(carry: f64) -> f64 {
    1e-9 * (1.0 + carry)
}

proptest! {
    #[test]
    fn whatever_is_within_the_bounds_lands_with_plain_numbers(
        launch in launches(), wind in winds(), air in airs(),
    ) {
        let trajectory = trajectory(&launch, &Conditions { wind, ..air });
        let flight = trajectory.fly().unwrap();
        prop_assert!(flight.carry_m.is_finite() && flight.carry_m >= 0.0);
        prop_assert!(flight.apex_m >= 0.0 && flight.hang_time_s >= 0.0);
        prop_assert!((-90.0..=90.0).contains(&flight.descent_angle_deg));
        prop_assert!(flight.landing_spin_rpm <= launch.spin_rate_rpm * (1.0 + 1e-12));
        let straight = flight.downrange_m.hypot(flight.side_m);
        prop_assert!((straight - flight.carry_m).abs() <= slack(straight));
        for ground in Ground::ALL {
            let run = ground.run(&flight);
            prop_assert!(run.total_m.is_finite());
            prop_assert!(run.low_m <= run.run_m && run.run_m <= run.high_m);
        }
    }

    #[test]
    fn energy_never_grows_in_still_air(launch in launches(), air in airs()) {
        let (_, path) = trajectory(&launch, &air).path(0.01).unwrap();
        // Mean speeds of the stretches between the points, at their mean heights.
        // The last stretch, to the landing, is shorter than the others and bends less.
        let energies: Vec<f64> = path[..path.len() - 1]
            .windows(2)
            .map(|pair| {
                let [a, b] = [&pair[0], &pair[1]];
                let time = b.time_s - a.time_s;
                let way = ((b.x_m - a.x_m).powi(2) + (b.y_m - a.y_m).powi(2) + (b.z_m - a.z_m).powi(2))
                    .sqrt();
                0.5 * (way / time).powi(2) + GRAVITY_MPS2 * f64::midpoint(a.z_m, b.z_m)
            })
            .collect();
        for pair in energies.windows(2) {
            // The mean of a stretch is off by its bend, 1e-5 J/kg at most.
            prop_assert!(pair[1] <= pair[0] + 2e-4, "{} after {}", pair[1], pair[0]);
        }
    }

    #[test]
    fn a_mirrored_launch_in_a_mirrored_wind_flies_mirrored(
        launch in launches(), wind in winds(), air in airs(),
    ) {
        let mirrored = Launch {
            launch_direction_deg: -launch.launch_direction_deg,
            spin_axis_deg: -launch.spin_axis_deg,
            ..launch
        };
        let across = Wind { from_deg: 360.0 - wind.from_deg, ..wind };
        let here = fly(&launch, &Conditions { wind, ..air });
        let there = fly(&mirrored, &Conditions { wind: across, ..air });
        // The sine of 360° less an angle differs in its last digits.
        let slack = 1e-6 * (1.0 + here.carry_m);
        prop_assert!((here.downrange_m - there.downrange_m).abs() <= slack);
        prop_assert!((here.side_m + there.side_m).abs() <= slack);
        prop_assert!((here.curve_m + there.curve_m).abs() <= slack);
        prop_assert!((here.apex_m - there.apex_m).abs() <= slack);
    }

    #[test]
    fn a_launch_turned_with_its_wind_lands_turned(
        launch in launches(), wind in winds(), turn in 1.0..60.0,
    ) {
        let here = Launch { launch_direction_deg: launch.launch_direction_deg.abs() - 90.0, ..launch };
        let there = Launch { launch_direction_deg: here.launch_direction_deg + turn, ..launch };
        let turned = Wind { from_deg: (wind.from_deg + turn) % 360.0, ..wind };
        let here = fly(&here, &Conditions { wind, ..Conditions::default() });
        let there = fly(&there, &Conditions { wind: turned, ..Conditions::default() });
        let (sin, cos) = f64::to_radians(turn).sin_cos();
        let slack = 1e-6 * (1.0 + here.carry_m);
        prop_assert!((there.downrange_m - (cos * here.downrange_m - sin * here.side_m)).abs() <= slack);
        prop_assert!((there.side_m - (sin * here.downrange_m + cos * here.side_m)).abs() <= slack);
    }

    #[test]
    fn a_tilt_to_the_right_curves_right_and_a_wind_from_the_right_blows_left(
        speed in 30.0..80.0, angle in 8.0..30.0, spin in 2_000.0..9_000.0, tilt in 1.0..40.0,
    ) {
        let launch = Launch {
            ball_speed_mps: speed,
            launch_angle_deg: angle,
            launch_direction_deg: -4.0,
            spin_rate_rpm: spin,
            spin_axis_deg: tilt,
        };
        let still = Conditions::default();
        prop_assert!(fly(&launch, &still).curve_m > 0.0);
        let untilted = Launch { spin_axis_deg: 0.0, ..launch };
        prop_assert!(fly(&untilted, &still).curve_m.abs() < 1e-6);
        let windy = in_wind(5.0, 90.0);
        prop_assert!(fly(&untilted, &windy).curve_m < 0.0);
    }
}
