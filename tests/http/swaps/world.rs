//! An invented spring: a hybrid, a utility iron that may take its place, and an iron beside them.

use serde_json::{Value, json};

use crate::support::Running;

/// Some shots of one club from one place in every visit.
#[derive(Debug, Clone)]
pub(super) struct Hits {
    pub(super) club: &'static str,
    pub(super) lie: &'static str,
    pub(super) visits: std::ops::Range<usize>,
    pub(super) each: usize,
    pub(super) carry_m: f64,
    pub(super) apex_m: f64,
    pub(super) intent: Value,
    /// Curve at landing, metres.
    pub(super) curve_m: f64,
    /// One in so many strikes is thin, if any is.
    pub(super) thin_each: Option<usize>,
}

/// A plain spell with one club: five shots from the mat in each of three visits.
pub(super) fn hits(club: &'static str, carry_m: f64) -> Hits {
    Hits {
        club,
        lie: "mat",
        visits: 0..3,
        each: 5,
        carry_m,
        apex_m: 29.0,
        intent: json!({}),
        curve_m: 0.0,
        thin_each: None,
    }
}

/// Scatter of mean zero: five values, over and over.
const SCATTER: [f64; 5] = [-2.0, 1.5, 0.5, -1.0, 1.0];

impl Hits {
    fn shot(&self, visit: usize, at: usize) -> Value {
        let off = SCATTER[at % 5];
        let thin = self.thin_each.is_some_and(|each| (visit * self.each + at) % each == each - 1);
        let (speed, launch, carry) =
            if thin { (44.0, 7.0, 130.0) } else { (52.0, 17.0, self.carry_m) };
        let side = f64::from(u32::try_from(at % 3).unwrap()) - 1.0 + self.curve_m;
        json!({
            "source": "bay-3", "time": format!("2026-04-{:02}T10:15:{:02}Z", 1 + visit, at),
            "id": format!("{}-{}-{visit}-{at}-{}", self.club, self.lie, self.intent),
            "player": "rowan", "club": self.club, "session": format!("spring-{visit}"),
            "lie": self.lie, "intent": self.intent, "ball": "range-b",
            "launch": {"ball_speed_mps": speed + off / 10.0, "launch_angle_deg": launch + off / 4.0,
                       "spin_rate_rpm": 5_000.0 + 60.0 * off},
            "clubhead": {"speed_mps": 37.0},
            "flight": {"carry_m": carry + 2.0 * off, "apex_m": self.apex_m + off,
                       "descent_angle_deg": 44.0 + off / 2.0, "side_m": 2.0 * side,
                       "curve_m": self.curve_m + off / 4.0, "origin": "tracked"},
        })
    }
}

/// A service with a right-handed player, some clubs, and what they were hit.
pub(super) fn played(all: &[Hits]) -> Running {
    let service = Running::start();
    let put = |path: &str, document: Value| {
        let answer = service.send("PUT", path, &document.to_string());
        assert!(answer.status < 300, "{path}: {}", answer.text());
    };
    put("/v1/balls/range-b", json!({"name": "range ball"}));
    put("/v1/players/rowan", json!({"name": "Rowan", "hand": "right"}));
    for (club, document) in [
        ("5h", json!({"name": "5-hybrid", "kind": "hybrid", "loft_deg": 25})),
        ("4u", json!({"name": "4-utility", "kind": "utility", "demo": true, "loft_deg": 22})),
        ("6i", json!({"name": "6-iron", "kind": "iron", "loft_deg": 27})),
    ] {
        put(&format!("/v1/players/rowan/clubs/{club}"), document);
    }
    let mut lines = String::new();
    for visit in 0..9 {
        for hits in all.iter().filter(|hits| hits.visits.contains(&visit)) {
            for at in 0..hits.each {
                lines += &hits.shot(visit, at).to_string();
                lines.push('\n');
            }
        }
    }
    let answer = service.stream(&lines).json();
    assert_eq!(answer["refused"], 0, "{answer}");
    service
}

/// The 4u judged for the place of the 5h.
pub(super) fn candidate(service: &Running, more: &str) -> Value {
    let path = format!("/v1/players/rowan/replacements?incumbent=5h&candidate=4u{more}");
    let answer = service.get(&path);
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()["candidates"][0].clone()
}

/// The entries of what is given up that are of one kind.
pub(super) fn given_up(candidate: &Value, kind: &str) -> Vec<Value> {
    let all = candidate["given_up"].as_array().unwrap();
    all.iter().filter(|entry| entry["kind"] == kind).cloned().collect()
}

/// A number.
pub(super) fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

pub(super) fn words(value: &Value) -> &str {
    value["words"].as_str().unwrap()
}
