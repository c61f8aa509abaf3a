//! The event through the public API: the table of quantities, the agreement of parser and schema,
//! the words of faults, the same content, and the documents around it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs)]

mod agreement;
mod bytes;
mod catalogue;
mod content;
mod corrections;
mod envelopes;
mod faults;
mod flags;
mod generate;
mod reading;
mod schema_file;
mod seeds;
mod table;

use evencarry::shot::{Event, Fault, Rejection, RejectionKind, parse};
use serde_json::{Value, json};

/// The event of the schema's documentation: every object and nearly every member.
const FULL: &str = r#"{
  "id": "000182", "source": "bay-3", "time": "2026-04-11T10:15:04.120+02:00",
  "player": "rowan", "club": "5h", "session": "spring-1",
  "lie": "mat", "intent": {"height": "stock", "shape": "straight", "swing": "full"}, "purpose": "practice",
  "ball": "range-b", "wet": false, "place": "indoor", "target": {"distance_m": 160, "elevation_m": 0},
  "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 16.8, "launch_direction_deg": -0.8,
             "spin_rate_rpm": 5240, "spin_axis_deg": 2.1, "spin_origin": "measured"},
  "clubhead": {"speed_mps": 38.0, "speed_origin": "measured", "attack_angle_deg": -2.9, "head_path_deg": 1.0, "face_to_target_deg": 0.2,
               "delivered_loft_deg": 20.4, "strike_toe_mm": 3, "strike_high_mm": -2},
  "flight": {"carry_m": 158.3, "total_m": 160.1, "side_m": 3.1, "apex_m": 29.4, "descent_angle_deg": 49.0, "hang_time_s": 6.0,
             "origin": "tracked", "adjusted_for": []},
  "air": {"temperature_c": 9.0, "pressure_hpa": 845, "humidity_pct": 40, "altitude_m": 1480},
  "wind": {"speed_mps": 0, "from_deg": 0, "height_m": 10},
  "ground": "firm",
  "ext": {"anything": "kept, never interpreted"}
}"#;

/// The least event, to which a test adds what it is about.
fn least() -> Value {
    json!({
        "id": "1", "source": "bay-3", "time": "2026-04-11T10:15:04Z",
        "flight": {"carry_m": 150}
    })
}

/// The least event with members merged into it.
fn with(members: &Value) -> Value {
    let mut event = least();
    merge(&mut event, members);
    event
}

/// Puts members into an object, and into the objects within.
fn merge(into: &mut Value, members: &Value) {
    for (name, value) in members.as_object().unwrap() {
        match (into.get_mut(name), value) {
            (Some(Value::Object(inner)), Value::Object(more)) => inner.extend(more.clone()),
            _ => into[name] = value.clone(),
        }
    }
}

/// Reads a JSON value as an event.
fn read(event: &Value) -> Result<Event, Rejection> {
    parse(event.to_string().as_bytes())
}

/// The faults of an event that must have some.
fn faults(event: &Value) -> Vec<Fault> {
    invalid(read(event))
}

/// The faults of what must be refused as invalid.
fn invalid<T: std::fmt::Debug>(read: Result<T, Rejection>) -> Vec<Fault> {
    match read.expect_err("it should be refused").kind {
        RejectionKind::Invalid(faults) => faults,
        not_json @ RejectionKind::NotJson { .. } => panic!("it is JSON: {not_json}"),
    }
}

/// What is wrong with a text that must be refused as not JSON.
fn not_json(text: &[u8]) -> String {
    match parse(text).expect_err("it should be refused").kind {
        RejectionKind::NotJson { detail } => detail,
        invalid @ RejectionKind::Invalid(_) => panic!("it is not JSON: {invalid}"),
    }
}
