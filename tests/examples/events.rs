//! `api-spec/examples/events/`: events and what they are answered.

use std::{collections::BTreeSet, path::PathBuf};

use serde_json::Value;

use crate::support::{Answer, Running};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("api-spec/examples/events")
}

fn promises() -> Vec<Value> {
    let text = std::fs::read(folder().join("answers.json")).unwrap();
    serde_json::from_slice(&text).unwrap()
}

fn file(promise: &Value) -> &str {
    promise["file"].as_str().unwrap()
}

/// The members of an answer that were promised, and no others.
fn promised_of(answer: &Value, promise: &Value) -> Value {
    let members = promise.as_object().unwrap().keys();
    members.map(|member| (member.clone(), answer[member].clone())).collect()
}

fn check_refusal(answer: &Answer, promise: &Value) {
    let problem = answer.problem();
    let errors = problem["errors"].as_array().unwrap();
    let pointers: Value = errors.iter().map(|error| error["pointer"].clone()).collect();
    assert_eq!(pointers, promise["errors"], "{}: {problem}", file(promise));
    for error in errors {
        assert!(error["detail"].as_str().unwrap().len() > 10, "the mend is told: {error}");
    }
}

#[test]
fn every_event_is_answered_as_promised() {
    let service = Running::start();
    for promise in promises() {
        let event = std::fs::read(folder().join(file(&promise))).unwrap();
        let media = promise["media"].as_str().unwrap_or("application/json");
        let answer = service.send_as(media, "POST", "/v1/shots", &event);
        assert_eq!(answer.status, promise["status"], "{}: {}", file(&promise), answer.text());
        if answer.status >= 400 {
            check_refusal(&answer, &promise);
        } else {
            let answer = answer.json();
            let promised = &promise["answer"];
            assert_eq!(&promised_of(&answer, promised), promised, "{}: {answer}", file(&promise));
        }
    }
}

#[test]
fn every_event_has_a_promise_and_every_promise_its_words() {
    let promises = promises();
    let promised: BTreeSet<String> = promises.iter().map(|one| file(one).to_owned()).collect();
    let names = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().file_name());
    let mut there: BTreeSet<String> = names.map(|name| name.into_string().unwrap()).collect();
    there.remove("answers.json");
    assert_eq!(there, promised);
    for promise in &promises {
        assert!(promise["about"].as_str().is_some_and(|about| about.ends_with('.')), "{promise}");
    }
}
