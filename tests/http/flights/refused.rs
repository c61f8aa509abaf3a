//! What is wrong with flights that are asked for, and what is too much.

use serde_json::{Value, json};

use super::{AT, fly, launch};
use crate::support::{Answer, Running, described, raw};

fn faults(answer: &Answer) -> Vec<String> {
    assert_eq!(answer.status, 422, "{}", answer.text());
    let errors = answer.problem()["errors"].clone();
    let pointer = |error: &Value| {
        let parameter = error["parameter"].as_str();
        parameter.unwrap_or_else(|| error["pointer"].as_str().unwrap()).to_owned()
    };
    errors.as_array().unwrap().iter().map(pointer).collect()
}

#[test]
fn all_faults_are_told_at_once_each_at_its_place() {
    let service = Running::start();
    let mut fast = launch();
    fast["ball_speed_mps"] = json!(400);
    fast["launch_angle_deg"] = json!("up");
    let wanted = json!({"flights": [
        {"launch": launch()},
        {"launch": fast, "air": {"temperature_c": 100, "humidity_pct": -1}},
        {"wind": {"from_deg": 90}, "ground": "sand", "aerodynamics": "best", "colour": 1},
        {"launch": {"ball_speed": 50, "launch_angle_deg": 12}, "path": {"points": 1}},
    ]});
    let answer = service.send("POST", "/v1/flights?unit=si", &wanted.to_string());
    assert_eq!(
        faults(&answer),
        [
            "unit",
            "/flights/1/launch/ball_speed_mps",
            "/flights/1/launch/launch_angle_deg",
            "/flights/1/air/temperature_c",
            "/flights/1/air/humidity_pct",
            "/flights/2/launch",
            "/flights/2/wind/speed_mps",
            "/flights/2/ground",
            "/flights/2/aerodynamics",
            "/flights/2/colour",
            "/flights/3/launch/ball_speed_mps",
            "/flights/3/launch/spin_rate_rpm",
            "/flights/3/launch/ball_speed",
            "/flights/3/path/points",
        ]
    );
    assert!(answer.text().contains("1 to 110"), "the range is told: {}", answer.text());
}

#[test]
fn what_is_described_is_taken_and_nothing_else() {
    let service = Running::start();
    let schema = json!({"$ref": "#/components/schemas/FlightWanted"});
    let validator = described::validator(&schema);
    let with = |member: &str, value: Value| {
        let mut wanted = json!({"launch": launch()});
        wanted[member] = value;
        wanted
    };
    let pair = |back: f64, side: Value| {
        json!({"launch": {"ball_speed_mph": 120, "launch_angle_deg": 12, "backspin_rpm": back,
            "sidespin_rpm": side}})
    };
    for (taken, wanted) in [
        (true, json!({"launch": launch()})),
        (true, pair(2500.0, json!(-300))),
        (true, with("launch_spread", json!({"ball_speed_mph": 1, "spin_rate_rpm": 0}))),
        (true, with("air", json!({}))),
        (true, with("air", json!({"sea_level_pressure_inhg": 30, "altitude_ft": 100}))),
        (true, with("wind", json!({"speed_kt": 12, "from_deg": 360, "height_ft": 6}))),
        (true, with("wind", json!({"speed_mps": 0}))),
        (true, with("path", json!({"every_s": 0.01}))),
        (true, with("aerodynamics", json!("ball-1990s"))),
        (false, json!({})),
        (false, with("launch", json!({"ball_speed_mps": 50, "launch_angle_deg": 12}))),
        (false, with("launch", json!({"launch_angle_deg": 12, "spin_rate_rpm": 3000}))),
        (false, pair(-1.0, json!(0))),
        (
            false,
            json!({"launch": {"ball_speed_mps": 50, "launch_angle_deg": 12, "backspin_rpm": 3000}}),
        ),
        (false, with("launch_spread", json!({"ball_speed_mps": -1}))),
        (false, with("launch_spread", json!({"ball_speed_mps": 1, "ball_speed_mph": 1}))),
        (false, with("air", json!({"sea_level_pressure_hpa": 1013}))),
        (
            false,
            with(
                "air",
                json!({"pressure_hpa": 1013, "sea_level_pressure_hpa": 1013, "altitude_m": 1}),
            ),
        ),
        (false, with("wind", json!({"speed_mps": 5}))),
        (false, with("wind", json!({"from_deg": 5}))),
        (false, with("wind", json!({"speed_mps": 5, "compass_from_deg": 90}))),
        (false, with("wind", json!({"speed_mps": 61, "from_deg": 90}))),
        (false, with("path", json!({}))),
        (false, with("path", json!({"points": 5, "every_s": 1}))),
        (false, with("path", json!({"points": 1001}))),
        (false, with("path", json!(7))),
        (false, with("aerodynamics", json!("vacuum"))),
        (false, with("ground", json!("sand"))),
    ] {
        let answer = service.send("POST", AT, &wanted.to_string());
        assert_eq!(answer.status, if taken { 200 } else { 422 }, "{wanted}: {}", answer.text());
        assert_eq!(validator.is_valid(&wanted), taken, "{wanted}");
    }
}

