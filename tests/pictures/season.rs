//! An invented season: ten clubs of one player, hit in turn on every visit. Flights are those of the
//! flight room, so that carries, launches and spins belong together; the spread is made up, and the
//! same every time.

use evencarry::flight::{Conditions, Launch, Scene};
use serde_json::{Value, json};

use crate::support::Running;

/// Id, name, kind, loft; then ball speed in m/s, launch in degrees and spin in rpm.
const CLUBS: [(&str, &str, &str, f64, [f64; 3]); 10] = [
    ("d", "Driver", "wood", 10.5, [66.0, 12.5, 2_700.0]),
    ("3w", "3-wood", "wood", 15.0, [62.5, 12.0, 3_500.0]),
    ("5h", "5-hybrid", "hybrid", 25.0, [51.4, 17.0, 5_300.0]),
    ("4u", "4-utility", "utility", 22.0, [50.6, 13.5, 4_200.0]),
    ("6i", "6-iron", "iron", 28.0, [49.0, 16.5, 5_700.0]),
    ("7i", "7-iron", "iron", 32.0, [46.5, 18.5, 6_500.0]),
    ("8i", "8-iron", "iron", 36.0, [44.0, 20.5, 7_300.0]),
    ("9i", "9-iron", "iron", 40.0, [41.5, 23.0, 8_000.0]),
    ("pw", "Pitching wedge", "wedge", 45.0, [38.5, 26.0, 8_600.0]),
    ("sw", "Sand wedge", "wedge", 56.0, [32.0, 31.0, 9_400.0]),
];

/// Visits of a season.
pub(crate) const VISITS: u32 = 10;

/// From this visit on the 7-iron has lost some speed.
const DRIFTED: u32 = 6;

/// Even numbers between -1 and 1 that are the same every time (a linear congruence, Knuth's factor).
struct Dice(u64);

impl Dice {
    fn even(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    /// Nearly normal, with a deviation of 1: the sum of twelve.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() / 2.0
    }
}

/// A service that knows the clubs and has no shot.
pub(crate) fn bag() -> Running {
    let service = Running::start();
    put(&service, "/v1/players/rowan", &json!({"name": "Rowan"}));
    put(&service, "/v1/balls/range-b", &json!({"name": "Range ball, batch B", "kind": "range"}));
    for (id, name, kind, loft, _) in CLUBS {
        let club = json!({"name": name, "kind": kind, "loft_deg": loft});
        put(&service, &format!("/v1/players/rowan/clubs/{id}"), &club);
    }
    service
}

pub(crate) fn put(service: &Running, path: &str, document: &Value) {
    let answer = service.send("PUT", path, &document.to_string());
    assert!(matches!(answer.status, 200 | 201), "{path}: {}", answer.text());
}

/// A season of so many shots a club and visit, and the address of the trial that was opened after its
/// first two visits.
pub(crate) fn season(shots_a_visit: u32) -> (Running, String) {
    let service = bag();
    play(&service, 0..2, shots_a_visit);
    let location = trial(&service);
    play(&service, 2..VISITS, shots_a_visit);
    (service, location)
}

/// Opens a trial of the 4-utility for the place of the 5-hybrid; its address.
pub(crate) fn trial(service: &Running) -> String {
    trial_of(service, &["4u"])
}

/// The same of several clubs.
pub(crate) fn trial_of(service: &Running, candidates: &[&str]) -> String {
    let trial = json!({"incumbent": "5h", "candidates": candidates, "name": "Autumn"});
    let opened = service.send("POST", "/v1/players/rowan/trials", &trial.to_string());
    assert_eq!(opened.status, 201, "{}", opened.text());
    opened.header("location").unwrap().to_owned()
}

/// Plays some visits.
pub(crate) fn play(service: &Running, visits: std::ops::Range<u32>, shots_a_visit: u32) {
    let scene = Scene::new(&Conditions::default()).unwrap();
    let mut lines = String::new();
    for visit in visits {
        for shot in 0..shots_a_visit {
            for (at, (club, ..)) in CLUBS.iter().enumerate() {
                lines.push_str(&event(&scene, (visit, shot, at as u32), club).to_string());
                lines.push('\n');
            }
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!(told["refused"], 0, "{told}");
}

fn event(scene: &Scene, (visit, shot, at): (u32, u32, u32), club: &str) -> Value {
    let mut dice = Dice(u64::from(visit) << 40 | u64::from(shot) << 20 | u64::from(at));
    dice.even();
    let [mut speed, angle, spin] = CLUBS[at as usize].4;
    if club == "7i" && visit >= DRIFTED {
        speed -= 3.0;
    }
    let launch = Launch {
        ball_speed_mps: speed + 0.6 * dice.normal(),
        launch_angle_deg: angle + 0.9 * dice.normal(),
        launch_direction_deg: 1.2 * dice.normal(),
        spin_rate_rpm: spin + 220.0 * dice.normal(),
        spin_axis_deg: 0.8 + 2.5 * dice.normal(),
    };
    let flight = scene.launch(&launch).unwrap().fly().unwrap();
    let minute = (shot * 10 + at) % 1_400;
    json!({
        "id": format!("{visit}-{shot}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
        "time": format!("2026-03-{:02}T{:02}:{:02}:00Z", visit + 2, minute / 60, minute % 60),
        "session": format!("visit-{visit}"), "lie": "mat", "ball": "range-b",
        "launch": {
            "ball_speed_mps": launch.ball_speed_mps, "launch_angle_deg": launch.launch_angle_deg,
            "launch_direction_deg": launch.launch_direction_deg, "spin_rate_rpm": launch.spin_rate_rpm,
            "spin_axis_deg": launch.spin_axis_deg,
        },
        "flight": {
            "carry_m": flight.carry_m, "side_m": flight.side_m, "apex_m": flight.apex_m,
            "descent_angle_deg": flight.descent_angle_deg, "origin": "tracked",
        },
    })
}

/// Every picture of the player, with what is asked.
pub(crate) fn all(trial: &str) -> Vec<(&'static str, String)> {
    let player = "/v1/players/rowan";
    let pair = "incumbent=5h&candidate=4u";
    vec![
        ("ladder", format!("{player}/ladder.svg?")),
        ("profile", format!("{player}/clubs/5h/profile.svg?")),
        ("landings", format!("{player}/comparisons/landings.svg?{pair}")),
        ("flights", format!("{player}/comparisons/flights.svg?{pair}")),
        ("wind", format!("{player}/comparisons/wind.svg?{pair}")),
        ("replacements", format!("{player}/replacements.svg?{pair}")),
        ("replacements-floor", format!("{player}/replacements.svg?{pair}&launch_floor_deg=11.5")),
        (
            "flights-wind",
            format!(
                "{player}/comparisons/flights.svg?{pair}&wind_speed_mph=20&wind_from_deg=0&slot_low_yd=120&slot_high_yd=140&units=imperial"
            ),
        ),
        ("history", format!("{trial}/history.svg?")),
        ("drifts", format!("{player}/drifts.svg?")),
        ("drift", format!("{player}/drifts.svg?club=7i")),
    ]
}
