//! Parser, schema and the description of the API give the same answer, checked with an independent
//! validator.

use crate::generate::{mutate, mutations, well_formed};
use crate::{FULL, with};
use evencarry::shot::schema::shot_event;
use evencarry::shot::{Rejection, parse};
use jsonschema::Validator;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::sync::LazyLock;

static SCHEMA: LazyLock<Validator> =
    LazyLock::new(|| jsonschema::draft202012::new(&shot_event()).unwrap());

static DESCRIBED: LazyLock<Validator> = LazyLock::new(|| described("ShotEvent"));

/// A schema as the description of the API has it.
pub(crate) fn described(name: &str) -> Validator {
    let mut description: Value =
        serde_json::from_str(&evencarry::api::openapi_text(&evencarry::api::Limits::default()))
            .unwrap();
    let components = description["components"].take();
    let reference = format!("#/components/schemas/{name}");
    let schema = json!({"$ref": reference, "components": components});
    jsonschema::draft202012::new(&schema).unwrap()
}

/// All answers, which must be the same.
fn agreed(event: &Value) -> bool {
    agreed_by([&SCHEMA, &DESCRIBED], |text| parse(text).map(|_| ()), event)
}

/// The answers of schemas and of a parser, which must be the same.
pub(crate) fn agreed_by(
    schemas: [&Validator; 2],
    parse: impl Fn(&[u8]) -> Result<(), Rejection>,
    event: &Value,
) -> bool {
    let parsed = parse(event.to_string().as_bytes());
    for schema in schemas {
        assert_eq!(parsed.is_ok(), schema.is_valid(event), "{event}: {parsed:?}");
    }
    parsed.is_ok()
}

#[test]
fn all_take_the_full_event() {
    assert!(agreed(&serde_json::from_str(FULL).unwrap()));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn all_take_what_is_well_formed(event in well_formed()) {
        prop_assert!(agreed(&event), "{event}");
    }

    #[test]
    fn all_judge_a_changed_event_alike(event in well_formed(), changes in mutations()) {
        let mut event = event;
        for change in &changes {
            mutate(&mut event, change);
        }
        agreed(&event);
    }

    #[test]
    fn all_judge_any_text_as_a_name_alike(text in any::<String>()) {
        agreed(&with(&json!({"session": text})));
    }

    #[test]
    fn all_judge_the_form_of_a_time_alike(
        time in "[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|2[0-8])[Tt ](0[0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?(\\.[0-9]{0,10})?(Z|z|[+-](0[0-9]|2[0-3]):?([0-5][0-9])?|)"
    ) {
        agreed(&with(&json!({"time": time})));
    }
}

#[test]
fn all_judge_every_spelling_around_its_bounds_alike() {
    let schema = shot_event();
    for (object, members) in schema["properties"].as_object().unwrap() {
        for (name, member) in members["properties"].as_object().into_iter().flatten() {
            let (Some(low), Some(high)) = (member["minimum"].as_f64(), member["maximum"].as_f64())
            else {
                continue;
            };
            for bound in [low, high] {
                let steps = [0.0, 0.000_1, 0.000_5, 0.001, 0.01, 1.0, 1_000.0];
                let near = steps.into_iter().flat_map(|step| [bound - step, bound + step]);
                for value in near.chain([bound.next_down(), bound.next_up(), -bound]) {
                    agreed(&with(&json!({object: {name: value}})));
                    agreed(&json!({
                        "id": "1", "source": "s", "time": "2026-04-11T10:15:04Z",
                        "launch": {"ball_speed_mps": 50, "launch_angle_deg": 10},
                        object: {name: value}
                    }));
                }
            }
        }
    }
}

#[test]
fn all_judge_every_pair_of_members_of_an_object_alike() {
    let schema = shot_event();
    for (object, members) in schema["properties"].as_object().unwrap() {
        let members: Vec<_> = members["properties"].as_object().into_iter().flatten().collect();
        for (one, first) in &members {
            for (other, second) in &members {
                let mut event = with(&json!({}));
                event["launch"] = json!({"ball_speed_mps": 50, "launch_angle_deg": 10});
                event[object] = json!({*one: sample(first), *other: sample(second)});
                agreed(&event);
            }
        }
    }
}

/// A value that a member takes.
fn sample(schema: &Value) -> Value {
    match schema {
        Value::Object(schema) if schema.contains_key("minimum") => {
            let bound = |name: &str| schema[name].as_f64().unwrap();
            f64::midpoint(bound("minimum"), bound("maximum")).into()
        }
        Value::Object(schema) if schema.contains_key("enum") => schema["enum"][0].clone(),
        _ => json!([]),
    }
}
