//! Conditions of writes: `If-Match` and `If-None-Match` as RFC 9110, 13.1 says, with strong tags that
//! tell of a lost update.

use std::sync::{Barrier, Mutex};

use serde_json::{Value, json};

use crate::support::{Answer, Running, shot, shot_with};

/// A write with a condition.
fn write(service: &Running, (method, path): (&str, &str), condition: &str, body: &str) -> Answer {
    let length = body.len();
    let media = if body.is_empty() { "" } else { "Content-Type: application/json\r\n" };
    let request = format!(
        "{method} {path} HTTP/1.1\r\nHost: localhost\r\n{condition}\r\n{media}Content-Length: {length}\r\n\r\n{body}"
    );
    service.ask(request.as_bytes())
}

fn tag(service: &Running, path: &str) -> String {
    let answer = service.get(path);
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.header("etag").unwrap().to_owned()
}

fn failed(answer: &Answer) -> String {
    assert_eq!(answer.status, 412, "{}", answer.text());
    let problem = answer.problem();
    assert_eq!(problem["type"], "/docs/errors/precondition-failed");
    problem["detail"].as_str().unwrap().to_owned()
}

const MAPPING: &str = r#"{"name":"A","columns":{"ID":"/id","At":"/time","Carry":"/flight/carry_m"},"set":{"source":"bay-3"}}"#;

