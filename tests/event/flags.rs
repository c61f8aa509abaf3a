//! What is noted beside a shot.

use crate::{read, with};
use evencarry::shot::{Event, Flags, event_flags};
use serde_json::{Value, json};

fn event(members: &Value) -> Event {
    read(&with(members)).unwrap()
}

/// The flags of the least event with members more, its source's altitude and bearing known.
fn words(members: &Value) -> Vec<String> {
    let event = event(members);
    event_flags(&event, Some(0.0), true).words(&event)
}

#[test]
fn an_ordinary_shot_has_no_flags() {
    assert!(words(&json!({"air": {"pressure_hpa": 1010, "temperature_c": 20}})).is_empty());
}

#[test]
fn an_unusual_quantity_is_flagged_in_the_spelling_that_was_sent() {
    assert_eq!(words(&json!({"flight": {"apex_ft": 300}})), ["unusual:/flight/apex_ft"]);
    assert_eq!(
        words(&json!({"launch": {"spin_rate_rpm": 15_000, "launch_direction_deg": -30}})),
        ["unusual:/launch/launch_direction_deg", "unusual:/launch/spin_rate_rpm"]
    );
}

#[test]
fn a_spin_pair_is_flagged_by_the_rows_of_rate_and_axis() {
    let pair = |back: i32, side: i32| {
        words(&json!({"launch": {"backspin_rpm": back, "sidespin_rpm": side}}))
    };
    assert!(pair(4_000, 500).is_empty());
    assert_eq!(pair(100, 0), ["unusual:/launch/backspin_rpm"], "a rate under 300");
    assert_eq!(pair(2_000, 3_000), ["unusual:/launch/sidespin_rpm"], "an axis beyond 50");
    let both = ["unusual:/launch/backspin_rpm", "unusual:/launch/sidespin_rpm"];
    assert_eq!(pair(-2_000, 0), both, "topspin");
}

#[test]
fn a_pressure_is_unusual_that_is_no_weather_of_its_altitude() {
    // The standard pressure at 1,500 m is 845.56 hPa. Source: ISO 2533:1975, tables by altitude.
    let at_1500 =
        |share: f64| words(&json!({"air": {"pressure_hpa": 845.56 * share, "altitude_m": 1_500}}));
    assert!(at_1500(1.0).is_empty());
    assert!(at_1500(1.059).is_empty() && at_1500(0.941).is_empty());
    assert_eq!(at_1500(1.061), ["unusual:/air/pressure_hpa"]);
    assert_eq!(at_1500(0.939), ["unusual:/air/pressure_hpa"]);
    assert_eq!(
        words(&json!({"air": {"pressure_inhg": 24.97}})),
        ["unusual:/air/pressure_inhg"],
        "by the source's altitude"
    );
}

#[test]
fn an_unknown_altitude_judges_no_pressure() {
    let event = event(&json!({"air": {"pressure_hpa": 500}}));
    assert!(event_flags(&event, None, true).is_empty());
}

#[test]
fn a_sea_level_pressure_is_judged_at_sea_level_and_unused_without_an_altitude() {
    let event = event(&json!({"air": {"sea_level_pressure_inhg": 30}}));
    assert!(event_flags(&event, Some(1_480.0), true).is_empty());
    let flags = event_flags(&event, None, true);
    assert_eq!(flags.words(&event), ["unused:/air/sea_level_pressure_inhg"]);
    assert_eq!(
        words(&json!({"air": {"sea_level_pressure_hpa": 845, "altitude_m": 1_480}})),
        ["unusual:/air/sea_level_pressure_hpa"]
    );
}

#[test]
fn a_compass_wind_is_unused_without_a_bearing() {
    let event = event(&json!({"wind": {"speed_mps": 3, "compass_from_deg": 270}}));
    assert!(event_flags(&event, None, true).is_empty());
    let flags = event_flags(&event, None, false);
    assert_eq!(flags.words(&event), ["unused:/wind/compass_from_deg"]);
}

#[test]
fn a_filter_finds_a_quantity_in_any_spelling() {
    let event = event(
        &json!({"flight": {"apex_ft": 300}, "launch": {"backspin_rpm": 90, "sidespin_rpm": 0}}),
    );
    let flags = event_flags(&event, None, false);
    for word in ["apex_ft", "apex_m", "apex_yd"] {
        assert!(flags.intersects(Flags::parse(&format!("unusual:/flight/{word}")).unwrap()));
    }
    for word in ["spin_rate_rpm", "backspin_rpm"] {
        assert!(flags.intersects(Flags::parse(&format!("unusual:/launch/{word}")).unwrap()));
    }
    assert!(!flags.intersects(Flags::parse("unusual:/flight/carry_m").unwrap()));
    assert_eq!(
        Flags::parse("unused:/air/sea_level_pressure_inhg"),
        Some(Flags::UNUSED_SEA_LEVEL_PRESSURE)
    );
}

#[test]
fn a_filter_of_no_flag_is_none() {
    for word in [
        "",
        "unusual:",
        "unusual:/flight",
        "unusual:/flight/carry",
        "unusual:/flight/origin",
        "unusual:flight/carry_m",
        "unusual:/carry_m",
        "unused:/flight/carry_m",
        "Mishit",
    ] {
        assert_eq!(Flags::parse(word), None, "{word}");
    }
}

#[test]
fn the_flags_of_the_fold_have_a_word_each() {
    let event = event(&json!({}));
    let all = [
        (Flags::CLOCK_AHEAD, "clock_ahead"),
        (Flags::LATE, "late"),
        (Flags::MISHIT, "mishit"),
        (Flags::UNSCREENED, "unscreened"),
        (Flags::OTHER_CLUB, "other_club"),
    ];
    for (flag, word) in all {
        assert_eq!(flag.words(&event), [word]);
        assert_eq!(Flags::parse(word), Some(flag));
        assert_eq!(Flags::from_bits(flag.bits()), flag);
    }
    let two = Flags::LATE | Flags::MISHIT;
    assert_eq!(two.without(Flags::LATE), Flags::MISHIT);
}

#[test]
fn the_bits_of_stored_flags_never_move() {
    for (word, bit) in [
        ("unusual:/launch/ball_speed_mps", 0),
        ("unusual:/launch/spin_axis_deg", 4),
        ("unusual:/clubhead/speed_mps", 5),
        ("unusual:/flight/carry_m", 12),
        ("unusual:/flight/landing_speed_mps", 19),
        ("unusual:/air/temperature_c", 22),
        ("unusual:/air/pressure_hpa", 23),
        ("unusual:/wind/speed_mps", 27),
        ("unusual:/target/elevation_m", 32),
        ("unused:/air/sea_level_pressure_hpa", 48),
        ("unused:/wind/compass_from_deg", 49),
        ("clock_ahead", 56),
        ("late", 57),
        ("mishit", 58),
        ("unscreened", 59),
        ("other_club", 60),
    ] {
        assert_eq!(Flags::parse(word).unwrap().bits(), 1 << bit, "{word}");
    }
}
