//! Every row of the check data, within the tolerances that its page states.

use evencarry::flight::{Run, Scene};

use crate::case::{cases, near};

#[test]
fn every_row_flies_as_in_the_reference() {
    let cases = cases();
    assert_eq!(cases.len(), 153);
    for case in &cases {
        let flight = case.trajectory().fly().unwrap();
        let hold = |column: &str, ours: f64, tolerance: f64| {
            near((&case.name, column), ours, case.number(column), tolerance);
        };
        // The file has six digits: half a digit of the largest values comes on top.
        hold("carry_m", flight.carry_m, 0.01);
        hold("downrange_m", flight.downrange_m, 0.01);
        hold("side_m", flight.side_m, 0.01);
        hold("apex_m", flight.apex_m, 0.01);
        // Flat at the top: a time 1 ms off is a height 5 µm off.
        hold("apex_t_s", flight.apex_time_s, 0.002);
        hold("apex_x_m", flight.apex_downrange_m, 0.1);
        hold("hang_time_s", flight.hang_time_s, 0.002);
        hold("descent_angle_deg", flight.descent_angle_deg, 0.02);
        hold("landing_speed_mps", flight.landing_speed_mps, 0.005);
        hold("landing_spin_rpm", flight.landing_spin_rpm, 0.5);
        if case.lands_upright() {
            continue;
        }
        hold("landing_direction_deg", flight.landing_direction_deg, 0.05);
        let Run { run_m, low_m, high_m, total_m, total_downrange_m, total_side_m } =
            case.ground().run(&flight);
        hold("run_m", run_m, 0.05);
        hold("run_low_m", low_m, 0.05);
        hold("run_high_m", high_m, 0.065);
        hold("total_m", total_m, 0.05);
        hold("total_downrange_m", total_downrange_m, 0.05);
        hold("total_side_m", total_side_m, 0.05);
    }
}

#[test]
fn the_path_passes_the_points_of_the_reference() {
    for case in cases() {
        let (flight, path) = case.trajectory().path(1.0).unwrap();
        for (second, at) in [(1, 1.0), (2, 2.0), (3, 3.0)] {
            let point = path.iter().find(|point| (point.time_s - at).abs() < 1e-9);
            let there = case.known(&format!("x{second}_m"));
            assert_eq!(point.is_some(), there.is_some(), "{} at {second} s", case.name);
            let Some(point) = point else { continue };
            for (axis, ours) in [("x", point.x_m), ("y", point.y_m), ("z", point.z_m)] {
                let column = format!("{axis}{second}_m");
                near((&case.name, &column), ours, case.number(&column), 0.01);
            }
        }
        let last = path.last().unwrap();
        near((&case.name, "end"), last.time_s, flight.hang_time_s, 1e-12);
        near((&case.name, "end"), last.x_m, flight.downrange_m, 1e-9);
        near((&case.name, "end"), last.y_m, flight.side_m, 1e-9);
        assert!(path.windows(2).all(|pair| pair[0].time_s < pair[1].time_s), "{}", case.name);
    }
}

#[test]
fn air_and_the_numbers_of_the_launch_are_the_reference_s() {
    for case in cases() {
        let conditions = case.conditions();
        let air = *Scene::new(&conditions).unwrap().air();
        let hold = |column: &str, ours: f64| {
            let theirs = case.number(column);
            near((&case.name, column), ours, theirs, 1e-5 * theirs.abs());
        };
        hold("air_density_kgpm3", air.density_kgpm3);
        hold("air_viscosity_upas", 1e6 * air.viscosity_pas);
        hold("pressure_hpa", air.pressure_hpa);
        let trajectory = case.trajectory();
        hold("launch_re", trajectory.reynolds());
        hold("launch_s", trajectory.spin_ratio());
    }
}
