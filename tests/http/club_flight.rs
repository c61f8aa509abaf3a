//! A club flown in given conditions, over HTTP.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::Running;

/// Launches around a centre, in SI: speed, angle, spin; their spread is made up, and its mean is 0.
fn launches(centre: [f64; 3], count: u32) -> Vec<[f64; 3]> {
    let off = |at: u32, prime: u32| f64::from(at * prime % 12) / 5.5 - 1.0;
    let [speed, angle, spin] = centre;
    (0..count)
        .map(|at| [speed + 0.6 * off(at, 5), angle + 0.8 * off(at, 7), spin + 180.0 * off(at, 11)])
        .collect()
}

/// The two clubs of the check data's page: both carry 158.0 m in still air.
const INCUMBENT: [f64; 3] = [53.712, 17.0, 5_300.0];
const CANDIDATE: [f64; 3] = [52.970_1, 13.5, 4_200.0];

/// Stores shots of rowan's; `change` makes each what it is to be.
fn store(service: &Running, club: &str, launches: &[[f64; 3]], change: impl Fn(usize, &mut Value)) {
    let mut lines = String::new();
    for (at, [speed, angle, spin]) in launches.iter().enumerate() {
        let mut event = json!({
            "id": format!("{club}-{at}"), "source": "bay-3", "time": "2026-04-11T10:15:04Z",
            "player": "rowan", "club": club, "lie": "mat", "session": "one",
            "launch": {
                "ball_speed_mps": speed, "launch_angle_deg": angle, "spin_rate_rpm": spin,
                "launch_direction_deg": 0.0, "spin_axis_deg": 0.0,
            },
        });
        change(at, &mut event);
        writeln!(lines, "{event}").unwrap();
    }
    let told = service.stream(&lines).json();
    assert_eq!(told["accepted"], launches.len(), "{told}");
}

fn flight(service: &Running, club: &str, query: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/clubs/{club}/flight?{query}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[track_caller]
fn near(what: &str, ours: &Value, theirs: f64, tolerance: f64) {
    let ours = number(ours);
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours}, not {theirs} ± {tolerance}");
}

/// The page of the check data (`../data/flight/README.md`), made by an independent program.
#[test]
fn two_clubs_of_one_carry_are_told_apart_by_the_wind() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 36), |_, _| {});
    store(&service, "4u", &launches(CANDIDATE, 36), |_, _| {});
    for (query, carries, descents) in [
        ("", [158.0, 158.0], [49.8, 40.4]),
        ("temperature_c=5", [156.3, 157.1], [49.8, 40.5]),
        ("wind_speed_mph=20&wind_from_deg=0", [120.0, 133.3], [77.2, 66.6]),
        ("wind_speed_mph=20&wind_from_deg=180", [172.6, 162.4], [33.1, 26.8]),
    ] {
        for ((club, carry), descent) in ["5h", "4u"].into_iter().zip(carries).zip(descents) {
            let answer = flight(&service, club, query);
            let there = &answer["asked"];
            // The centre of made-up launches is not quite that of the page's.
            near(query, &there["typical"]["carry_m"], carry, 0.5);
            near(query, &there["typical"]["descent_angle_deg"], descent, 0.3);
            near(query, &answer["reference"]["typical"]["carry_m"], 158.0, 0.5);
            let spread = &there["spread"]["carry_m"];
            let [low, middle, high] = ["p10", "median", "p90"].map(|at| number(&spread[at]));
            assert!(low < middle - 1.0 && middle + 1.0 < high, "{spread}");
            assert!((middle - carry).abs() < 2.0 && number(&spread["n"]) >= 500.0, "{spread}");
        }
    }
}

#[test]
fn a_crosswind_drifts_and_a_ground_gives_a_total() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 24), |_, _| {});
    let answer = flight(&service, "5h", "wind_speed_mph=20&wind_from_deg=90&ground=soft");
    near("drift", &answer["asked"]["typical"]["side_m"], -27.9, 0.3);
    near("no drift", &answer["reference"]["typical"]["side_m"], 0.0, 1e-6);
    near("total", &answer["asked"]["typical"]["total_m"], 163.1, 0.6);
    assert_eq!(answer["conditions"]["ground"], "soft");
    let bare = flight(&service, "5h", "");
    assert!(bare["asked"]["typical"]["total_m"].is_null());
    assert!(bare["asked"]["spread"]["total_m"].is_null());
    let imperial = flight(&service, "5h", "ground=soft&units=imperial");
    near("yards", &imperial["asked"]["typical"]["carry_yd"], 172.8, 0.6);
    near("feet", &imperial["asked"]["typical"]["apex_ft"], 29.2 / 0.3048, 1.0);
    near("°F", &imperial["conditions"]["air"]["temperature_f"], 68.0, 1e-9);
}

