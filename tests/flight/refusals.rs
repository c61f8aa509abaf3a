//! Bad input is refused with its name and its range, all of it at once.

use evencarry::flight::{Conditions, Launch, Pressure, Scales, Scene, Weather, Wind};

use crate::case::straight;

fn names(conditions: &Conditions) -> Vec<&'static str> {
    let faults = Scene::new(conditions).unwrap_err();
    faults.all().iter().map(|fault| fault.bound.name).collect()
}

#[test]
fn a_value_outside_its_range_is_named_with_the_range() {
    let scene = Scene::new(&Conditions::default()).unwrap();
    let launch = Launch { launch_angle_deg: 95.0, ..straight(0.5, 10.0, 3_000.0) };
    let said = scene.launch(&launch).unwrap_err().to_string();
    assert_eq!(
        said,
        "ball_speed_mps is 0.5, but must be a number from 1 to 110; \
         launch_angle_deg is 95, but must be a number from -20 to 80"
    );
}

#[test]
fn nan_and_infinity_are_refused_everywhere() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let scene = Scene::new(&Conditions::default()).unwrap();
        let launch = Launch {
            ball_speed_mps: bad,
            launch_angle_deg: bad,
            launch_direction_deg: bad,
            spin_rate_rpm: bad,
            spin_axis_deg: bad,
        };
        assert_eq!(scene.launch(&launch).unwrap_err().all().len(), 5, "{bad}");
        let mut conditions = Conditions {
            weather: Weather {
                temperature_c: bad,
                pressure: Pressure::SeaLevel { hpa: bad, altitude_m: bad },
                humidity_pct: bad,
            },
            wind: Wind { speed_mps: bad, from_deg: bad, height_m: bad },
            ..Conditions::default()
        };
        conditions.aerodynamics.scales = Scales { drag: bad, lift: bad, spin_drag: bad };
        let expected = [
            "temperature_c",
            "sea_level_pressure_hpa",
            "altitude_m",
            "humidity_pct",
            "wind_speed_mps",
            "wind_from_deg",
            "wind_height_m",
            "drag_scale",
            "lift_scale",
            "spin_drag_scale",
        ];
        assert_eq!(names(&conditions), expected, "{bad}");
    }
}

#[test]
fn the_ends_of_a_range_belong_to_it() {
    let scene = Scene::new(&Conditions::default()).unwrap();
    for (speed, angle) in [(1.0, -20.0), (110.0, 80.0)] {
        assert!(scene.launch(&straight(speed, angle, 20_000.0)).is_ok());
    }
    let mut conditions = Conditions::default();
    conditions.weather.pressure = Pressure::Station(399.9);
    assert_eq!(names(&conditions), ["pressure_hpa"]);
    conditions.weather.pressure = Pressure::Standard(6_000.1);
    assert_eq!(names(&conditions), ["altitude_m"]);
}

#[test]
fn a_ball_hit_into_the_ground_does_not_fly() {
    let scene = Scene::new(&Conditions::default()).unwrap();
    let flight = scene.launch(&straight(50.0, -5.0, 2_000.0)).unwrap().fly().unwrap();
    assert!(
        [flight.carry_m, flight.apex_m, flight.hang_time_s].iter().all(|part| part.abs() < 1e-12)
    );
    let (_, path) = scene.launch(&straight(50.0, -5.0, 2_000.0)).unwrap().path(0.1).unwrap();
    assert!(path.len() == 2 && path[1].time_s.abs() < 1e-12);
}
