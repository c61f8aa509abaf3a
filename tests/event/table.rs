//! The table of quantities as it is published, against the parser.

use crate::{read, with};
use evencarry::shot::{Flags, event_flags};
use serde_json::json;

/// No bound on what is usual.
const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// A row: object, name without unit, units with what one of them is in the first, bounds, and what
/// is usual, both in the first unit.
type Row = (&'static str, &'static str, &'static [(&'static str, f64)], (f64, f64), (f64, f64));

// Factors: NIST SP 811 (2008), appendix B.8.
const SPEED: &[(&str, f64)] = &[("mps", 1.0), ("mph", 0.447_04), ("kmh", 1.0 / 3.6)];
const WIND: &[(&str, f64)] =
    &[("mps", 1.0), ("mph", 0.447_04), ("kmh", 1.0 / 3.6), ("kt", 1_852.0 / 3_600.0)];
const LENGTH: &[(&str, f64)] = &[("m", 1.0), ("yd", 0.914_4)];
const HEIGHT: &[(&str, f64)] = &[("m", 1.0), ("ft", 0.304_8)];
const APEX: &[(&str, f64)] = &[("m", 1.0), ("yd", 0.914_4), ("ft", 0.304_8)];
const PRESSURE: &[(&str, f64)] = &[("hpa", 1.0), ("inhg", 33.863_89)];
const DEG: &[(&str, f64)] = &[("deg", 1.0)];
const RPM: &[(&str, f64)] = &[("rpm", 1.0)];
const MM: &[(&str, f64)] = &[("mm", 1.0)];
const S: &[(&str, f64)] = &[("s", 1.0)];
const PCT: &[(&str, f64)] = &[("pct", 1.0)];
const CELSIUS: &[(&str, f64)] = &[("c", 1.0)];

/// Source: the published table of schema `shot/1`.
const TABLE: &[Row] = &[
    ("launch", "ball_speed", SPEED, (1.0, 110.0), (8.0, 95.0)),
    ("launch", "launch_angle", DEG, (-20.0, 80.0), (-2.0, 55.0)),
    ("launch", "launch_direction", DEG, (-90.0, 90.0), (-25.0, 25.0)),
    ("launch", "spin_rate", RPM, (0.0, 20_000.0), (300.0, 14_000.0)),
    ("launch", "spin_axis", DEG, (-90.0, 90.0), (-50.0, 50.0)),
    ("launch", "backspin", RPM, (-20_000.0, 20_000.0), ANY),
    ("launch", "sidespin", RPM, (-20_000.0, 20_000.0), ANY),
    ("clubhead", "speed", SPEED, (1.0, 80.0), (8.0, 65.0)),
    ("clubhead", "attack_angle", DEG, (-45.0, 45.0), (-20.0, 20.0)),
    ("clubhead", "head_path", DEG, (-45.0, 45.0), (-20.0, 20.0)),
    ("clubhead", "face_to_target", DEG, (-45.0, 45.0), (-20.0, 20.0)),
    ("clubhead", "delivered_loft", DEG, (-10.0, 80.0), (0.0, 70.0)),
    ("clubhead", "strike_toe", MM, (-80.0, 80.0), (-40.0, 40.0)),
    ("clubhead", "strike_high", MM, (-80.0, 80.0), (-40.0, 40.0)),
    ("flight", "carry", LENGTH, (0.0, 400.0), (5.0, 350.0)),
    ("flight", "total", LENGTH, (0.0, 500.0), ANY),
    ("flight", "side", LENGTH, (-200.0, 200.0), (-80.0, 80.0)),
    ("flight", "curve", LENGTH, (-200.0, 200.0), (-80.0, 80.0)),
    ("flight", "apex", APEX, (0.0, 120.0), (0.5, 70.0)),
    ("flight", "descent_angle", DEG, (0.0, 90.0), (10.0, 75.0)),
    ("flight", "hang_time", S, (0.0, 20.0), (0.5, 10.0)),
    ("flight", "landing_speed", SPEED, (0.0, 110.0), ANY),
    ("air", "temperature", CELSIUS, (-40.0, 60.0), (-15.0, 45.0)),
    ("air", "pressure", PRESSURE, (400.0, 1_100.0), ANY),
    ("air", "sea_level_pressure", PRESSURE, (400.0, 1_100.0), ANY),
    ("air", "humidity", PCT, (0.0, 100.0), ANY),
    ("air", "altitude", HEIGHT, (-500.0, 6_000.0), ANY),
    ("wind", "speed", WIND, (0.0, 60.0), (0.0, 25.0)),
    ("wind", "from", DEG, (0.0, 360.0), ANY),
    ("wind", "compass_from", DEG, (0.0, 360.0), ANY),
    ("wind", "height", HEIGHT, (0.5, 100.0), ANY),
    ("target", "distance", LENGTH, (0.0, 500.0), ANY),
    ("target", "elevation", HEIGHT, (-100.0, 100.0), ANY),
];