#[test]
fn it_is_an_estimate_and_says_what_it_rests_on() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 24), |_, _| {});
    let answer = flight(&service, "5h", "pressure_hpa=1013.25&altitude_m=1600");
    assert!(answer["caution"].as_str().unwrap().contains("licensed practice"));
    assert_eq!(answer["flags"], json!(["unusual:/air/pressure_hpa"]));
    assert_eq!(answer["other_model"]["aerodynamics"], "ball-1990s");
    let calibration = &answer["calibration"];
    assert_eq!((&calibration["source"], &calibration["shots"]), (&json!("default"), &json!(0)));
    assert_eq!(answer["surface"], "mat");
    assert_eq!((&answer["counted"], &answer["launches"]), (&json!(24), &json!(24)));
    near("speed", &answer["launch"]["ball_speed_mps"], INCUMBENT[0], 0.05);
}

/// Every flight there is: of the check data's shots, flown by an independent program with 6 % more drag.
fn shots_with_more_drag() -> Vec<[f64; 6]> {
    let text = include_str!("../data/flight/calibration.csv");
    let rows = csv::Reader::from_reader(text.as_bytes()).into_deserialize();
    let rows = rows.map(|row| -> (String, String, [f64; 6]) { row.unwrap() });
    let rows: Vec<[f64; 6]> =
        rows.filter(|(set, ..)| set == "middle/more-drag").map(|(.., numbers)| numbers).collect();
    assert_eq!(rows.len(), 48);
    rows
}

fn store_tracked(service: &Running, shots: &[[f64; 6]], adjusted_for: &Value) {
    let launches: Vec<[f64; 3]> =
        shots.iter().map(|[speed, angle, spin, ..]| [*speed, *angle, *spin]).collect();
    store(service, "5h", &launches, |at, event| {
        let [.., carry, apex, descent] = shots[at];
        event["flight"] = json!({
            "carry_m": carry, "apex_m": apex, "descent_angle_deg": descent, "origin": "tracked",
            "adjusted_for": adjusted_for,
        });
    });
}

#[test]
fn enough_tracked_shots_calibrate_the_model_and_adjusted_ones_never_do() {
    let shots = shots_with_more_drag();
    let carries: f64 = shots.iter().map(|[.., carry, _, _]| carry).sum();
    let mean = carries / 48.0;
    let service = Running::start();
    store_tracked(&service, &shots, &json!([]));
    let own = flight(&service, "5h", "");
    let calibration = &own["calibration"];
    assert_eq!((&calibration["source"], &calibration["shots"]), (&json!("own"), &json!(48)));
    assert!(number(&calibration["cross_validated_improvement_m"]) > 1.0, "{calibration}");
    assert!(number(&calibration["drag"]) > 1.02, "{calibration}");
    near("calibrated", &own["asked"]["spread"]["carry_m"]["median"], mean, 1.5);
    // The model as it is, where that is asked for.
    let as_it_is = flight(&service, "5h", "calibration=none");
    assert_eq!(as_it_is["calibration"]["source"], "default");
    assert_eq!(
        (&as_it_is["calibration"]["shots"], &as_it_is["calibration"]["drag"]),
        (&json!(0), &json!(1.0))
    );
    assert!(number(&as_it_is["asked"]["spread"]["carry_m"]["median"]) > mean + 3.0);
    let adjusted = Running::start();
    store_tracked(&adjusted, &shots, &json!(["air"]));
    let plain = flight(&adjusted, "5h", "");
    assert_eq!(plain["calibration"]["source"], "default");
    assert_eq!(plain["calibration"]["shots"], 0);
    assert!(number(&plain["asked"]["spread"]["carry_m"]["median"]) > mean + 3.0);
}

