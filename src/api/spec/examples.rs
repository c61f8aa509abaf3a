//! The examples of the description: acts of one invented scenario, and what the service answers.
//!
//! They are JSON files beside this one. A test of the API plays them in order on a fresh service, the archive's on
//! one of their own, and compares, so that no example can be wrong; the same test writes the answers anew.

use std::sync::LazyLock;

use serde::Deserialize;
use serde_json::{Map, Value, json};

use crate::api::problem::Kind;

/// The scenes, in the order in which they are played.
const SCENES: &[&str] = &[
    include_str!("examples/catalogue.json"),
    include_str!("examples/shots.json"),
    include_str!("examples/questions.json"),
    include_str!("examples/trials.json"),
    include_str!("examples/flights.json"),
    include_str!("examples/service.json"),
    include_str!("examples/refusals.json"),
    include_str!("examples/archive.json"),
];

/// Values of parameters, by name.
const PARAMETERS: &str = include_str!("examples/parameters.json");

/// One act and its answer.
#[derive(Debug, Deserialize)]
struct Act {
    /// The operation asked.
    operation: String,
    /// The example's name, different from others of the operation.
    name: String,
    /// What it shows.
    summary: String,
    /// The body's media type, where there is a body.
    media: Option<String>,
    /// The body: a text, or JSON.
    send: Option<Value>,
    /// The answer's status.
    status: u16,
    /// The answer's media type, where it has a body.
    gives: Option<String>,
    /// The answer's body.
    answer: Option<Value>,
}

static ACTS: LazyLock<Vec<Act>> = LazyLock::new(|| {
    // A test reads all of them.
    SCENES.iter().flat_map(|scene| read::<Vec<Act>>(scene)).collect()
});

static VALUES: LazyLock<Map<String, Value>> = LazyLock::new(|| read(PARAMETERS));

fn read<T: for<'a> Deserialize<'a> + Default>(text: &str) -> T {
    serde_json::from_str(text).unwrap_or_default()
}

/// A value of a parameter.
pub(super) fn of_parameter(name: &str) -> Value {
    VALUES.get(name).cloned().unwrap_or_default()
}

/// A refusal of this kind.
pub(in crate::api) fn of_refusal(kind: Kind) -> Option<Value> {
    let page = kind.page();
    let answer = |act: &'static Act| act.answer.as_ref();
    let act = ACTS.iter().find(|act| answer(act).is_some_and(|answer| answer["type"] == *page))?;
    Some(json!({"summary": act.summary, "value": answer(act)}))
}

/// Adds to the operations of a path the examples of their bodies and answers.
pub(super) fn add(item: &mut Value) {
    let operations = item.as_object_mut().into_iter().flat_map(Map::values_mut);
    for operation in operations {
        let name = operation["operationId"].as_str().unwrap_or_default().to_owned();
        for act in ACTS.iter().filter(|act| act.operation == name && act.status < 400) {
            add_act(operation, act);
        }
    }
}

fn add_act(operation: &mut Value, act: &Act) {
    if let (Some(media), Some(send)) = (&act.media, &act.send) {
        let example = json!({"summary": act.summary, "value": send});
        add_example(&mut operation["requestBody"]["content"], (media, &act.name), example);
    }
    if let (Some(media), Some(answer)) = (&act.gives, &act.answer) {
        let example = json!({"summary": act.summary, "value": answer});
        let contents = &mut operation["responses"][act.status.to_string()]["content"];
        add_example(contents, (media, &act.name), example);
    }
}

fn add_example(contents: &mut Value, (media, name): (&str, &str), example: Value) {
    if let Some(content) = contents.get_mut(media) {
        content["examples"][name] = example;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;

    #[test]
    fn every_scene_can_be_read() {
        for scene in SCENES {
            serde_json::from_str::<Vec<Act>>(scene).unwrap();
        }
        serde_json::from_str::<Map<String, Value>>(PARAMETERS).unwrap();
    }

    #[test]
    fn every_kind_of_refusal_has_an_example_that_says_what_it_is() {
        for kind in Kind::ALL {
            let example = of_refusal(kind).unwrap_or_else(|| panic!("{kind:?} has none"));
            assert_eq!(example["value"]["title"], kind.facts().title);
            assert_eq!(example["value"]["status"], kind.status().as_u16());
        }
    }
}
