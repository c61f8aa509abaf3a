//! The examples of the description are one scenario: played in order on a fresh service, every act
//! gets the answer that its example shows.

use std::{fs, path::PathBuf};

use serde_json::{Value, json};

use crate::support::{
    Answer, Running,
    described::{self, DESCRIPTION},
};

/// The scenes in order, as the description has them.
const SCENES: &[&str] =
    &["catalogue", "shots", "questions", "trials", "flights", "service", "refusals", "archive"];

fn file(scene: &str) -> PathBuf {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/api/spec/examples");
    PathBuf::from(folder).join(format!("{scene}.json"))
}

#[test]
fn every_example_gets_the_answer_it_shows() {
    let mut service = Running::start();
    // Where the last thing stands that was made: the service names it.
    let mut location = String::new();
    for scene in SCENES {
        match *scene {
            "questions" => {
                season(&service);
                rough(&service);
            }
            // Taken only by a service that holds nothing.
            "archive" => service = Running::start(),
            _ => {}
        }
        let text = fs::read_to_string(file(scene)).unwrap();
        let mut acts: Vec<Value> = serde_json::from_str(&text).unwrap();
        for act in &mut acts {
            play(&service, act, &mut location);
        }
        if std::env::var_os("RENEW_EXAMPLES").is_some() {
            fs::write(file(scene), format!("{:#}\n", Value::Array(acts))).unwrap();
        }
    }
}

/// Plays an act, and compares the answer with the one it shows, or shows it the answer.
fn play(service: &Running, act: &mut Value, location: &mut String) {
    let what = format!("{}, {}", act["operation"], act["name"]);
    if act["played"] == false {
        check_told(&what, act);
        return;
    }
    let answer = service.ask(&request(act, location));
    if let Some(made) = answer.header("location") {
        made.clone_into(location);
    }
    if std::env::var_os("RENEW_EXAMPLES").is_some() {
        show(act, &answer);
    }
    assert_eq!(act["status"], answer.status, "{what}: {}", answer.text());
    if !answer.body.is_empty() {
        assert_eq!(act["gives"], described::media(&answer), "{what}");
        let told = told(&answer);
        let same = if act["excerpt"] == true { holds } else { same };
        assert!(same(&told, &act["answer"]), "{what} answers {told:#}; {MEND}");
    }
}

const MEND: &str = "if the change is meant, renew the examples: \
    RENEW_EXAMPLES=1 cargo test --test http every_example, then the description";

/// An example of what cannot be provoked here: a problem as its kind has it.
fn check_told(what: &str, act: &Value) {
    let problem = json!({"$ref": "#/components/schemas/Problem"});
    described::check_json(what, &problem, &act["answer"]);
    assert_eq!(act["status"], act["answer"]["status"], "{what}");
}

fn request(act: &Value, location: &str) -> Vec<u8> {
    let body = match &act["send"] {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        json => json.to_string(),
    };
    let method = act["method"].as_str().map_or_else(|| verb(act), str::to_owned);
    let mut fields = vec![format!("Content-Length: {}", body.len())];
    fields.extend(act["media"].as_str().map(|media| format!("Content-Type: {media}")));
    let more = act["fields"].as_object();
    fields.extend(
        more.into_iter()
            .flatten()
            .map(|(name, value)| format!("{name}: {}", value.as_str().unwrap())),
    );
    if !fields.iter().any(|field| field.starts_with("Host: ")) {
        fields.push(String::from("Host: localhost"));
    }
    let at = act["at"].as_str().unwrap().replace("{location}", location);
    format!("{method} {at} HTTP/1.1\r\n{}\r\n\r\n{body}", fields.join("\r\n")).into_bytes()
}

/// The method of an act's operation.
fn verb(act: &Value) -> String {
    let items = DESCRIPTION["paths"].as_object().unwrap().values();
    let mut operations = items.flat_map(|item| item.as_object().unwrap());
    let found = operations.find(|(_, operation)| operation["operationId"] == act["operation"]);
    found.unwrap_or_else(|| panic!("no operation is called {}", act["operation"])).0.to_uppercase()
}