/// Shots in thin air fly far: taken for shots at the sea, they would tell of a ball with little drag.
#[test]
fn shots_are_taken_in_the_air_that_they_flew_in() {
    let launches = launches(INCUMBENT, 24);
    let there = |service: &Running, said: &str| {
        service.send("PUT", "/v1/sources/bay-3", said);
        let flights: Vec<Value> = launches
            .iter()
            .map(|[speed, angle, spin]| {
                json!({
                    "launch": {
                        "ball_speed_mps": speed, "launch_angle_deg": angle, "spin_rate_rpm": spin,
                    },
                    "air": {"altitude_m": 1600, "temperature_c": 30},
                    "wind": {"speed_mps": 6, "from_deg": 180},
                })
            })
            .collect();
        let body = json!({"flights": flights}).to_string();
        let flown = service.send("POST", "/v1/flights", &body).json();
        store(service, "5h", &launches, |at, event| {
            let carry = &flown["flights"][at]["carry_m"];
            event["flight"] = json!({"carry_m": carry, "origin": "tracked"});
            event["air"] = json!({"temperature_c": 30});
            // The bay points east: this wind is from behind.
            event["wind"] = json!({"speed_mps": 6, "compass_from_deg": 270});
        });
        flight(service, "5h", "")["calibration"].clone()
    };
    let told = there(
        &Running::start(),
        r#"{"name": "Bay 3", "altitude_m": 1600, "target_bearing_deg": 90}"#,
    );
    near("the source says where it is", &told["drag"], 1.0, 0.01);
    assert_eq!(told["shots"], 24);
    // Nobody said where the bay points: a wind from nowhere is no still air, and tells nothing of the ball.
    let untold = there(&Running::start(), r#"{"name": "Bay 3", "altitude_m": 1600}"#);
    assert_eq!((&untold["source"], &untold["shots"]), (&json!("default"), &json!(0)));
}

#[test]
fn a_spin_that_was_not_measured_is_inferred_or_the_shot_is_left_out() {
    let service = Running::start();
    let launches = launches(INCUMBENT, 24);
    // Of every third shot no spin came; another third has it from the flight.
    store(&service, "5h", &launches, |at, event| match at % 3 {
        0 => drop(
            event["launch"].as_object_mut().unwrap().remove("spin_rate_rpm").is_some()
                && event["launch"].as_object_mut().unwrap().remove("spin_axis_deg").is_some(),
        ),
        1 => event["launch"]["spin_origin"] = json!("from_flight"),
        _ => {}
    });
    let answer = flight(&service, "5h", "");
    assert_eq!((&answer["launches"], &answer["spin_inferred"]), (&json!(24), &json!(16)));
    assert_eq!(answer["launch"]["inferred"], true);
    near("spin", &answer["launch"]["spin_rate_rpm"], INCUMBENT[2], 60.0);
    // Nothing tells the spin of a club without any, unless its flight was tracked.
    let bare = |event: &mut Value| {
        let launch = event["launch"].as_object_mut().unwrap();
        launch.retain(|name, _| name == "ball_speed_mps" || name == "launch_angle_deg");
    };
    store(&service, "4i", &launches, |_, event| bare(event));
    let nothing = flight(&service, "4i", "wind_speed_mps=5&wind_from_deg=0");
    assert_eq!((&nothing["launches"], &nothing["without_spin"]), (&json!(0), &json!(24)));
    assert!(nothing["asked"].is_null() && nothing["launch"].is_null());
    assert!(nothing["reason"].as_str().unwrap().contains("spin"));
    let flown = flight(&service, "5h", "")["asked"]["typical"].clone();
    store(&service, "7i", &launches, |_, event| {
        bare(event);
        event["flight"] = json!({
            "carry_m": flown["carry_m"], "apex_m": flown["apex_m"],
            "descent_angle_deg": flown["descent_angle_deg"], "origin": "tracked",
        });
    });
    let solved = flight(&service, "7i", "");
    assert_eq!(solved["spin_inferred"], 24);
    near("solved", &solved["launch"]["spin_rate_rpm"], INCUMBENT[2], 300.0);
    let spin = &solved["spin_solved"];
    assert_eq!((&spin["shots"], &spin["inferred"]), (&json!(24), &json!(true)));
    let [low, high] = ["low_rpm", "high_rpm"].map(|end| number(&spin[end]));
    assert!(low < INCUMBENT[2] - 100.0 && INCUMBENT[2] + 100.0 < high, "{spin}");
    assert!(high - low < 4_000.0, "{spin}");
    let words = spin["words"].as_str().unwrap();
    assert!(words.contains("24 shots was not measured but solved"), "{words}");
    assert!(answer["spin_solved"].is_null(), "learned from the club's other shots, not solved");
    assert!(solved["launch"]["spin_axis_deg"].is_null(), "never measured");
    assert!(solved["asked"]["typical"]["side_m"].is_null(), "so the side is not known");
}

#[test]
fn a_club_without_shots_or_launches_has_nulls_and_a_reason() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 12), |_, event| {
        event.as_object_mut().unwrap().remove("launch");
        event["flight"] = json!({"carry_m": 158});
    });
    service.send("PUT", "/v1/players/rowan/clubs/new", r#"{"name": "new"}"#);
    for (club, counted, reason) in [("5h", 12, "launch angle"), ("new", 0, "no shot")] {
        let answer = flight(&service, club, "ground=firm");
        assert_eq!((&answer["counted"], &answer["launches"]), (&json!(counted), &json!(0)));
        assert!(answer["reason"].as_str().unwrap().contains(reason), "{}", answer["reason"]);
        for member in ["launch", "asked", "reference", "other_model"] {
            assert!(answer[member].is_null(), "{club}: {member}");
        }
    }
}

