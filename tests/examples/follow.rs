//! `api-spec/examples/follow.py`, with a service that is killed under it.

use crate::{
    front::Front,
    running::Script,
    support::{daemon::Daemon, season::visits},
};

fn send(service: &Daemon, lines: &str) {
    let answer = service.send_as("application/x-ndjson", "POST", "/v1/shots", lines.as_bytes());
    assert_eq!(answer.json()["refused"], 0, "{}", answer.text());
}

fn verdict(service: &Daemon) -> String {
    let answer = service.get("/v1/players/rowan/replacements?incumbent=5h").json();
    assert_eq!(answer["candidates"][0]["club"], "4u");
    answer["candidates"][0]["verdict"].as_str().unwrap().to_owned()
}

#[test]
fn a_verdict_that_changes_is_told_with_every_shot_counted_once() {
    let (front, mut service) = (Front::new(), Daemon::start(&[]));
    send(&service, &visits(0..1));
    let script = Script::start("follow.py", &["rowan", "5h"], &front.url());
    script.complains("again in 1 s");
    front.open(service.address());
    assert_eq!(script.says(), "4u: undecided, 0 shots and 0 corrections later");
    // The service is killed, and much happens before the script can listen again.
    front.shut();
    service = service.kill_and_restart(&[]);
    front.wait_for_turned_away(1);
    send(&service, &visits(1..4));
    let now = verdict(&service);
    assert_eq!(now, "replaces");
    front.open(service.address());
    let told = format!("4u: {now} (was undecided), 48 shots and 0 corrections later");
    assert_eq!(script.says(), told);
    // An act on shots is news too, while it listens.
    let others =
        r#"{"filter":{"player":"rowan","club":"4u","to":"2026-03-04"},"set":{"player":"robin"}}"#;
    let answer = service.send_as("application/json", "POST", "/v1/assignments", others.as_bytes());
    assert_eq!(answer.status, 200, "{}", answer.text());
    let now = verdict(&service);
    assert_ne!(now, "replaces");
    assert_eq!(script.says(), format!("4u: {now} (was replaces), 0 shots and 1 correction later"));
}

#[test]
fn a_question_that_is_refused_ends_it_with_the_reason() {
    let service = Daemon::start(&[]);
    let url = format!("http://{}", service.address());
    let script = Script::start("follow.py", &["no/name", "5h"], &url);
    script.complains("player");
}
