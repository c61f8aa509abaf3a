//! Events in envelopes of CloudEvents 1.0: the same as plain ones, by parser and by schema.

use crate::agreement::{agreed_by, described};
use crate::generate::{mutate, mutations, well_formed};
use evencarry::shot::schema::cloud_event;
use evencarry::shot::{EVENT_TYPE, parse, parse_envelope, same_content};
use jsonschema::Validator;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::sync::LazyLock;

static SCHEMA: LazyLock<Validator> =
    LazyLock::new(|| jsonschema::draft202012::new(&cloud_event()).unwrap());

static DESCRIBED: LazyLock<Validator> = LazyLock::new(|| described("CloudEvent"));

/// An event in an envelope, with more attributes.
fn envelope(event: &Value, more: &Value) -> Value {
    let mut data = event.clone();
    let mut envelope = json!({"specversion": "1.0", "type": EVENT_TYPE});
    for name in ["id", "source", "time"] {
        if let Some(value) = data.as_object_mut().and_then(|data| data.remove(name)) {
            envelope[name] = value;
        }
    }
    envelope["data"] = data;
    let attributes = envelope.as_object_mut().unwrap();
    attributes.extend(more.as_object().unwrap().clone());
    envelope
}

fn agreed(envelope: &Value) -> bool {
    agreed_by([&SCHEMA, &DESCRIBED], |text| parse_envelope(text).map(|_| ()), envelope)
}

/// Attributes, some of which are none.
fn attributes() -> impl Strategy<Value = Value> {
    let name = prop_oneof![
        3 => "[a-z0-9]{1,8}",
        1 => "[a-zA-Z_]{1,8}",
        2 => proptest::sample::select(vec!["subject", "dataschema", "datacontenttype", "specversion",
            "type", "time", "data_base64"]).prop_map(str::to_owned),
    ];
    let value = prop_oneof![
        any::<String>().prop_map(Value::from),
        proptest::sample::select(vec![
            "application/json",
            "application/json; charset=utf-8",
            "Application/Geo+JSON ;a",
            "text/csv",
            "json",
            "a/b/json",
            "1.0",
            EVENT_TYPE
        ])
        .prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<i16>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        Just(json!(2.0)),
        any::<bool>().prop_map(Value::from),
        Just(Value::Null),
        Just(json!({})),
        Just(json!([1])),
    ];
    proptest::collection::btree_map(name, value, 0..3)
        .prop_map(|all| Value::Object(all.into_iter().filter(|(name, _)| name != "data").collect()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn an_event_in_an_envelope_is_the_plain_event(event in well_formed()) {
        let sent = event.to_string();
        let (read, plain) = parse_envelope(envelope(&event, &json!({})).to_string().as_bytes()).unwrap();
        prop_assert!(same_content(&plain, sent.as_bytes()), "{sent}");
        prop_assert_eq!(read, parse(sent.as_bytes()).unwrap());
    }

    #[test]
    fn a_faulty_event_has_its_faults_in_an_envelope_too(event in well_formed(), changes in mutations()) {
        let mut event = event;
        for change in &changes {
            mutate(&mut event, change);
        }
        prop_assume!(event.is_object());
        let plain = parse(event.to_string().as_bytes());
        let enveloped = parse_envelope(envelope(&event, &json!({})).to_string().as_bytes());
        prop_assert_eq!(enveloped.is_ok(), plain.is_ok(), "{}", event);
    }

    #[test]
    fn parser_and_schema_judge_attributes_alike(event in well_formed(), more in attributes()) {
        agreed(&envelope(&event, &more));
    }

    #[test]
    fn parser_and_schema_judge_members_alike(event in well_formed(), changes in mutations()) {
        let mut event = event;
        for change in &changes {
            mutate(&mut event, change);
        }
        agreed(&envelope(&event, &json!({})));
    }
}

#[test]
fn parser_and_schema_take_what_is_right() {
    let event = json!({"id": "1", "source": "bay-3", "time": "2026-04-11T10:15:04Z", "flight": {"carry_m": 158}});
    let more = json!({"subject": "a", "hops": 3, "traceparent": "00-1", "datacontenttype": "application/json"});
    assert!(agreed(&envelope(&event, &more)));
    assert!(!agreed(&event));
    assert!(!agreed(&envelope(&event, &json!({"data_base64": "e30="}))));
}
