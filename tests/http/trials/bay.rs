//! A bay where one player tries clubs: two that carry the same, one of which flies lower and spins
//! less, and a longer one. The spread is made up, and the same every time.

use serde_json::{Value, json};

use crate::support::{Answer, Running};

pub(super) const TRIALS: &str = "/v1/players/rowan/trials";

/// Speed in m/s, launch in degrees, spin in rpm, carry in m.
const CLUBS: [(&str, [f64; 4]); 4] = [
    ("5h", [51.9, 16.8, 5240.0, 158.0]),
    ("4u", [51.6, 13.6, 4150.0, 158.4]),
    ("4i", [53.4, 14.2, 4300.0, 166.0]),
    ("7i", [46.0, 19.5, 6600.0, 136.0]),
];

/// Puts the player and the clubs.
pub(super) fn prepare(service: &Running) {
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    service.send("PUT", "/v1/balls/range-b", r#"{"name":"Range"}"#);
    for (club, _) in CLUBS {
        service.send("PUT", &format!("/v1/players/rowan/clubs/{club}"), r#"{"name":"a club"}"#);
    }
}

pub(super) fn prepared() -> Running {
    let service = Running::start();
    prepare(&service);
    service
}

/// Opens a trial of two clubs with more members; says its path.
pub(super) fn open(service: &Running, more: &Value) -> String {
    let mut trial = json!({"incumbent": "5h", "candidates": ["4u"]});
    for (name, value) in more.as_object().unwrap() {
        trial[name] = value.clone();
    }
    let opened = service.send("POST", TRIALS, &trial.to_string());
    assert_eq!(opened.status, 201, "{}", opened.text());
    opened.header("location").unwrap().to_owned()
}

/// The n-th ball of a visit with a club, as an event.
pub(super) fn ball(club: &str, visit: u32, n: u32) -> Value {
    let (_, [speed, angle, spin, carry]) = CLUBS.into_iter().find(|row| row.0 == club).unwrap();
    let off = |prime: u32| f64::from((n * prime + visit) % 12) / 5.5 - 1.0;
    json!({
        "id": format!("{visit}-{n}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
        "lie": "mat", "ball": "range-b", "session": format!("v{visit}"),
        "time": format!("2026-04-{:02}T09:{:02}:00Z", visit % 28 + 1, n % 60),
        "launch": {
            "ball_speed_mps": speed + 0.6 * off(5), "launch_angle_deg": angle + 0.8 * off(7),
            "spin_rate_rpm": spin + 180.0 * off(11),
        },
        "flight": {"carry_m": carry + 3.0 * off(5), "origin": "tracked"},
    })
}

pub(super) fn send(service: &Running, events: impl IntoIterator<Item = Value>) -> u64 {
    let lines: Vec<String> = events.into_iter().map(|event| event.to_string()).collect();
    let told = service.stream(&lines.join("\n")).json();
    assert_eq!(told["refused"], 0, "{told}");
    told["last_sequence"].as_u64().unwrap()
}

/// Balls of both clubs in turn, so many of each in a visit.
pub(super) fn visit(visit: u32, balls: u32) -> impl Iterator<Item = Value> {
    (0..balls).flat_map(move |n| ["5h", "4u"].map(|club| ball(club, visit, n)))
}

pub(super) fn patch(service: &Running, at: &str, patch: &Value) -> Answer {
    service.send("PATCH", at, &patch.to_string())
}

pub(super) fn delete(service: &Running, at: &str) -> Answer {
    service.ask(format!("DELETE {at} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

/// How the first candidate stands.
pub(super) fn standing(service: &Running, trial: &str) -> Value {
    service.get(trial).json()["standings"][0].clone()
}

/// The pointers of a refusal.
pub(super) fn pointers(answer: &Answer) -> Vec<String> {
    assert_eq!(answer.status, 422, "{}", answer.text());
    let errors = answer.problem()["errors"].as_array().unwrap().clone();
    errors.iter().map(|error| error["pointer"].as_str().unwrap().to_owned()).collect()
}