fn show(act: &mut Value, answer: &Answer) {
    act["status"] = json!(answer.status);
    if !answer.body.is_empty() {
        act["gives"] = json!(described::media(answer));
        if act["excerpt"] != true {
            act["answer"] = told(answer);
        } else if act["gives"] == "image/svg+xml" {
            act["answer"] = json!(said(answer.text()));
        }
    }
}

/// What a picture says of itself, without its drawing.
fn said(picture: &str) -> String {
    let says = |line: &&str| line.starts_with("<title>") || line.starts_with("<desc>");
    picture.lines().filter(says).collect::<Vec<_>>().join("\n")
}

/// The body as an example shows it: JSON as such, all else as text.
fn told(answer: &Answer) -> Value {
    if described::is_json(described::media(answer)) { answer.json() } else { json!(answer.text()) }
}

/// Equal, but for the last digits of numbers, in which processors differ.
fn same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one.iter().all(|(name, value)| other.get(name).is_some_and(|it| same(value, it)))
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
        }
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            (one - other).abs() <= 1e-6 * one.abs().max(1.0)
        }
        _ => one == other,
    }
}

/// Whether a long answer holds what an excerpt shows of it.
fn holds(whole: &Value, excerpt: &Value) -> bool {
    match (whole, excerpt) {
        (Value::Object(whole), Value::Object(excerpt)) => excerpt
            .iter()
            .all(|(name, value)| whole.get(name).is_some_and(|whole| holds(whole, value))),
        (Value::String(whole), Value::String(excerpt)) => {
            excerpt.lines().all(|line| whole.contains(line))
        }
        _ => same(whole, excerpt),
    }
}

/// Nine visits of practice that verdicts rest on: two clubs that carry the same, one of which flies
/// lower and spins less, and a shorter one that loses some carry with the seventh. The spread is made
/// up, and the same every time.
fn season(service: &Running) {
    // Speed in m/s, launch in degrees, spin in rpm, carry in m, descent in degrees.
    let clubs = [
        ("5h", [51.9, 16.8, 5240.0, 158.0, 49.0]),
        ("4u", [51.6, 13.6, 4150.0, 158.4, 44.5]),
        ("7i", [46.0, 19.5, 6600.0, 136.0, 50.5]),
    ];
    let mut lines = String::new();
    for visit in 0..9_u32 {
        for shot in 0..12_u32 {
            for (club, [speed, angle, spin, carry, descent]) in clubs {
                let lost = if club == "7i" && visit >= 6 { 8.0 } else { 0.0 };
                let off = |prime: u32| f64::from((shot * prime + visit) % 12) / 5.5 - 1.0;
                let event = json!({
                    "id": format!("s{visit}-{shot}-{club}"), "source": "bay-3", "club": club,
                    "time": format!("2026-04-{:02}T17:{:02}:00+02:00", visit + 2, 2 * shot),
                    "launch": {
                        "ball_speed_mps": speed + 0.6 * off(5), "launch_angle_deg": angle + 0.8 * off(7),
                        "spin_rate_rpm": spin + 180.0 * off(11),
                    },
                    "flight": {
                        "carry_m": carry - lost + 3.0 * off(5), "descent_angle_deg": descent + off(7),
                        "origin": "tracked",
                    },
                });
                lines.push_str(&event.to_string());
                lines.push('\n');
            }
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(324), &json!(0)), "{told}");
}

/// An evening in heavy rough, with two of the clubs.
fn rough(service: &Running) {
    let mut lines = String::new();
    for shot in 0..8_u32 {
        for (club, carry) in [("5h", 150.0), ("7i", 141.0)] {
            let off = f64::from(shot * 5 % 8) / 3.5 - 1.0;
            let event = json!({
                "id": format!("r{shot}-{club}"), "source": "bay-3", "club": club, "lie": "heavy_rough",
                "time": format!("2026-04-10T18:{:02}:00+02:00", 2 * shot),
                "launch": {"ball_speed_mps": 51.0 + off / 2.0, "launch_angle_deg": 18.0 + off},
                "flight": {"carry_m": carry + 4.0 * off, "side_m": 3.0 * off, "origin": "tracked"},
            });
            lines.push_str(&event.to_string());
            lines.push('\n');
        }
    }
    let told = service.stream(&lines).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(16), &json!(0)), "{told}");
}