#[test]
fn it_rests_on_what_the_profile_counts() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 24), |at, event| {
        event["lie"] = json!(if at < 18 { "mat" } else { "fairway" });
        if at < 2 {
            event["purpose"] = json!("warm_up");
        }
    });
    for (query, counted) in [("", 16), ("lie=fairway", 6), ("last=5", 5)] {
        let answer = flight(&service, "5h", query);
        let profile = service.get(&format!("/v1/players/rowan/clubs/5h/profile?{query}")).json();
        assert_eq!(answer["counted"], counted, "{query}");
        assert_eq!(answer["surface"], profile["surface"], "{query}");
        assert_eq!(answer["counted"], profile["counted"], "{query}");
    }
}

#[test]
fn the_same_question_has_the_same_bytes_until_a_shot_comes() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 24), |_, _| {});
    let path = "/v1/players/rowan/clubs/5h/flight?wind_speed_mps=5&wind_from_deg=30";
    let first = service.get(path);
    let again = service.get("/v1/players/rowan/clubs/5h/flight?wind_from_deg=30&wind_speed_mps=5");
    assert_eq!((first.header("etag"), &first.body), (again.header("etag"), &again.body));
    let fields = format!("If-None-Match: {}\r\n", first.header("etag").unwrap());
    assert_eq!(service.get_with(path, &fields).status, 304);
    let faster = [INCUMBENT[0] + 4.0, INCUMBENT[1], INCUMBENT[2]];
    store(&service, "5h", &[faster; 1], |_, event| event["id"] = json!("another"));
    let later = service.get(path).json();
    assert_eq!((&later["counted"], &later["as_of"]), (&json!(25), &json!(25)));
    // Other conditions are another question.
    let still = flight(&service, "5h", "");
    assert_ne!(still["asked"], later["asked"]);
    assert_eq!(still["reference"], later["reference"]);
}

#[test]
fn faults_of_the_question_are_told_at_their_parameters() {
    let service = Running::start();
    store(&service, "5h", &launches(INCUMBENT, 3), |_, _| {});
    for (query, parameter) in [
        ("wind_speed_mps=70&wind_from_deg=0", "wind_speed_mps"),
        ("wind_speed_mps=5", "wind_from_deg"),
        ("temperature_f=200", "temperature_f"),
        ("temperature=20", "temperature"),
        ("ground=sand", "ground"),
        ("aerodynamics=vacuum", "aerodynamics"),
        ("ball=none", "ball"),
    ] {
        let answer = service.get(&format!("/v1/players/rowan/clubs/5h/flight?{query}"));
        assert_eq!(answer.status, 422, "{query}");
        assert_eq!(answer.problem()["errors"][0]["parameter"], parameter, "{query}");
    }
    assert_eq!(service.get("/v1/players/rowan/clubs/none/flight").status, 404);
    assert_eq!(service.get("/v1/players/none/clubs/5h/flight").status, 404);
}
