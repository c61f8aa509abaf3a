//! What must hold of an event in an envelope, whatever bytes it is of. The fuzz target and the suite of the event share
//! it.

use std::sync::LazyLock;

use evencarry::shot::{parse, parse_envelope, same_content, schema::cloud_event};
use jsonschema::Validator;
use serde_json::Value;

static SCHEMA: LazyLock<Validator> = LazyLock::new(|| {
    jsonschema::draft202012::new(&cloud_event()).expect("the published schema is one")
});

/// Parses without a panic. What is taken is valid by the schema to an independent validator, gives a plain text of the
/// same event, and stays the same when a general JSON library writes it anew.
pub(crate) fn envelope(data: &[u8]) {
    let Ok((event, plain)) = parse_envelope(data) else { return };
    let value: Value = serde_json::from_slice(data).expect("what is taken is JSON");
    assert!(SCHEMA.is_valid(&value), "taken, but not by the schema: {value}");
    assert_eq!(parse(&plain).as_ref(), Ok(&event), "the plain text is another event: {value}");
    let anew = parse_envelope(value.to_string().as_bytes());
    let (_, again) = anew.unwrap_or_else(|refused| panic!("not when written anew: {refused}"));
    assert!(same_content(&plain, &again), "other content when written anew: {value}");
}
