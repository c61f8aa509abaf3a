//! What others say of a player, a club or a trial, as readers of answers are told of it.

use std::sync::{
    Arc,
    atomic::{AtomicI64, Ordering::SeqCst},
};

use evencarry::store::Home;
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};

use crate::{
    QUIET,
    listener::Listener,
    shot,
    support::{Answer, NOW, Running, clock},
};

const TRIALS: &str = "/v1/players/rowan/trials";
const FOLLOWED: &str = "/v1/live?player=rowan&kind=trial";

/// A service with two clubs of rowan's, and a trial of theirs: where that is. Between any two acts an hour
/// goes by.
fn with_a_trial() -> (Running, String) {
    let hours = AtomicI64::new(0);
    let clock = move || {
        let begun: Timestamp = NOW.parse().unwrap();
        begun + SignedDuration::from_hours(hours.fetch_add(1, SeqCst))
    };
    begun_at(Home::in_memory(Arc::new(clock)))
}

fn begun_at(home: Home) -> (Running, String) {
    let service = Running::at_home(home, |_| {});
    let lines = [shot("1", "rowan", "5h"), shot("2", "rowan", "4u"), shot("3", "rowan", "7i")];
    service.stream(&lines.join("\n"));
    let at = open(&service, "4u");
    (service, at)
}

fn open(service: &Running, candidate: &str) -> String {
    let trial = json!({"incumbent": "5h", "candidates": [candidate]}).to_string();
    let opened = service.send("POST", TRIALS, &trial);
    assert_eq!(opened.status, 201, "{}", opened.text());
    opened.header("location").unwrap().to_owned()
}

fn set(service: &Running, at: &str, state: &str) {
    let changed = service.send("PATCH", at, &json!({"state": state}).to_string());
    assert_eq!(changed.status, 200, "{}", changed.text());
}