/// An event in which one quantity has one value, and all that it needs.
fn event(object: &str, name: &str, value: f64) -> serde_json::Value {
    let mut event = with(&json!({"launch": {"ball_speed_mps": 50, "launch_angle_deg": 15}}));
    let beside = match name {
        "spin_axis_deg" => Some(("spin_rate_rpm", 5_000)),
        "backspin_rpm" => Some(("sidespin_rpm", 0)),
        "sidespin_rpm" => Some(("backspin_rpm", 5_000)),
        _ => None,
    };
    if let Some((name, value)) = beside {
        event[object][name] = value.into();
    }
    for (same, base) in [("launch", "ball_speed_"), ("flight", "carry_")] {
        if object == same && name.starts_with(base) {
            event[object] = json!({"launch_angle_deg": 15});
        }
    }
    if object == "flight" && name.starts_with("carry_") {
        event[object] = json!({});
    }
    event[object][name] = value.into();
    event
}

/// A bound in another unit, outwards to three decimals.
fn outwards((low, high): (f64, f64), factor: f64) -> (f64, f64) {
    let thousandths = |bound: f64| bound / factor * 1_000.0;
    // A hair against noise of the last digit, which is not a thousandth of anything published.
    let low = (thousandths(low) + 1e-6).floor() / 1_000.0;
    let high = (thousandths(high) - 1e-6).ceil() / 1_000.0;
    (low, high)
}

#[test]
fn every_spelling_is_taken_up_to_its_bounds_and_no_further() {
    for (object, base, units, bounds, _) in TABLE {
        for (unit, factor) in *units {
            let name = format!("{base}_{unit}");
            let (low, high) = outwards(*bounds, *factor);
            for value in [low, high, f64::midpoint(low, high)] {
                let taken = read(&event(object, &name, value));
                assert!(taken.is_ok(), "{object}.{name} {value}: {taken:?}");
            }
            for value in [low.next_down(), high.next_up(), low - 0.001, high + 0.001] {
                let refused = read(&event(object, &name, value));
                assert!(refused.is_err(), "{object}.{name} {value}");
            }
        }
    }
}

#[test]
fn every_spelling_is_flagged_outside_what_is_usual_and_not_within() {
    for (object, base, units, bounds, usual) in TABLE {
        for (unit, factor) in *units {
            let name = format!("{base}_{unit}");
            let flag = format!("unusual:/{object}/{name}");
            let flagged = |value: f64| {
                let event = read(&event(object, &name, value)).unwrap();
                event_flags(&event, Some(0.0), true).words(&event).contains(&flag)
            };
            if *usual == ANY {
                continue;
            }
            let (low, high) = outwards(*usual, *factor);
            let (least, most) = outwards(*bounds, *factor);
            assert!(!flagged(low) && !flagged(high), "{flag}");
            if low > least {
                assert!(flagged(low.next_down()) && flagged(least), "{flag}");
            }
            assert!(flagged(high.next_up()) && flagged(most), "{flag}");
            let bit = Flags::parse(&flag).unwrap();
            let same = Flags::parse(&format!("unusual:/{object}/{base}_{}", units[0].0)).unwrap();
            assert_eq!(bit, same, "any spelling filters by the same flag");
        }
    }
}

#[test]
fn fahrenheit_is_taken_and_flagged_like_celsius() {
    for (value, taken, flagged) in [
        (-40.0, true, true),
        (-40.001, false, false),
        (140.0, true, true),
        (140.001, false, false),
        (5.0, true, false),
        (4.999, true, true),
        (113.0, true, false),
        (113.001, true, true),
    ] {
        let event = read(&event("air", "temperature_f", value));
        assert_eq!(event.is_ok(), taken, "{value}");
        let words = event.map(|event| event.unusual.words(&event)).unwrap_or_default();
        assert_eq!(words.contains(&"unusual:/air/temperature_f".to_owned()), flagged, "{value}");
    }
}

#[test]
fn the_table_has_every_quantity_of_the_schema() {
    let schema = evencarry::shot::schema::shot_event();
    let mut spellings = 0;
    for object in schema["properties"].as_object().unwrap().values() {
        let members = object["properties"].as_object();
        spellings += members.map_or(0, |members| {
            members.values().filter(|member| member["type"] == "number").count()
        });
    }
    // Fahrenheit has an offset, not a factor, and a test of its own.
    let published: usize = TABLE.iter().map(|(_, _, units, _, _)| units.len()).sum();
    assert_eq!(spellings, published + 1);
}
