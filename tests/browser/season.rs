//! An invented spring: a hybrid, a utility iron that can take its place, and clubs beside them. The
//! scatter is made up, and the same every time.

use serde_json::{Value, json};

use crate::support::Running;

/// Clubs with their kind, loft, and what they do: ball speed, launch, spin, carry, descent, apex, in SI.
const CLUBS: [(&str, &str, &str, f64, [f64; 6]); 5] = [
    ("5h", "5-hybrid", "hybrid", 25.0, [51.9, 16.8, 5_240.0, 158.0, 49.0, 29.0]),
    ("4u", "4-utility", "utility", 22.0, [51.6, 13.6, 4_150.0, 158.4, 44.5, 24.0]),
    ("7i", "7-iron", "iron", 33.0, [46.0, 19.5, 6_600.0, 136.0, 50.5, 27.0]),
    ("6i", "6-iron", "iron", 29.0, [48.5, 17.6, 5_900.0, 146.0, 48.5, 27.0]),
    ("5w", "5-wood", "wood", 18.0, [57.5, 13.4, 4_300.0, 182.0, 46.0, 28.0]),
];

/// Scatter of mean zero: five values, over and over.
const SCATTER: [f64; 5] = [-2.0, 1.5, 0.5, -1.0, 1.0];

/// Shots of each club and visit.
const EACH: u32 = 8;

/// Sends JSON, which must be taken.
pub(crate) fn send(service: &Running, method: &str, path: &str, body: &Value) -> Value {
    let answer = service.send(method, path, &body.to_string());
    assert!(answer.status < 300, "{path}: {}", answer.text());
    answer.json()
}

/// Asks, and is answered.
pub(crate) fn ask(service: &Running, path: &str) -> Value {
    let answer = service.get(path);
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.json()
}

/// The player with the clubs; the utility iron is tried only.
pub(crate) fn bag(service: &Running) {
    send(service, "PUT", "/v1/balls/range-b", &json!({"name": "range ball", "kind": "range"}));
    send(service, "PUT", "/v1/players/rowan", &json!({"name": "Rowan", "hand": "right"}));
    for (id, name, kind, loft, _) in CLUBS {
        let club = json!({"name": name, "kind": kind, "loft_deg": loft, "demo": id == "4u"});
        send(service, "PUT", &format!("/v1/players/rowan/clubs/{id}"), &club);
    }
}

/// Some visits with all clubs.
pub(crate) fn visits(service: &Running, visits: std::ops::Range<u32>) {
    let mut lines = String::new();
    for visit in visits {
        let mut at = 0;
        for (club, .., does) in CLUBS {
            for shot in 0..EACH {
                at += 1;
                lines += &line(club, does, (visit, shot, at)).to_string();
                lines.push('\n');
            }
        }
    }
    let answer = service.stream(&lines).json();
    assert_eq!(answer["refused"], 0, "{answer}");
}

fn line(club: &str, does: [f64; 6], (visit, shot, at): (u32, u32, u32)) -> Value {
    let [speed, launch, spin, carry, descent, apex] = does;
    let off = SCATTER[((at + visit) % 5) as usize] + 0.3 * (f64::from(at * 7 % 5) - 2.0);
    json!({
        "id": format!("{club}-{visit}-{shot}"), "source": "bay-3",
        "time": format!("2026-04-{:02}T10:{:02}:00Z", visit + 1, at),
        "player": "rowan", "club": club, "lie": "mat", "ball": "range-b",
        "launch": {"ball_speed_mps": speed + off / 10.0, "launch_angle_deg": launch + off / 4.0,
                   "launch_direction_deg": off / 3.0, "spin_rate_rpm": spin + 60.0 * off, "spin_axis_deg": off},
        "flight": {"carry_m": carry + 2.0 * off, "apex_m": apex + off, "descent_angle_deg": descent + off / 2.0,
                   "side_m": 2.0 * (f64::from(at % 7) - 3.0), "origin": "tracked"},
    })
}

/// One shot that names nobody, from another bay.
pub(crate) fn unassigned(service: &Running, id: &str) {
    let shot = json!({
        "id": id, "source": "bay-7", "time": "2026-04-11T10:15:00Z",
        "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 16.8, "spin_rate_rpm": 5_240},
        "flight": {"carry_m": 158.3},
    });
    assert_eq!(send(service, "POST", "/v1/shots", &shot)["status"], "unassigned");
}
