//! What is wrong, where, and the mend: all of it at once.

use crate::{faults, invalid, least, read, with};
use evencarry::shot::parse;
use serde_json::{Value, json};

/// The one fault of the least event with members more.
fn only(members: &Value) -> (String, String) {
    let faults = faults(&with(members));
    assert_eq!(faults.len(), 1, "{faults:?}");
    (faults[0].pointer.clone(), faults[0].detail.clone())
}

/// Checks the pointer of the one fault, and a part of its words.
fn says(members: &Value, pointer: &str, part: &str) {
    let (at, detail) = only(members);
    assert_eq!(at, pointer, "{detail}");
    assert!(detail.contains(part), "{detail}");
}

#[test]
fn all_faults_are_told_at_once() {
    let event = json!({
        "source": "", "time": "yesterday", "lie": "moon", "wet": "yes", "colour": "red",
        "launch": {"ball_speed_mps": 500, "spin_axis_deg": 3},
        "flight": {"carry": 150, "adjusted_for": ["rain"]},
        "air": []
    });
    let mut pointers: Vec<_> = faults(&event).into_iter().map(|fault| fault.pointer).collect();
    pointers.sort();
    assert_eq!(
        pointers,
        [
            "",
            "/air",
            "/colour",
            "/flight/adjusted_for/0",
            "/flight/carry",
            "/id",
            "/launch/ball_speed_mps",
            "/launch/spin_axis_deg",
            "/lie",
            "/source",
            "/time",
            "/wet",
        ]
    );
}

#[test]
fn a_bare_name_is_told_its_units() {
    says(&json!({"flight": {"apex": 30}}), "/flight/apex", "apex_m, apex_yd or apex_ft");
    says(&json!({"flight": {"carry_ft": 300}}), "/flight/carry_ft", "carry_m or carry_yd");
    says(
        &json!({"wind": {"speed": 3}}),
        "/wind/speed",
        "speed_mps, speed_mph, speed_kmh or speed_kt",
    );
}

#[test]
fn a_second_spelling_is_told_the_first() {
    says(&json!({"flight": {"carry_yd": 160}}), "/flight/carry_yd", "second spelling of carry_m");
}

#[test]
fn an_unknown_member_is_told_the_nearest() {
    says(
        &json!({"flight": {"dscent_angle_deg": 40}}),
        "/flight/dscent_angle_deg",
        "descent_angle_deg",
    );
    says(&json!({"launch": {"spinRateRpm": 4000}}), "/launch/spinRateRpm", "spin_rate_rpm");
    says(&json!({"sesion": "a"}), "/sesion", "session");
    says(&json!({"intent": {"heigth": "low"}}), "/intent/heigth", "height");
    says(&json!({"air": {"zzzzzzzzzzzz": 1}}), "/air/zzzzzzzzzzzz", "humidity_pct");
    says(&json!({"a/b~c": 1}), "/a~1b~0c", "not a member of the event");
}

#[test]
fn a_member_in_the_wrong_object_is_told_the_right_one() {
    says(&json!({"carry_yd": 160}), "/carry_yd", "send it in flight");
    says(&json!({"flight": {"ball_speed_mps": 60}}), "/flight/ball_speed_mps", "send it in launch");
    says(&json!({"humidity": 60}), "/humidity", "in air, as humidity_pct");
    says(&json!({"flight": {"lie": "tee"}}), "/flight/lie", "send it in the event");
}

#[test]
fn null_is_a_fault_everywhere_but_in_ext() {
    for (members, pointer) in [
        (json!({"player": null}), "/player"),
        (json!({"lie": null}), "/lie"),
        (json!({"wet": null}), "/wet"),
        (json!({"launch": null}), "/launch"),
        (json!({"launch": {"spin_rate_rpm": null}}), "/launch/spin_rate_rpm"),
        (json!({"flight": {"adjusted_for": null}}), "/flight/adjusted_for"),
        (json!({"flight": {"adjusted_for": [null]}}), "/flight/adjusted_for/0"),
        (json!({"ext": null}), "/ext"),
    ] {
        says(&members, pointer, "is null");
    }
    assert!(read(&with(&json!({"ext": {"a": null}}))).is_ok());
}

#[test]
fn a_value_of_the_wrong_kind_is_told_the_right_one() {
    says(&json!({"air": {"altitude_m": "1480"}}), "/air/altitude_m", "is text: send a number");
    says(&json!({"player": 7}), "/player", "is a number: send text");
    says(&json!({"wet": 1}), "/wet", "send true or false");
    says(&json!({"target": 160}), "/target", "send an object");
    says(&json!({"target": [160]}), "/target", "is a list");
    says(&json!({"ext": [1]}), "/ext", "send an object");
}

