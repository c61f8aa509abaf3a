//! Bytes that are not JSON, or not JSON of one meaning; and the items of arrays.

use crate::generate::well_formed;
use crate::{FULL, least, not_json, with};
use evencarry::shot::schema::shot_event;
use evencarry::shot::{DEPTH_MAX, Rejection, RejectionKind, parse, split_array};
use proptest::prelude::*;
use serde_json::{Value, json};

/// The least event as text, with a member more.
fn least_and(member: &str) -> String {
    let event = least().to_string();
    format!("{},{member}}}", &event[..event.len() - 1])
}

#[test]
fn broken_json_is_not_json() {
    for text in ["", " ", "{", "nul", "{\"id\":}", "{} {}", "{'id':1}", "[1,]", "\u{feff}{}"] {
        not_json(text.as_bytes());
    }
    let detail = not_json(b"{\"id\": \"1\",\n \"source\" 3}");
    assert!(detail.contains("line 2"), "{detail}");
}

#[test]
fn a_text_that_is_not_utf_8_is_not_json() {
    let mut text = least().to_string().into_bytes();
    let place = text.iter().position(|byte| *byte == b'b').unwrap();
    text[place] = 0xff;
    assert!(not_json(&text).contains("UTF-8"));
}

#[test]
fn a_key_that_stands_twice_is_not_json_wherever_it_stands() {
    for member in [
        r#""id": "2""#,
        r#""flight": {"carry_m": 100}"#,
        r#""launch": {"spin_rate_rpm": 1, "spin_rate_rpm": 1}"#,
        r#""ext": {"a": 1, "a": 1}"#,
        r#""ext": {"deep": [{"a": 1, "\u0061": 1}]}"#,
        r#""unknown": 1, "unknown": 2"#,
        r#""unknown": {"a": 1, "a": 2}"#,
        r#""lie": [{"a": 1, "a": 2}]"#,
    ] {
        let detail = not_json(least_and(member).as_bytes());
        assert!(detail.contains("stands twice"), "{member}: {detail}");
    }
}

#[test]
fn a_number_beyond_a_double_is_not_json_wherever_it_stands() {
    for member in [
        r#""launch": {"spin_rate_rpm": 1e400}"#,
        r#""ext": {"a": [-1e309]}"#,
        r#""unknown": 1e999"#,
    ] {
        let detail = not_json(least_and(member).as_bytes());
        assert!(detail.contains("out of range"), "{member}: {detail}");
    }
}

#[test]
fn nesting_is_read_to_its_bound_and_no_deeper() {
    // The event is one level, ext another.
    let nested = |levels: usize| {
        least_and(&format!(r#""ext": {{"a": {}1{}}}"#, "[".repeat(levels), "]".repeat(levels)))
    };
    assert!(parse(nested(DEPTH_MAX - 2).as_bytes()).is_ok());
    let detail = not_json(nested(DEPTH_MAX - 1).as_bytes());
    assert!(detail.contains("nested deeper than 32"), "{detail}");
    not_json("[".repeat(100_000).as_bytes());
    not_json(format!(r#"{{"unknown": {}"#, "{\"a\":".repeat(100_000)).as_bytes());
}

#[test]
fn ext_may_have_16_kib_as_sent_and_no_more() {
    let ext = |size: usize| {
        let spare = size - r#"{"a": ""}"#.len();
        least_and(&format!(r#""ext": {{"a": "{}"}}"#, "x".repeat(spare)))
    };
    assert!(parse(ext(16 * 1024).as_bytes()).is_ok());
    let faults = crate::invalid(parse(ext(16 * 1024 + 1).as_bytes()));
    assert_eq!(faults[0].pointer, "/ext");
    assert!(faults[0].detail.contains("16385 bytes"), "{}", faults[0].detail);
}

#[test]
fn a_refusal_tells_the_identity_that_could_be_read() {
    let named = |rejection: Rejection| (rejection.source, rejection.id);
    let faulty = with(&json!({"lie": "moon"})).to_string();
    let both = (Some("bay-3".to_owned()), Some("1".to_owned()));
    assert_eq!(named(parse(faulty.as_bytes()).unwrap_err()), both);
    let broken = r#"{"source": "bay-3", "id": "1", "launch": {"#;
    assert_eq!(named(parse(broken.as_bytes()).unwrap_err()), both);
    let late = r#"{"launch": nonsense, "source": "bay-3", "id": "1"}"#;
    assert_eq!(named(parse(late.as_bytes()).unwrap_err()), (None, None));
    let wrong = with(&json!({"id": 7})).to_string();
    assert_eq!(named(parse(wrong.as_bytes()).unwrap_err()), (both.0, None));
}

#[test]
fn the_items_of_an_array_are_given_unread() {
    let body = br#" [ {"a": 1} , 3,"x", {"a": 1, "a": 2} ,[]] "#;
    let items = split_array(body).unwrap();
    let items: Vec<_> = items.into_iter().map(|item| str::from_utf8(item).unwrap()).collect();
    assert_eq!(items, [r#"{"a": 1}"#, "3", r#""x""#, r#"{"a": 1, "a": 2}"#, "[]"]);
    assert!(split_array(b"[]").unwrap().is_empty());
}

#[test]
fn what_is_not_an_array_is_not_split() {
    let deep = "[".repeat(1_000_000);
    for body in ["{", "[1,", "[1] 2", "", "3 4", &deep] {
        let refused = split_array(body.as_bytes()).unwrap_err();
        assert!(matches!(refused.kind, RejectionKind::NotJson { .. }), "{body}");
    }
    for body in ["{}", "3"] {
        let refused = split_array(body.as_bytes()).unwrap_err();
        assert!(matches!(refused.kind, RejectionKind::Invalid(_)), "{body}");
    }
}

/// The pointers that may be at fault although the schema is content.
fn beyond_schema(pointer: &str) -> bool {
    pointer == "/time" || pointer == "/ext"
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn no_bytes_at_all_break_the_parser(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = (parse(&bytes), split_array(&bytes));
    }

    #[test]
    fn an_event_with_a_few_bytes_changed_is_judged_as_the_schema_says(
        event in well_formed(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3_u8), 1..6),
    ) {
        let mut text = if changes.len() == 1 { FULL.into() } else { event.to_string().into_bytes() };
        for (place, byte, way) in changes {
            let place = place.index(text.len());
            match way {
                0 => text[place] = byte,
                1 => text.insert(place, byte),
                _ => { text.remove(place); }
            }
        }
        let read = parse(&text);
        let Ok(value) = serde_json::from_slice::<Value>(&text) else {
            let broken = matches!(read.map_err(|refused| refused.kind), Err(RejectionKind::NotJson { .. }));
            prop_assert!(broken);
            return Ok(());
        };
        let valid = jsonschema::draft202012::new(&shot_event()).unwrap().is_valid(&value);
        match read.map_err(|refused| refused.kind) {
            Ok(_) => prop_assert!(valid),
            Err(RejectionKind::NotJson { detail }) => prop_assert!(detail.contains("twice"), "{detail}"),
            Err(RejectionKind::Invalid(faults)) => prop_assert!(
                !valid || faults.iter().all(|fault| beyond_schema(&fault.pointer)),
                "{faults:?}"
            ),
        }
    }
}
