//! What must hold of an event, whatever bytes it is of. The fuzz target and the suite of the event share it.

use std::sync::LazyLock;

use evencarry::shot::{parse, same_content, schema::shot_event, split_array};
use jsonschema::Validator;
use serde_json::Value;

static SCHEMA: LazyLock<Validator> = LazyLock::new(|| {
    jsonschema::draft202012::new(&shot_event()).expect("the published schema is one")
});

/// Parses without a panic. What is taken is valid by the schema to an independent validator, is the same content as
/// itself, and stays so when a general JSON library writes it anew; so do the items of an array.
pub(crate) fn event(data: &[u8]) {
    for item in split_array(data).unwrap_or_default() {
        drop(parse(item));
    }
    if parse(data).is_err() {
        return;
    }
    let value: Value = serde_json::from_slice(data).expect("what is taken is JSON");
    assert!(SCHEMA.is_valid(&value), "taken, but not by the schema: {value}");
    let anew = value.to_string();
    assert!(parse(anew.as_bytes()).is_ok(), "taken, but not when written anew: {anew}");
    assert!(same_content(data, data), "other content than itself: {value}");
    assert!(same_content(data, anew.as_bytes()), "other content than {anew}");
}