#[test]
fn a_number_out_of_bounds_is_told_them() {
    says(&json!({"air": {"humidity_pct": 101}}), "/air/humidity_pct", "outside 0 to 100");
    says(&json!({"air": {"altitude_m": -1e300}}), "/air/altitude_m", "is -1e300, outside");
    says(&json!({"wind": {"height_ft": 1}}), "/wind/height_ft", "outside 1.64 to 328.084");
}

#[test]
fn a_wrong_word_is_told_the_known_ones() {
    says(&json!({"ground": "soggy"}), "/ground", "frozen, firm, medium, soft or soaked");
    says(&json!({"lie": "Fairway"}), "/lie", "nearest: fairway");
}

#[test]
fn a_shot_has_a_launch_or_a_carry() {
    let bare = |members: Value| {
        let mut event = least();
        event.as_object_mut().unwrap().remove("flight");
        event.as_object_mut().unwrap().extend(members.as_object().unwrap().clone());
        event
    };
    for little in [
        json!({}),
        json!({"launch": {}}),
        json!({"launch": {"ball_speed_mps": 60}}),
        json!({"launch": {"launch_angle_deg": 12}}),
        json!({"flight": {"total_m": 160}}),
        json!({"launch": {"ball_speed_mps": 60}, "flight": {"total_m": 160}}),
    ] {
        let faults = faults(&bare(little));
        assert_eq!(faults[0].pointer, "");
        assert!(faults[0].detail.contains("flight.carry_m"), "{}", faults[0].detail);
    }
    for enough in [
        json!({"launch": {"ball_speed_kmh": 200, "launch_angle_deg": 12}}),
        json!({"flight": {"carry_yd": 160}}),
    ] {
        assert!(read(&bare(enough)).is_ok());
    }
}

#[test]
fn spin_is_a_rate_a_rate_with_an_axis_or_a_pair() {
    let spin = |names: &[&str]| {
        let launch: serde_json::Map<_, _> =
            names.iter().map(|name| ((*name).to_owned(), json!(20))).collect();
        read(&with(&json!({"launch": launch}))).is_ok()
    };
    let names = ["spin_rate_rpm", "spin_axis_deg", "backspin_rpm", "sidespin_rpm"];
    for chosen in 0_u8..16 {
        let sent: Vec<_> =
            (0..4).filter(|bit| chosen & (1 << bit) != 0).map(|bit| names[bit]).collect();
        let allowed = [0b0000, 0b0001, 0b0011, 0b1100].contains(&chosen);
        assert_eq!(spin(&sent), allowed, "{sent:?}");
    }
}

#[test]
fn an_origin_without_its_value_is_a_fault() {
    let lone = json!({"launch": {"spin_origin": "measured"}});
    says(&lone, "/launch/spin_origin", "without spin_rate_rpm or backspin_rpm");
    let lone = json!({"clubhead": {"speed_origin": "from_ball"}});
    says(&lone, "/clubhead/speed_origin", "without speed_mps");
    assert!(
        read(&with(&json!({"clubhead": {"speed_mph": 90, "speed_origin": "from_ball"}}))).is_ok()
    );
    assert!(read(&with(&json!({"flight": {"origin": "modelled"}}))).is_ok());
}

#[test]
fn two_ways_to_say_one_thing_are_a_fault() {
    let air = json!({"air": {"pressure_hpa": 990, "sea_level_pressure_inhg": 30}});
    says(&air, "/air/sea_level_pressure_inhg", "say one thing in two ways");
    let wind = json!({"wind": {"from_deg": 10, "compass_from_deg": 50}});
    says(&wind, "/wind/compass_from_deg", "say one thing in two ways");
}

#[test]
fn an_adjustment_that_stands_twice_is_a_fault() {
    says(&json!({"flight": {"adjusted_for": ["wind", "wind"]}}), "/flight/adjusted_for/1", "twice");
}

#[test]
fn a_text_that_is_no_object_is_one_fault() {
    for text in ["3", "-1", "1.5", "null", "true", "\"event\"", "[]", "[{\"id\": \"1\"}]"] {
        let faults = invalid(parse(text.as_bytes()));
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].pointer, "");
        assert!(faults[0].detail.contains("send an object"), "{}", faults[0].detail);
    }
}

#[test]
fn a_flood_of_unknown_members_is_answered_shortly() {
    let flood: serde_json::Map<_, _> =
        (0..20_000).map(|number| (format!("member_{number}"), json!(number))).collect();
    let faults = faults(&with(&Value::Object(flood)));
    assert_eq!(faults.len(), 101);
    assert!(faults[100].detail.contains("19900 faults more"), "{}", faults[100].detail);
}

#[test]
fn empty_objects_are_allowed() {
    let empty = json!({
        "intent": {}, "target": {}, "launch": {}, "clubhead": {}, "air": {}, "wind": {}, "ext": {}
    });
    assert!(read(&with(&empty)).is_ok());
}
