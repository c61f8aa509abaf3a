//! Answers that are watched.

use serde_json::{Value, json};

use crate::{
    QUIET,
    listener::{Event, Listener},
    support::{PATIENCE, Running, season::visits, wait_until},
};

/// Two clubs of rowan's in some visits, the second flying lower.
fn season(service: &Running) {
    assert_eq!(service.stream(&visits(0..4)).json()["accepted"], 64);
}

fn one_more(service: &Running, id: &str) -> Value {
    let shot = json!({
        "id": id, "source": "bay-3", "player": "rowan", "club": "4u", "time": "2026-04-01T10:00:00Z",
        "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 13.7, "spin_rate_rpm": 4_200},
        "flight": {"carry_m": 158.5, "origin": "tracked"},
    });
    service.send("POST", "/v1/shots", &shot.to_string()).json()
}

/// The first event of a kind that knows of a sequence.
fn that_knows(reader: &mut Listener, kind: &str, sequence: &Value) -> Event {
    loop {
        let event = reader.next_of(kind);
        if event.data["as_of"].as_u64() >= sequence.as_u64() {
            return event;
        }
    }
}

#[test]
fn a_verdict_is_the_answer_to_the_question_at_the_start_and_when_it_changes() {
    let service = Running::start();
    season(&service);
    for units in ["si", "imperial"] {
        let asked =
            format!("/v1/players/rowan/replacements?incumbent=5h&candidate=4u&units={units}");
        let path =
            format!("/v1/live?player=rowan&incumbent=5h&candidate=4u&kind=verdict&units={units}");
        let mut reader = Listener::follow(service.address, &path);
        let first = reader.next();
        assert_eq!((first.kind.as_str(), first.id), ("verdict", None));
        assert_eq!(first.data, service.get(&asked).json());
        let sent = one_more(&service, units);
        let next = that_knows(&mut reader, "verdict", &sent["sequence"]);
        assert_eq!(next.data, service.get(&asked).json());
    }
}

#[test]
fn profile_trial_and_drift_are_the_answers_to_their_questions() {
    let service = Running::start();
    season(&service);
    let trial = json!({"incumbent": "5h", "candidates": ["4u"]}).to_string();
    let opened = service.send("POST", "/v1/players/rowan/trials", &trial);
    assert_eq!(opened.status, 201, "{}", opened.text());
    let at = opened.header("location").unwrap().to_owned();
    let mut reader = Listener::follow(service.address, "/v1/live?player=rowan&club=4u");
    let sent = one_more(&service, "more");
    let mut told = vec![reader.next_of("shot")];
    for kind in ["profile", "trial", "drift"] {
        let mut reader = Listener::follow(
            service.address,
            &format!("/v1/live?player=rowan&club=4u&kind={kind}"),
        );
        told.push(that_knows(&mut reader, kind, &sent["sequence"]));
    }
    let asked = ["/v1/players/rowan/clubs/4u/profile", &at, "/v1/players/rowan/drifts"];
    for (event, path) in told[1..].iter().zip(asked) {
        assert_eq!(event.data, service.get(path).json(), "{path}");
    }
    service.send("PATCH", &at, r#"{"state":"closed"}"#);
    let closed = loop {
        let event = reader.next_of("trial");
        if event.data["state"] == "closed" {
            break event;
        }
    };
    assert_eq!(closed.data, service.get(&at).json());
}

#[test]
fn a_burst_of_shots_costs_a_few_answers_and_the_last_knows_of_all() {
    let service = Running::start();
    season(&service);
    let mut reader =
        Listener::follow(service.address, "/v1/live?player=rowan&club=4u&kind=profile");
    let mut answers = 0;
    reader.next();
    let begun = std::time::Instant::now();
    let mut last = Value::Null;
    for n in 0..200 {
        last = one_more(&service, &n.to_string())["sequence"].clone();
    }
    loop {
        answers += 1;
        if reader.next_of("profile").data["as_of"] == last {
            break;
        }
    }
    // Four a second, and the one that was due when it began.
    let most = begun.elapsed().as_millis() / 250 + 2;
    assert!(answers <= most, "{answers} answers, {most} at most");
    assert_eq!(reader.within(QUIET), None);
}

#[test]
fn a_resumed_stream_has_its_answers_anew() {
    let service = Running::start();
    season(&service);
    let path = "/v1/live?player=rowan&kind=drift&kind=shot";
    let first = Listener::resume(service.address, path, 60).take(5);
    let again = Listener::resume(service.address, path, 62).take(3);
    let kinds = |events: &[Event]| {
        events.iter().map(|event| (event.kind.clone(), event.id)).collect::<Vec<_>>()
    };
    let shot = |id| (String::from("shot"), Some(id));
    let drift = (String::from("drift"), None);
    assert_eq!(kinds(&first), [shot(61), shot(62), shot(63), shot(64), drift.clone()]);
    assert_eq!(kinds(&again), [shot(63), shot(64), drift]);
}

#[test]
fn readers_of_the_same_answer_get_the_same_text() {
    let service = Running::start();
    season(&service);
    let path = "/v1/live?player=rowan&club=4u&kind=profile";
    let mut readers: Vec<Listener> =
        (0..20).map(|_| Listener::follow(service.address, path)).collect();
    let sent = one_more(&service, "more");
    let told: Vec<Event> =
        readers.iter_mut().map(|reader| that_knows(reader, "profile", &sent["sequence"])).collect();
    assert!(told.windows(2).all(|two| two[0] == two[1]));
}

#[test]
fn a_player_who_is_erased_is_shown_no_more_and_the_stream_goes_on() {
    let service = Running::start();
    season(&service);
    let mut reader = Listener::follow(service.address, "/v1/live?player=rowan");
    reader.next_of("drift");
    let erase = b"DELETE /v1/players/rowan?shots=erase HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_eq!(service.ask(erase).status, 204);
    let mut told = None;
    wait_until("the erasure is told", || {
        told = reader.within(PATIENCE);
        told.as_ref().is_some_and(|event| event.kind == "correction")
    });
    assert_eq!(told.unwrap().data["act"], "erase_player");
    assert_eq!(reader.within(QUIET), None);
}