fn delete(service: &Running, at: &str) -> Answer {
    service.ask(format!("DELETE {at} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

fn as_of(service: &Running) -> u64 {
    service.store.last().get()
}

/// Each trial's id and state, as an event of a stream tells them.
fn states(reader: &mut Listener, many: usize) -> Vec<(Value, Value)> {
    let told = reader.take(many);
    assert!(told.iter().all(|event| event.kind == "trial" && event.id.is_none()), "{told:?}");
    told.into_iter().map(|event| (event.data["id"].clone(), event.data["state"].clone())).collect()
}

fn id(at: &str) -> Value {
    at.rsplit('/').next().unwrap().into()
}

#[test]
fn each_act_on_a_trial_is_told_as_the_trial_stands_then() {
    let (service, at) = with_a_trial();
    let mut reader = Listener::follow(service.address, FOLLOWED);
    assert_eq!(states(&mut reader, 1), [(id(&at), json!("open"))]);
    for state in ["paused", "open", "paused", "closed", "open", "closed"] {
        set(&service, &at, state);
        let told = reader.next();
        assert_eq!(told.data, service.get(&at).json(), "{state}");
        assert_eq!(told.data["state"], state);
    }
    let other = open(&service, "7i");
    assert_eq!(states(&mut reader, 1), [(id(&other), json!("open"))]);
    assert_eq!(delete(&service, &other).status, 204);
    let told = reader.next();
    let gone =
        json!({"id": id(&other), "player": "rowan", "state": "removed", "as_of": as_of(&service)});
    assert_eq!(told.data, gone);
    assert_eq!(reader.within(QUIET), None, "the one that was closed before is not told again");
}

#[test]
fn what_ended_while_a_reader_was_away_is_told_when_it_is_back() {
    let (service, goes_on) = with_a_trial();
    let (closed, removed, before) =
        (open(&service, "4u"), open(&service, "7i"), open(&service, "7i"));
    set(&service, &before, "closed");
    // An hour later the reader loses its stream.
    service.send("POST", "/v1/shots", &shot("8", "rowan", "5h"));
    let left = as_of(&service);
    set(&service, &closed, "closed");
    delete(&service, &removed);
    // One reader keeps what is watched worked out meanwhile.
    let mut other = Listener::follow(service.address, FOLLOWED);
    assert_eq!(states(&mut other, 1), [(id(&goes_on), json!("open"))]);
    let wanted = [(&removed, "removed"), (&closed, "closed"), (&goes_on, "open")];
    let wanted = wanted.map(|(at, state)| (id(at), json!(state)));
    for path in [FOLLOWED.to_owned(), format!("{FOLLOWED}&after={left}")] {
        let mut back = if path == FOLLOWED {
            Listener::resume(service.address, &path, left)
        } else {
            Listener::follow(service.address, &path)
        };
        assert_eq!(states(&mut back, 3), wanted, "{path}");
        assert_eq!(back.within(QUIET), None, "{path}");
    }
    assert_eq!(other.within(QUIET), None);
}

#[test]
fn what_ended_a_moment_before_a_stream_broke_is_told_once_more() {
    let (service, at) = begun_at(Home::in_memory(clock()));
    set(&service, &at, "closed");
    // The reader may have been sent a later event, and not yet the answer that the act led to.
    service.send("POST", "/v1/shots", &shot("9", "rowan", "5h"));
    let mut back = Listener::resume(service.address, FOLLOWED, as_of(&service));
    assert_eq!(states(&mut back, 1), [(id(&at), json!("closed"))]);
}

#[test]
fn what_is_said_of_a_club_or_a_ball_is_told_as_the_answers_that_it_changes() {
    let (service, _) = with_a_trial();
    let follow = |kind: &str| {
        let path = format!("/v1/live?player=rowan&club=4u&incumbent=5h&candidate=4u&kind={kind}");
        Listener::follow(service.address, &path)
    };
    let mut readers = [
        ("/v1/players/rowan/clubs/4u/profile", follow("profile")),
        ("/v1/players/rowan/replacements?incumbent=5h&candidate=4u", follow("verdict")),
    ];
    for (_, reader) in &mut readers {
        reader.next();
    }
    for (path, body) in [
        ("/v1/players/rowan/clubs/4u", r#"{"name":"The utility","kind":"utility","loft_deg":22}"#),
        (
            "/v1/players/rowan/clubs/4u",
            r#"{"name":"The utility","kind":"utility","builds":[{"from":"2026-01-01","what":"regripped"}]}"#,
        ),
        ("/v1/players/rowan", r#"{"name":"Rowan","hand":"left"}"#),
        ("/v1/balls/range-b", r#"{"name":"Range ball","kind":"range"}"#),
    ] {
        let put = service.send("PUT", path, body);
        assert!(put.status < 300, "{}", put.text());
        for (asked, reader) in &mut readers {
            let told = reader.next();
            assert_eq!(told.data, service.get(asked).json(), "{path} {body}");
        }
    }
}

#[test]
fn what_is_said_of_a_source_changes_no_answer_and_is_told_to_nobody() {
    let (service, _) = with_a_trial();
    let path = "/v1/live?player=rowan&club=4u&incumbent=5h&candidate=4u";
    let mut reader = Listener::follow(service.address, path);
    let mut kinds: Vec<String> = reader.take(4).into_iter().map(|event| event.kind).collect();
    kinds.sort_unstable();
    assert_eq!(kinds, ["drift", "profile", "trial", "verdict"]);
    for (path, body) in [
        ("/v1/sources/bay-3", r#"{"name":"Bay 3","lie":"mat"}"#),
        ("/v1/sources/bay-3/context", r#"{"player":"rowan","club":"4u"}"#),
    ] {
        assert!(service.send("PUT", path, body).status < 300, "{path}");
    }
    assert_eq!(reader.within(QUIET), None);
    // It shows in what comes after.
    let bare =
        r#"{"id":"9","source":"bay-3","time":"2026-04-11T10:16:04Z","flight":{"carry_m":150}}"#;
    service.send("POST", "/v1/shots", bare);
    assert_eq!(reader.next_of("shot").data["club"], "4u");
}
