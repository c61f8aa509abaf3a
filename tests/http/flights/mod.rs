//! Flights over HTTP: what is flown agrees with an independent program, and what is asked wrongly is
//! told at its place.

mod refused;

use std::collections::HashMap;

use serde_json::{Value, json};

use crate::support::Running;

const AT: &str = "/v1/flights";

fn fly(service: &Running, wanted: &Value) -> Value {
    let answer = service.send("POST", AT, &wanted.to_string());
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

fn launch() -> Value {
    json!({"ball_speed_mps": 53.712, "launch_angle_deg": 17.0, "spin_rate_rpm": 5300.0})
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[track_caller]
fn near(what: &str, ours: &Value, theirs: f64, tolerance: f64) {
    let ours = number(ours);
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours}, not {theirs} ± {tolerance}");
}

/// The rows of the check data that the API has a model for: an independent program's, with its
/// tolerances (`tests/data/flight/README.md`).
fn rows() -> Vec<HashMap<String, String>> {
    let text = include_str!("../../data/flight/reference.csv");
    let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize();
    let rows = rows.map(|row| row.unwrap()).filter(|row: &HashMap<_, _>| row["model"] != "vacuum");
    rows.collect()
}

/// Columns of a row under the names that a request has for them.
fn wanted(row: &HashMap<String, String>, names: [(&str, &str); 4]) -> Value {
    let of = |column: &str| -> f64 { row[column].parse().unwrap() };
    let [speed, temperature, altitude, wind] = names;
    let mut wanted = json!({
        "launch": {
            speed.0: of(speed.1), "launch_angle_deg": of("launch_angle_deg"),
            "launch_direction_deg": of("launch_direction_deg"),
            "spin_rate_rpm": of("spin_rate_rpm"), "spin_axis_deg": of("spin_axis_deg"),
        },
        "air": {
            temperature.0: of(temperature.1), "humidity_pct": of("humidity_pct"),
            altitude.0: of(altitude.1),
        },
        "wind": {
            wind.0: of(wind.1), "from_deg": of("wind_from_deg"), "height_m": of("wind_height_m"),
        },
        "ground": row["ground"],
        "aerodynamics": if row["model"] == "default" { "default" } else { "ball-1990s" },
    });
    if row["pressure_given"] == "1" {
        wanted["air"]["pressure_hpa"] = json!(of("pressure_hpa"));
    }
    wanted
}

#[test]
fn every_row_of_the_check_data_is_flown_as_there() {
    let service = Running::start();
    let rows = rows();
    assert_eq!(rows.len(), 150);
    let names = [
        ("ball_speed_mps", "ball_speed_mps"),
        ("temperature_c", "temperature_c"),
        ("altitude_m", "altitude_m"),
        ("speed_mps", "wind_mps"),
    ];
    let flights: Vec<Value> = rows.iter().map(|row| wanted(row, names)).collect();
    let answer = fly(&service, &json!({"flights": flights}));
    assert_eq!(answer["units"], "si");
    for (row, flight) in rows.iter().zip(answer["flights"].as_array().unwrap()) {
        let hold = |member: &str, tolerance: f64| {
            let what = format!("{} ({}), {member}", row["case"], row["model"]);
            near(&what, &flight[member], row[member].parse().unwrap(), tolerance);
        };
        for member in ["carry_m", "downrange_m", "side_m", "apex_m"] {
            hold(member, 0.01);
        }
        hold("hang_time_s", 0.002);
        hold("descent_angle_deg", 0.02);
        hold("landing_speed_mps", 0.005);
        hold("landing_spin_rpm", 0.5);
        // A ball that lands upright has no direction to run in.
        if !["head-30", "wedge-head-30"].contains(&row["case"].as_str()) {
            hold("total_m", 0.05);
            hold("total_side_m", 0.05);
        }
        let density = &flight["estimate"]["air"]["density_kgpm3"];
        near(&row["case"], density, row["air_density_kgpm3"].parse().unwrap(), 2e-5);
    }
}

#[test]
fn the_same_rows_in_imperial_units_in_and_out() {
    let service = Running::start();
    let rows = rows();
    let names = [
        ("ball_speed_mph", "ball_speed_mph"),
        ("temperature_f", "temperature_f"),
        ("altitude_ft", "altitude_ft"),
        ("speed_mph", "wind_mph"),
    ];
    let flights: Vec<Value> = rows.iter().map(|row| wanted(row, names)).collect();
    let body = json!({"flights": flights}).to_string();
    let answer = service.send("POST", "/v1/flights?units=imperial", &body).json();
    assert_eq!(answer["units"], "imperial");
    for (row, flight) in rows.iter().zip(answer["flights"].as_array().unwrap()) {
        // The file has six digits, of speeds too: 0.005 % of 300 yd on top of the tolerance.
        for (member, tolerance) in [("carry_yd", 0.03), ("side_yd", 0.02), ("apex_ft", 0.04)] {
            let what = format!("{} ({}), {member}", row["case"], row["model"]);
            near(&what, &flight[member], row[member].parse().unwrap(), tolerance);
        }
        assert!(flight.get("carry_m").is_none());
    }
}

#[test]
fn a_flight_has_what_the_contract_says_and_its_estimate_says_what_it_is() {
    let service = Running::start();
    let flight = fly(&service, &json!({"launch": launch()}));
    near("carry", &flight["carry_m"], 158.0, 0.1);
    assert_eq!(flight["lands"], true);
    for absent in ["total_m", "run_m", "path"] {
        assert!(flight.get(absent).is_none(), "{absent} was not asked for");
    }
    let estimate = &flight["estimate"];
    assert_eq!(estimate["aerodynamics"], "default");
    assert_eq!(estimate["other_model"]["aerodynamics"], "ball-1990s");
    let caution = estimate["caution"].as_str().unwrap();
    for word in ["estimates", "nets", "fences", "licensed practice"] {
        assert!(caution.contains(word), "{caution}");
    }
    // What the model was off by where it was fitted: 2.1 yd of carry and 1.5° of descent.
    let uncertainty = &estimate["uncertainty"];
    near("carry sd", &uncertainty["carry_m"]["sd"], 2.1 * 0.9144, 0.01);
    near("descent sd", &uncertainty["descent_angle_deg"]["sd"], 1.5, 1e-9);
    assert!(uncertainty["side_m"].is_null(), "nothing is known of the side");
    let carry = number(&flight["carry_m"]);
    let [low, high] = ["low", "high"].map(|end| number(&uncertainty["carry_m"][end]));
    assert!(low < carry - 3.0 && carry + 3.0 < high);
    // Whoever reads the pages is told too.
    assert!(service.get("/docs/api").text().contains("fences or safe distances"));
    let soft = fly(&service, &json!({"launch": launch(), "ground": "soft"}));
    near("total", &soft["total_m"], 159.8, 0.15);
}

#[test]
fn where_the_models_differ_in_what_weather_does_the_figures_are_less_sure() {
    let service = Running::start();
    let fly = |wind: Value, model: &str| {
        let flight = json!({"launch": launch(), "wind": wind, "aerodynamics": model});
        fly(&service, &flight)
    };
    let still = json!({"speed_mps": 0, "from_deg": 0});
    let head = json!({"speed_mph": 20, "from_deg": 0});
    let carry = |wind: &Value, model| number(&fly(wind.clone(), model)["carry_m"]);
    let change = |model| carry(&head, model) - carry(&still, model);
    let apart = (change("default") - change("ball-1990s")).abs();
    assert!(apart > 2.0, "{apart}");
    let sd = |wind: &Value| {
        number(&fly(wind.clone(), "default")["estimate"]["uncertainty"]["carry_m"]["sd"])
    };
    near("still", &json!(sd(&still)), 2.1 * 0.9144, 0.01);
    near("wind", &json!(sd(&head)), (2.1 * 0.9144_f64).hypot(apart / 2.0), 0.01);
}

#[test]
fn a_spread_of_the_launch_widens_what_it_moves() {
    let service = Running::start();
    let spread = |spread: Value| {
        fly(&service, &json!({"launch": launch(), "launch_spread": spread, "ground": "firm"}))
    };
    let sd =
        |flight: &Value, member: &str| number(&flight["estimate"]["uncertainty"][member]["sd"]);
    let none = spread(json!({}));
    near("side", &none["estimate"]["uncertainty"]["side_m"]["sd"], 0.0, 0.0);
    // The check data's sensitivities: 0.1 % of speed is 0.18 m of such a carry. One degree of
    // direction puts the ball 2.76 m aside at 158 m.
    let fast = spread(json!({"ball_speed_mps": 0.537_12}));
    let launch_part = (sd(&fast, "carry_m").powi(2) - sd(&none, "carry_m").powi(2)).sqrt();
    assert!((launch_part - 1.8).abs() < 0.1, "{launch_part}");
    let aside = spread(json!({"launch_direction_deg": 1.0}));
    assert!((sd(&aside, "side_m") - 2.76).abs() < 0.02);
    assert!((sd(&aside, "carry_m") - sd(&none, "carry_m")).abs() < 1e-9);
    assert!(sd(&fast, "total_m") > sd(&none, "total_m"));
}

#[test]
fn a_path_is_sampled_as_asked() {
    let service = Running::start();
    let path = |wanted: Value| {
        let flight = fly(&service, &json!({"launch": launch(), "path": wanted}));
        let points = flight["path"].as_array().unwrap().clone();
        let last = points.last().unwrap();
        assert_eq!(last["t_s"], flight["hang_time_s"]);
        assert_eq!((&last["x_m"], &last["z_m"]), (&flight["downrange_m"], &json!(0.0)));
        assert_eq!(points[0], json!({"t_s": 0.0, "x_m": 0.0, "y_m": 0.0, "z_m": 0.0}));
        (points, number(&flight["apex_m"]))
    };
    let (points, apex) = path(json!({"points": 60}));
    assert_eq!(points.len(), 60);
    let highest = points.iter().map(|point| number(&point["z_m"])).fold(0.0, f64::max);
    assert!(highest <= apex && highest > apex - 0.2);
    let steps: Vec<f64> =
        points.windows(2).map(|pair| number(&pair[1]["t_s"]) - number(&pair[0]["t_s"])).collect();
    assert!(steps.iter().all(|step| (step - steps[0]).abs() < 1e-9), "{steps:?}");
    let (points, _) = path(json!({"every_s": 0.5}));
    near("the fourth point", &points[3]["t_s"], 1.5, 1e-12);
    let (points, _) = path(json!(true));
    assert!((number(&points[1]["t_s"]) - 0.1).abs() < 1e-12);
    let bare = fly(&service, &json!({"launch": launch(), "path": false}));
    assert!(bare.get("path").is_none());
}

#[test]
fn mirrored_wind_and_axis_give_the_mirrored_flight() {
    let service = Running::start();
    let flight = |way: f64| {
        let mut launch = launch();
        launch["launch_direction_deg"] = json!(way * 2.0);
        launch["spin_axis_deg"] = json!(way * 9.0);
        let from = if way > 0.0 { 60.0 } else { 300.0 };
        let wanted = json!({
            "launch": launch, "wind": {"speed_mph": 20.0, "from_deg": from}, "ground": "firm",
        });
        fly(&service, &wanted)
    };
    let (one, other) = (flight(1.0), flight(-1.0));
    for same in ["carry_m", "downrange_m", "apex_m", "hang_time_s", "total_m"] {
        near(same, &one[same], number(&other[same]), 1e-9);
    }
    for turned in ["side_m", "curve_m", "total_side_m"] {
        near(turned, &one[turned], -number(&other[turned]), 1e-9);
    }
    // Right is positive: a ball with its axis to the right curves there; wind from the right blows
    // it left.
    let mut tilted = launch();
    tilted["spin_axis_deg"] = json!(10.0);
    assert!(number(&fly(&service, &json!({"launch": tilted}))["curve_m"]) > 3.0);
    let cross = json!({"launch": launch(), "wind": {"speed_mps": 8, "from_deg": 90}});
    assert!(number(&fly(&service, &cross)["side_m"]) < -10.0);
    let head = json!({"launch": launch(), "wind": {"speed_mps": 8, "from_deg": 0}});
    assert!(number(&fly(&service, &head)["carry_m"]) < 130.0);
}

#[test]
fn a_pair_of_spins_is_the_rate_and_axis_that_it_makes() {
    let service = Running::start();
    let paired = json!({"launch": {
        "ball_speed_mps": 53.712, "launch_angle_deg": 17.0, "backspin_rpm": 4000, "sidespin_rpm": 3000,
    }});
    let mut same = launch();
    same["spin_rate_rpm"] = json!(5000.0);
    same["spin_axis_deg"] = json!(36.869_897_645_844_02);
    let (paired, same) = (fly(&service, &paired), fly(&service, &json!({"launch": same})));
    near("side", &paired["side_m"], number(&same["side_m"]), 1e-9);
}

#[test]
fn a_sea_level_pressure_is_brought_to_the_altitude_and_a_trap_is_flagged() {
    let service = Running::start();
    let at = |air: Value| fly(&service, &json!({"launch": launch(), "air": air}));
    // The check data's page: 835.24 hPa on the spot at 1,600 m is 165.8 m; typed as that of the sea
    // it would be 158.0 m.
    let reduced = at(json!({"sea_level_pressure_hpa": 1013.25, "altitude_m": 1600}));
    near("reduced", &reduced["carry_m"], 165.8, 0.06);
    assert_eq!(reduced["estimate"]["air"]["pressure_origin"], "sea_level");
    assert_eq!(reduced["estimate"]["flags"], json!([]));
    let trap = at(json!({"pressure_hpa": 1013.25, "altitude_m": 1600}));
    near("trap", &trap["carry_m"], 158.0, 0.06);
    assert_eq!(trap["estimate"]["flags"], json!(["unusual:/air/pressure_hpa"]));
    assert!(trap["estimate"]["notes"][0].as_str().unwrap().contains("sea_level_pressure_hpa"));
    let standard = at(json!({"altitude_ft": 5249.344}));
    near("standard", &standard["carry_m"], 165.8, 0.06);
    assert_eq!(standard["estimate"]["air"]["pressure_origin"], "altitude");
}

#[test]
fn what_no_model_was_fitted_to_and_what_was_not_measured_is_said() {
    let service = Running::start();
    let chip = json!({"launch": {
        "ball_speed_mps": 15, "launch_angle_deg": 30, "spin_rate_rpm": 5000, "spin_origin": "from_flight",
    }});
    let chip = fly(&service, &chip);
    let estimate = &chip["estimate"];
    assert_eq!(
        estimate["uncertainty"]["apex_m"]["low"].as_f64().map(f64::is_sign_positive),
        Some(true)
    );
    assert_eq!((&estimate["extrapolated"], &estimate["inferred"]), (&json!(true), &json!(true)));
    assert_eq!(estimate["notes"].as_array().unwrap().len(), 2);
    let other = json!({"launch": launch(), "aerodynamics": "ball-1990s"});
    let estimate = &fly(&service, &other)["estimate"];
    assert_eq!(estimate["extrapolated"], false);
    assert!(estimate["uncertainty"]["carry_m"].is_null(), "its error is not known");
}