/// Everything that is put at a path, with two contents. The first two are there for the others.
const DOCUMENTS: [(&str, &str, &str); 6] = [
    ("/v1/players/rowan", r#"{"name":"Rowan"}"#, r#"{"name":"Rowan M."}"#),
    ("/v1/players/rowan/clubs/5h", r#"{"name":"Five"}"#, r#"{"name":"5-hybrid"}"#),
    ("/v1/players/rowan/bags/b", r#"{"name":"B","clubs":["5h"]}"#, r#"{"name":"B","clubs":[]}"#),
    ("/v1/balls/b", r#"{"name":"B"}"#, r#"{"name":"Ball"}"#),
    ("/v1/sources/bay-3", r#"{"name":"Bay 3"}"#, r#"{"name":"Bay"}"#),
    ("/v1/csv-mappings/m", MAPPING, MAPPING),
];

#[test]
fn every_document_can_be_made_only_once_and_replaced_only_as_it_was_read() {
    let service = Running::start();
    for (path, first, second) in DOCUMENTS {
        let put = |condition: &str, body: &str| write(&service, ("PUT", path), condition, body);
        assert!(failed(&put("If-Match: *", first)).contains("not there"), "{path}");
        assert!(failed(&put("If-Match: \"x\"", first)).contains("read it again"), "{path}");
        assert_eq!(put("If-None-Match: *", first).status, 201, "{path}");
        assert!(failed(&put("If-None-Match: *", second)).contains("there already"), "{path}");
        let read = tag(&service, path);
        assert!(read.starts_with('"'), "{path}: {read}");
        let list = format!("If-Match: \"x\", W/\"y\", {read}");
        assert!(
            failed(&put(&format!("If-None-Match: {read}"), second)).contains("still"),
            "{path}"
        );
        assert_eq!(put(&list, second).status, 200, "{path}");
        assert!(failed(&put(&list, first)).contains("read it again"), "{path}: somebody was first");
        assert_ne!(tag(&service, path), read, "{path}");
        assert_eq!(put("If-Match: *", first).status, 200, "{path}");
        assert_eq!(put(&format!("If-None-Match: {read}"), first).status, 200, "{path}");
    }
    for (path, ..) in DOCUMENTS.iter().rev() {
        let delete = |condition: &str| write(&service, ("DELETE", path), condition, "");
        let before = service.store.last();
        failed(&delete("If-Match: \"x\""));
        failed(&delete("If-None-Match: *"));
        assert_eq!(service.store.last(), before, "{path}: nothing was written");
        assert_eq!(delete(&format!("If-Match: {}", tag(&service, path))).status, 204, "{path}");
        assert_eq!(delete("If-Match: *").status, 404, "{path}: what is nowhere is told so first");
    }
}

#[test]
fn a_context_is_set_only_as_it_was_read() {
    let service = Running::start();
    let path = "/v1/sources/bay-3/context";
    let set = |condition: &str, body: &str| write(&service, ("PUT", path), condition, body);
    failed(&set("If-Match: *", r#"{"lie":"mat"}"#));
    assert_eq!(set("If-None-Match: *", r#"{"lie":"mat"}"#).status, 200);
    let read = format!("If-Match: {}", tag(&service, path));
    service.send("POST", "/v1/shots", &shot("1"));
    assert_eq!(set(&read, r#"{"lie":"tee"}"#).status, 200, "a shot changes no context");
    failed(&set(&read, r#"{"lie":"mat"}"#));
    assert_eq!(service.get(path).json()["lie"], "tee");
}

#[test]
fn a_shot_is_corrected_and_erased_only_as_it_was_read() {
    let service = Running::start();
    service.stream(&[shot("1"), shot("2")].join("\n"));
    let path = "/v1/shots/bay-3/1";
    let patch = |condition: &str, body: &str| write(&service, ("PATCH", path), condition, body);
    let read = format!("If-Match: {}", tag(&service, path));
    // Others' shots and corrections change nothing of this one.
    service.send("POST", "/v1/shots", &shot("3"));
    service.send("PATCH", "/v1/shots/bay-3/2", r#"{"lie":"tee"}"#);
    assert_eq!(patch(&read, r#"{"lie":"tee"}"#).status, 200);
    assert!(failed(&patch(&read, r#"{"lie":"sand"}"#)).contains("read it again"));
    failed(&patch(&read, "{}"));
    failed(&patch("If-None-Match: *", "{}"));
    let again = format!("If-Match: {}", tag(&service, path));
    assert_eq!(patch(&again, "{}").status, 200);
    assert_eq!(service.get(path).json()["changed"], json!({"lie": "tee"}));
    let delete = |condition: &str| write(&service, ("DELETE", path), condition, "");
    failed(&delete(&read));
    assert_eq!(delete(&again).status, 204);
    assert_eq!(delete(&again).status, 410);
    let retire = json!({"filter": {"source": "bay-3", "id": "2"}}).to_string();
    assert_eq!(service.send("POST", "/v1/retirements", &retire).status, 200);
    let erase = |condition: &str| write(&service, ("DELETE", "/v1/shots/bay-3/2"), condition, "");
    failed(&erase("If-Match: *"));
    assert_eq!(erase("If-None-Match: *").status, 204, "nothing of it could be read");
}

#[test]
fn flags_that_later_shots_bring_change_what_was_read() {
    let service = Running::start();
    let struck = |id: u32, speed: f64| shot(&id.to_string()).replace("51.9", &speed.to_string());
    for (id, speed) in (1..).zip([52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9]) {
        service.send("POST", "/v1/shots", &struck(id, speed));
    }
    let read = format!("If-Match: {}", tag(&service, "/v1/shots/bay-3/3"));
    service.send("POST", "/v1/shots", &struck(8, 52.2));
    assert_eq!(service.get("/v1/shots/bay-3/3").json()["flags"], json!(["mishit"]));
    failed(&write(&service, ("PATCH", "/v1/shots/bay-3/3"), &read, r#"{"lie":"tee"}"#));
}

#[test]
fn a_condition_that_names_nothing_exactly_or_cannot_be_read_lets_nothing_happen() {
    let service = Running::start();
    service.send("PUT", "/v1/balls/b", r#"{"name":"B"}"#);
    let read = tag(&service, "/v1/balls/b");
    let put =
        |condition: &str| write(&service, ("PUT", "/v1/balls/b"), condition, r#"{"name":"C"}"#);
    assert!(failed(&put(&format!("If-Match: W/{read}"))).contains("weak"));
    for unreadable in [
        "If-Match: b",
        "If-Match: *, \"x\"",
        "If-Match: *\r\nIf-Match: *",
        "If-None-Match: b",
        "If-None-Match: \"b",
    ] {
        assert!(failed(&put(unreadable)).contains("cannot be read"), "{unreadable}");
    }
    failed(&put("If-Match:"));
    assert_eq!(service.get("/v1/balls/b").json()["name"], "B");
    assert_eq!(put(&format!("If-Match: {read}\r\nIf-None-Match: \"x\"")).status, 200);
}

#[test]
fn a_document_keeps_its_strong_tag_for_who_takes_gzip() {
    let service = Running::start();
    let long = format!(r#"{{"name":"B","batch":"{}"}}"#, "x".repeat(100));
    let notes = format!(r#"{{"name":"Rowan","notes":"{}"}}"#, "x".repeat(1_500));
    for (path, body) in [("/v1/balls/b", &long), ("/v1/players/rowan", &notes)] {
        assert_eq!(service.send("PUT", path, body).status, 201);
        let browser = service.get_with(path, "Accept-Encoding: gzip, deflate, br\r\n");
        assert_eq!(browser.header("content-encoding"), None);
        assert_eq!(browser.header("etag"), Some(&*tag(&service, path)));
        let gzip = service.get_with(path, "Accept-Encoding: gzip, identity;q=0\r\n");
        assert_eq!(gzip.header("etag"), Some(&*format!("W/{}", tag(&service, path))));
    }
}

/// RFC 9110, 13.2.1: conditions are ignored where the answer without them would be neither a success
/// nor 412.
#[test]
fn a_condition_is_judged_last() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot_with("1", 150.0));
    let never = "If-Match: \"x\"";
    for (method, path, body, status) in [
        ("PUT", "/v1/players/nobody/clubs/5h", r#"{"name":"5h"}"#, 404),
        ("PUT", "/v1/players/rowan", r#"{"nam":"x"}"#, 422),
        ("PUT", "/v1/players/rowan", "{", 400),
        ("PUT", "/v1/players/rowan/bags/b", r#"{"name":"B","clubs":["9i"]}"#, 422),
        ("PATCH", "/v1/shots/bay-3/1", r#"{"carry":1}"#, 422),
        ("DELETE", "/v1/players/rowan?x=1", "", 422),
        ("DELETE", "/v1/players/rowan", "", 409),
        ("DELETE", "/v1/sources/bay-3", "", 409),
    ] {
        assert_eq!(write(&service, (method, path), never, body).status, status, "{method} {path}");
    }
    let read = format!("If-Match: {}", tag(&service, "/v1/players/rowan"));
    assert_eq!(write(&service, ("DELETE", "/v1/players/rowan"), &read, "").status, 409);
    let erase = ("DELETE", "/v1/players/rowan?shots=erase");
    failed(&write(&service, erase, never, ""));
    assert_eq!(write(&service, erase, &read, "").status, 204);
}

/// What each of many writers sends.
type Sent = fn(u32) -> Value;

/// Sends one write from each of many at one moment; what they were answered, sorted. Who is told of
/// success is shown what was sent, and not what somebody else sent a moment later.
fn at_once(
    service: &Running,
    (method, path): (&str, &str),
    condition: &str,
    sent: Sent,
) -> Vec<u16> {
    const WRITERS: u32 = 16;
    let (start, answers) = (Barrier::new(WRITERS as usize), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for writer in 0..WRITERS {
            let (start, answers) = (&start, &answers);
            scope.spawn(move || {
                let sent = sent(writer);
                start.wait();
                let answer = write(service, (method, path), condition, &sent.to_string());
                if answer.status < 300 {
                    let shown = answer.json();
                    for (member, value) in sent.as_object().unwrap() {
                        assert_eq!(&shown[member], value, "{path}: what this writer sent");
                    }
                }
                answers.lock().unwrap().push(answer.status);
            });
        }
    });
    let mut answers = answers.into_inner().unwrap();
    answers.sort_unstable();
    answers
}

#[test]
fn of_many_who_write_at_once_on_one_condition_one_wins() {
    let service = Running::start();
    let put = ("PUT", "/v1/balls/b");
    let ball = |writer: u32| json!({"name": format!("ball of {writer}")});
    let but_one = |won: u16| [vec![won], vec![412; 15]].concat();
    for round in 0..10 {
        let made = at_once(&service, put, "If-None-Match: *", ball);
        assert_eq!(made, but_one(if round == 0 { 201 } else { 412 }), "round {round}");
        let read = format!("If-Match: {}", tag(&service, "/v1/balls/b"));
        assert_eq!(at_once(&service, put, &read, ball), but_one(200), "round {round}");
    }
}

#[test]
fn of_many_who_write_at_once_each_is_shown_what_it_wrote() {
    let service = Running::start();
    for (path, first, _) in DOCUMENTS {
        service.send("PUT", path, first);
    }
    service.send("POST", "/v1/shots", &shot("1"));
    let named = |writer: u32| json!({"name": format!("of {writer}")});
    let bag = |writer: u32| json!({"name": format!("of {writer}"), "clubs": ["5h"]});
    let mapping = |writer: u32| {
        let mut document: Value = serde_json::from_str(MAPPING).unwrap();
        document["name"] = json!(format!("of {writer}"));
        document
    };
    let context = |writer: u32| json!({"altitude_m": 0.5 + f64::from(writer)});
    let aside = |writer: u32| json!({"set_aside": {"reason": format!("of {writer}")}});
    let writes: [(&str, &str, Sent); 8] = [
        ("PUT", "/v1/players/rowan", named),
        ("PUT", "/v1/players/rowan/clubs/5h", named),
        ("PUT", "/v1/players/rowan/bags/b", bag),
        ("PUT", "/v1/balls/b", named),
        ("PUT", "/v1/sources/bay-3", named),
        ("PUT", "/v1/csv-mappings/m", mapping),
        ("PUT", "/v1/sources/bay-3/context", context),
        ("PATCH", "/v1/shots/bay-3/1", aside),
    ];
    for (method, path, sent) in writes {
        for _ in 0..5 {
            let answers = at_once(&service, (method, path), "If-Match: *", sent);
            assert_eq!(answers, [200; 16], "{path}: each found it there");
        }
    }
}
