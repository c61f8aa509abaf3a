//! The same content: what is a duplicate, and what is a conflict.

use crate::FULL;
use crate::generate::{mutate, mutations, well_formed};
use evencarry::shot::same_content;
use proptest::prelude::*;
use serde_json::{Map, Value};

fn same(a: &str, b: &str) -> bool {
    let answer = same_content(a.as_bytes(), b.as_bytes());
    assert_eq!(answer, same_content(b.as_bytes(), a.as_bytes()), "{a} {b}");
    answer
}

#[test]
fn order_and_white_space_do_not_matter() {
    assert!(same(r#"{"a": 1, "b": {"c": 2, "d": 3}}"#, r#"{"b":{"d":3,"c":2},"a":1}"#));
    assert!(!same(r#"{"a": [1, 2]}"#, r#"{"a": [2, 1]}"#), "the order of a list is content");
}

#[test]
fn numbers_are_the_same_that_are_the_same_double() {
    for one in ["1", "1.0", "1e0", "10e-1", "0.1E1"] {
        assert!(same(&format!(r#"{{"a": {one}}}"#), r#"{"a": 1}"#), "{one}");
    }
    assert!(same(r#"{"a": 9007199254740993}"#, r#"{"a": 9007199254740992}"#));
    assert!(same(r#"{"a": 0.1}"#, r#"{"a": 0.1000000000000000055511151231257827}"#));
    assert!(same(r#"{"a": -0.0}"#, r#"{"a": 0}"#));
    assert!(!same(r#"{"a": 0.1}"#, r#"{"a": 0.10000000000000002}"#));
    assert!(!same(r#"{"a": 1}"#, r#"{"a": "1"}"#));
}

#[test]
fn strings_are_the_same_that_are_the_same_in_nfc() {
    assert!(same("{\"a\": \"\u{e9}\"}", "{\"a\": \"e\u{301}\"}"));
    assert!(same(r#"{"a": "\u0065\u0301"}"#, "{\"a\": \"\u{e9}\"}"));
    assert!(!same(r#"{"a": "e"}"#, "{\"a\": \"\u{e9}\"}"));
}

#[test]
fn another_spelling_is_other_content() {
    assert!(!same(r#"{"flight": {"carry_m": 0}}"#, r#"{"flight": {"carry_yd": 0}}"#));
    assert!(!same(r#"{"a": 1}"#, r#"{"a": 1, "wet": false}"#));
    assert!(!same(r#"{"a": null}"#, "{}"));
}

#[test]
fn what_is_not_json_is_the_same_byte_by_byte_only() {
    assert!(same("nonsense", "nonsense"));
    assert!(!same("nonsense", " nonsense"));
    assert!(!same(r#"{"a": 1, "a": 1}"#, r#"{"a": 1}"#));
}

/// The value with the members of every object in the opposite order.
fn turned(value: &Value) -> String {
    match value {
        Value::Object(members) => {
            let turned: Vec<_> = members
                .iter()
                .rev()
                .map(|(name, value)| format!("{} : {}", Value::from(name.as_str()), turned(value)))
                .collect();
            format!("{{ {} }}", turned.join(" ,\n"))
        }
        Value::Array(items) => {
            format!("[{}]", items.iter().map(turned).collect::<Vec<_>>().join(", "))
        }
        other => other.to_string(),
    }
}

/// Whether two values are the same by a plain reading of the rule, with integers as doubles.
fn plainly_same(one: &Value, other: &Value) -> bool {
    fn plain(value: &Value) -> Value {
        match value {
            Value::Number(number) => number.as_f64().map(|number| number + 0.0).into(),
            Value::Array(items) => items.iter().map(plain).collect(),
            Value::Object(members) => members
                .iter()
                .map(|(name, value)| (name.clone(), plain(value)))
                .collect::<Map<_, _>>()
                .into(),
            other => other.clone(),
        }
    }
    plain(one) == plain(other)
}

proptest! {
    #[test]
    fn an_event_is_the_same_however_it_is_laid_out(event in well_formed()) {
        prop_assert!(same(&event.to_string(), &turned(&event)));
        let spread = format!("{event:#}");
        prop_assert!(same(&event.to_string(), &spread));
    }

    #[test]
    fn a_changed_event_is_the_same_only_if_nothing_changed(
        event in well_formed(),
        changes in mutations(),
    ) {
        let mut changed = event.clone();
        for change in &changes {
            mutate(&mut changed, change);
        }
        let answer = same(&event.to_string(), &changed.to_string());
        prop_assert_eq!(answer, plainly_same(&event, &changed));
    }
}

#[test]
fn the_full_event_is_the_same_as_its_compact_form() {
    let compact = serde_json::from_str::<Value>(FULL).unwrap().to_string();
    assert!(same(FULL, &compact));
}
