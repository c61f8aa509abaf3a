//! A club season by season, and what a club keeps that leaves the bag and comes back.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::support::{Answer, Running};

/// One shot with a carry, at a time.
fn event(id: &str, club: &str, time: &str, carry: f64) -> String {
    json!({
        "id": id, "source": "bay-3", "player": "rowan", "club": club, "time": time, "lie": "mat",
        "launch": {"ball_speed_mps": 52.0, "launch_angle_deg": 16.8}, "flight": {"carry_m": carry},
    })
    .to_string()
}

/// Shots of the 5h at these times, each with its carry.
fn with_shots(shots: &[(&str, f64)]) -> Running {
    let service = Running::start();
    send(&service, "5h", shots);
    service
}

fn send(service: &Running, club: &str, shots: &[(&str, f64)]) {
    let mut lines = String::new();
    for (number, (time, carry)) in shots.iter().enumerate() {
        writeln!(lines, "{}", event(&format!("{club}-{number}"), club, time, *carry)).unwrap();
    }
    assert_eq!(service.stream(&lines).json()["accepted"], shots.len());
}

fn profile(service: &Running, query: &str) -> Value {
    let answer = service.get(&format!("/v1/players/rowan/clubs/5h/profile?{query}"));
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

/// From, to, counted shots and mean carry of each window.
fn windows(service: &Running, query: &str) -> Vec<(String, String, u64, f64)> {
    let text = |window: &Value, member: &str| window[member].as_str().unwrap().to_owned();
    let windows = profile(service, query)["windows"].as_array().unwrap().clone();
    windows
        .iter()
        .map(|window| {
            let mean = window["metrics"]["carry_m"]["mean"].as_f64().unwrap();
            (text(window, "from"), text(window, "to"), window["counted"].as_u64().unwrap(), mean)
        })
        .collect()
}

fn window(from: &str, to: &str, counted: u64, mean: f64) -> (String, String, u64, f64) {
    (format!("{from}T00:00:00Z"), format!("{to}T00:00:00Z"), counted, mean)
}

/// Two seasons with a winter between them, sent out of order.
const SEASONS: [(&str, f64); 7] = [
    ("2026-03-14T10:00:00Z", 150.0),
    ("2025-08-01T00:00:00Z", 160.0),
    ("2025-08-31T23:59:59Z", 162.0),
    ("2025-09-01T00:00:00Z", 158.0),
    ("2026-03-15T10:00:00Z", 152.0),
    ("2026-03-31T23:30:00Z", 154.0),
    ("2024-12-31T23:30:00Z", 170.0),
];

#[test]
fn a_season_can_be_laid_beside_the_last() {
    let service = with_shots(&SEASONS);
    assert_eq!(
        windows(&service, "by=month"),
        [
            window("2024-12-01", "2025-01-01", 1, 170.0),
            window("2025-08-01", "2025-09-01", 2, 161.0),
            window("2025-09-01", "2025-10-01", 1, 158.0),
            window("2026-03-01", "2026-04-01", 3, 152.0),
        ],
        "a month without a shot is left out"
    );
    assert_eq!(
        windows(&service, "by=quarter"),
        [
            window("2024-10-01", "2025-01-01", 1, 170.0),
            window("2025-07-01", "2025-10-01", 3, 160.0),
            window("2026-01-01", "2026-04-01", 3, 152.0),
        ]
    );
    assert_eq!(
        windows(&service, "by=year"),
        [
            window("2024-01-01", "2025-01-01", 1, 170.0),
            window("2025-01-01", "2026-01-01", 3, 160.0),
            window("2026-01-01", "2027-01-01", 3, 152.0),
        ]
    );
    assert_eq!(profile(&service, "")["windows"], Value::Null);
}

#[test]
fn windows_begin_where_the_zone_says_and_hold_what_is_asked_for() {
    let service = with_shots(&SEASONS);
    // An hour ahead of UTC in winter, two in summer: two of the shots fall into the next month.
    let months: Vec<(String, u64)> = windows(&service, "by=month&zone=Europe/Madrid")
        .into_iter()
        .map(|(from, _, counted, _)| (from, counted))
        .collect();
    let at = |from: &str, counted: u64| (from.to_owned(), counted);
    assert_eq!(
        months,
        [
            at("2024-12-31T23:00:00Z", 1),
            at("2025-07-31T22:00:00Z", 1),
            at("2025-08-31T22:00:00Z", 2),
            at("2026-02-28T23:00:00Z", 2),
            at("2026-03-31T22:00:00Z", 1),
        ]
    );
    // What is asked for cuts the first and the last.
    let asked = "by=year&from=2025-08-15&to=2026-03-15";
    assert_eq!(
        windows(&service, asked),
        [
            window("2025-08-15", "2026-01-01", 2, 160.0),
            window("2026-01-01", "2026-03-15", 1, 150.0),
        ]
    );
    let told = profile(&service, asked);
    assert_eq!(told["counted"], 3);
}

#[test]
fn the_newest_sixty_months_are_told() {
    let shots: Vec<(String, f64)> = (0..61)
        .map(|month| (format!("{}-{:02}-15T10:00:00Z", 2020 + month / 12, month % 12 + 1), 150.0))
        .collect();
    let shots: Vec<(&str, f64)> =
        shots.iter().map(|(time, carry)| (time.as_str(), *carry)).collect();
    let service = with_shots(&shots);
    let told = windows(&service, "by=month");
    assert_eq!((told.len(), told[0].0.as_str()), (60, "2020-02-01T00:00:00Z"));
    assert_eq!(windows(&service, "by=year").len(), 6);
}

#[test]
fn mishits_are_counted_in_the_window_they_were_hit_in() {
    let service = Running::start();
    let mut lines = String::new();
    for number in 0..12 {
        let time = format!("2026-0{}-10T10:{number:02}:00Z", if number < 6 { 2 } else { 3 });
        // The tenth is struck 15 m/s slower than all others.
        let speed = if number == 9 { 37.0 } else { 52.0 + f64::from(number % 3) / 10.0 };
        let line =
            event(&number.to_string(), "5h", &time, 150.0).replace("52.0", &speed.to_string());
        writeln!(lines, "{line}").unwrap();
    }
    assert_eq!(service.stream(&lines).json()["accepted"], 12);
    let told = profile(&service, "by=month")["windows"].clone();
    let rates: Vec<(Value, Value, Value)> = told
        .as_array()
        .unwrap()
        .iter()
        .map(|window| {
            let rate = &window["mishit_rate"];
            (window["counted"].clone(), rate["n"].clone(), rate["share"].clone())
        })
        .collect();
    let expected = [(json!(6), json!(6), json!(0.0)), (json!(5), json!(6), json!(1.0 / 6.0))];
    assert_eq!(rates, expected);
}

#[test]
fn a_profile_says_when_its_club_was_hit_first_and_last() {
    let service = with_shots(&SEASONS);
    let told = profile(&service, "by=year&from=2026-01-01");
    assert_eq!(
        (&told["first_hit"], &told["last_hit"]),
        (&json!("2024-12-31"), &json!("2026-03-31"))
    );
    // By the sender's own calendar.
    let late = event("late", "5h", "2026-04-01T00:30:00+05:00", 150.0);
    service.send("POST", "/v1/shots", &late);
    assert_eq!(profile(&service, "")["last_hit"], "2026-04-01");
    service.send("PUT", "/v1/players/rowan/clubs/new", r#"{"name":"new"}"#);
    let bare = service.get("/v1/players/rowan/clubs/new/profile?by=month").json();
    assert_eq!((&bare["first_hit"], &bare["windows"]), (&Value::Null, &json!([])));
}

#[test]
fn windows_come_in_both_systems_and_a_wrong_period_is_refused() {
    let service = with_shots(&SEASONS);
    let yards = profile(&service, "by=year&units=imperial")["windows"][1].clone();
    let mean = yards["metrics"]["carry_yd"]["mean"].as_f64().unwrap();
    assert!((mean - 160.0 / 0.9144).abs() < 1e-9);
    let refused: Answer = service.get("/v1/players/rowan/clubs/5h/profile?by=week&zone=Nowhere");
    assert_eq!(refused.status, 422);
    let errors = refused.problem()["errors"].clone();
    let parameters: Vec<&str> = errors
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["parameter"].as_str().unwrap())
        .collect();
    assert_eq!(parameters, ["zone", "by"]);
}

/// An answer without what says as of when it is.
fn undated(mut answer: Value) -> Value {
    answer.as_object_mut().unwrap().remove("as_of");
    answer
}

#[test]
fn a_club_that_leaves_the_bag_in_autumn_is_the_same_club_in_spring() {
    let service = Running::start();
    let shots = |month: u32, carry: f64| -> Vec<(String, f64)> {
        (0..20)
            .map(|shot| {
                let day = shot / 5 + 1;
                (format!("2025-{month:02}-{day:02}T10:{shot:02}:00Z"), carry + f64::from(shot % 5))
            })
            .collect()
    };
    for (club, carry) in [("5h", 158.0), ("4u", 157.0), ("7i", 140.0)] {
        let shots = shots(8, carry);
        let shots: Vec<(&str, f64)> = shots.iter().map(|(time, at)| (time.as_str(), *at)).collect();
        send(&service, club, &shots);
    }
    let put_bag = |clubs: &[&str]| {
        let bag = json!({"name": "The bag", "clubs": clubs}).to_string();
        let answer = service.send("PUT", "/v1/players/rowan/bags/all-year", &bag);
        assert!(answer.status < 300);
    };
    let read = |path: &str| undated(service.get(&format!("/v1/players/rowan/{path}")).json());
    let rungs = || -> Vec<String> {
        let ladder = read("ladder?bag=all-year");
        let rungs = ladder["rungs"].as_array().unwrap().iter();
        rungs.map(|rung| rung["club"].as_str().unwrap().to_owned()).collect()
    };
    let questions = [
        "clubs/5h/profile?by=month",
        "replacements?incumbent=5h&candidate=4u",
        "replacements?incumbent=4u",
        "comparisons?incumbent=5h&candidate=4u",
        "drifts",
    ];
    put_bag(&["5h", "7i"]);
    let summer: Vec<Value> = questions.iter().map(|path| read(path)).collect();
    assert_eq!(rungs(), ["7i", "5h"]);
    put_bag(&["4u", "7i"]);
    assert_eq!(rungs(), ["7i", "4u"], "in winter another club has its place");
    let winter: Vec<Value> = questions.iter().map(|path| read(path)).collect();
    assert_eq!(winter, summer, "no figure and no verdict asks what is in a bag");
    put_bag(&["5h", "7i"]);
    assert_eq!(rungs(), ["7i", "5h"]);
    let spring: Vec<Value> = questions.iter().map(|path| read(path)).collect();
    assert_eq!(spring, summer);
    let log = service.get("/v1/players/rowan/bags/all-year/changes").json();
    let changes: Vec<(Value, Value)> = log["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|change| (change["added"].clone(), change["removed"].clone()))
        .collect();
    assert_eq!(
        changes,
        [
            (json!(["5h"]), json!(["4u"])),
            (json!(["4u"]), json!(["5h"])),
            (json!(["5h", "7i"]), json!([])),
        ]
    );
    // What it does in spring stands beside what it did in summer.
    let spring_shot = event("spring", "5h", "2026-03-15T10:00:00Z", 150.0);
    assert_eq!(service.send("POST", "/v1/shots", &spring_shot).status, 201);
    let seasons = windows(&service, "by=quarter");
    assert_eq!(seasons.len(), 2);
    assert_eq!((seasons[0].2, seasons[0].3), (20, 160.0));
    assert_eq!((seasons[1].2, seasons[1].3), (1, 150.0));
}