#[test]
fn ten_thousand_fly_in_one_request_and_one_more_is_refused_unflown() {
    let service = Running::start();
    let body =
        |count: usize| json!({"flights": vec![json!({"launch": launch()}); count]}).to_string();
    // Not held against the description: that would take a minute.
    let post = |body: &str| {
        let mut connection = service.connect();
        connection.send(&raw::with_body("application/json", "POST", AT, body.as_bytes()));
        connection.answer()
    };
    let answer = post(&body(10_000));
    assert_eq!(answer.status, 200);
    let answer = answer.json();
    let flights = answer["flights"].as_array().unwrap();
    assert_eq!(flights.len(), 10_000);
    assert!(flights.iter().all(|flight| *flight == flights[0]));
    let over = service.send("POST", AT, &body(10_001));
    assert_eq!(over.status, 413);
    assert!(over.problem()["detail"].as_str().unwrap().contains("10000"), "{}", over.text());
    assert_eq!(fly(&service, &json!({"flights": []}))["flights"], json!([]));
}

#[test]
fn limits_of_flights_and_of_their_paths_can_be_set() {
    let service = Running::adjusted(|service| {
        service.limits.flights = 3;
        service.limits.path_points = 400;
    });
    let flights = |count: usize, path: Value| {
        let wanted = vec![json!({"launch": launch(), "path": path}); count];
        service.send("POST", AT, &json!({"flights": wanted}).to_string()).status
    };
    assert_eq!([flights(3, json!(false)), flights(4, json!(false))], [200, 413]);
    assert_eq!(
        [flights(2, json!({"points": 200})), flights(3, json!({"points": 200}))],
        [200, 413]
    );
    assert_eq!([flights(1, json!(true)), flights(2, json!(true))], [200, 413]);
}

#[test]
fn absurd_bodies_are_refused_in_the_contract_s_order() {
    let service = Running::start();
    for (body, status) in [
        ("", 400),
        ("{", 400),
        (r#"{"launch": {"ball_speed_mps": NaN}}"#, 400),
        (r#"{"launch": {"ball_speed_mps": 1e999}}"#, 400),
        (r#"{"launch": 1, "launch": 2}"#, 400),
        ("[]", 422),
        ("7", 422),
        (r#"{"flights": 7}"#, 422),
        (r#"{"flights": [7]}"#, 422),
        (r#"{"flights": [], "launch": {}}"#, 422),
    ] {
        assert_eq!(service.send("POST", AT, body).status, status, "{body}");
    }
    let foreign = "POST /v1/flights HTTP/1.1\r\nHost: localhost\r\nSec-Fetch-Site: cross-site\r\n\
                   Content-Type: application/json\r\nContent-Length: 2\r\n\r\n{}";
    assert_eq!(service.ask(foreign.as_bytes()).status, 403);
}
