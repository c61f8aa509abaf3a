//! Entity tags and conditional requests (RFC 9110, 8.8.3 and 13.1.2).

use std::sync::{Arc, atomic::Ordering};

use evencarry::store::{Home, MemoryDisk, MemoryTables};

use crate::support::{
    Answer, Running, clock,
    failing_disk::{Failures, UNREADABLE, home},
    shot, shot_with,
};

const QUESTIONS: [&str; 7] = [
    "/v1/players/rowan/clubs/5h/profile",
    "/v1/players/rowan/ladder",
    "/v1/players/rowan/drifts",
    "/v1/players/rowan/comparisons?incumbent=4i&candidate=5h",
    "/v1/players/rowan/replacements?incumbent=4i",
    "/v1/players/rowan/replacements?incumbent=4i&units=imperial",
    "/v1/shots?player=rowan",
];

fn fill(service: &Running) {
    let mut lines = String::new();
    for n in 0..40 {
        let line = shot_with(&format!("{n:02}"), 158.0 + f64::from(n % 5));
        let club = if n % 2 == 0 { "4i" } else { "5h" };
        lines += &(line.replace("\"5h\"", &format!("\"{club}\"")) + "\n");
    }
    assert_eq!(service.stream(&lines).json()["accepted"], 40);
}

fn filled() -> Running {
    let service = Running::start();
    fill(&service);
    service
}

fn tag(answer: &Answer) -> &str {
    answer.header("etag").unwrap_or_else(|| panic!("no tag: {answer:?}"))
}

fn again(service: &Running, path: &str, tag: &str) -> Answer {
    service.get_with(path, &format!("If-None-Match: {tag}\r\n"))
}

#[test]
fn who_has_the_answer_is_told_so_until_something_touches_what_it_is_about() {
    let service = filled();
    for path in QUESTIONS {
        let first = service.get(path);
        let tag = tag(&first).to_owned();
        assert!(tag.starts_with("W/\"") && tag.ends_with('"'), "{tag}");
        for list in [tag.clone(), tag[2..].to_owned(), format!("\"x\", {tag}"), String::from("*")] {
            let unchanged = again(&service, path, &list);
            assert_eq!(unchanged.status, 304, "{path} {list}");
            assert!(unchanged.body.is_empty());
            for name in ["etag", "cache-control", "vary"] {
                assert_eq!(unchanged.header(name), first.header(name), "{path} {name}");
            }
        }
        assert_eq!(again(&service, path, "\"x\", W/\"y\"").status, 200);
        assert_eq!(first.header("cache-control"), Some("private, no-cache"));
    }
    let before: Vec<String> =
        QUESTIONS.iter().map(|path| tag(&service.get(path)).to_owned()).collect();
    // Another player's shot, and a source's context, touch none of them.
    service.send("POST", "/v1/shots", &shot("other").replace("rowan", "robin"));
    service.send("PUT", "/v1/sources/bay-3/context", r#"{"lie":"mat"}"#);
    for (path, tag) in QUESTIONS.iter().zip(&before) {
        assert_eq!(again(&service, path, tag).status, 304, "{path}");
    }
    for (method, path, body) in [
        ("POST", "/v1/shots", shot("new")),
        ("PATCH", "/v1/shots/bay-3/07", String::from(r#"{"set_aside":{"reason":"phone rang"}}"#)),
        ("PUT", "/v1/players/rowan/clubs/4i", String::from(r#"{"name":"4-iron","loft_deg":22}"#)),
    ] {
        let before: Vec<String> =
            QUESTIONS.iter().map(|path| tag(&service.get(path)).to_owned()).collect();
        assert!(service.send(method, path, &body).status < 300);
        for (question, old) in QUESTIONS.iter().zip(&before) {
            let now = again(&service, question, old);
            assert_eq!(now.status, 200, "{method} {path}: {question}");
            assert_ne!(tag(&now), old);
        }
    }
}

#[test]
fn who_has_the_answer_is_told_so_without_working_it_out() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |_| {});
    let marked =
        shot("1").replace("\"lie\"", &format!("\"ext\":{{\"x\":\"{UNREADABLE}\"}},\"lie\""));
    assert_eq!(service.send("POST", "/v1/shots", &marked).status, 201);
    let tag = tag(&service.get("/v1/shots?player=rowan")).to_owned();
    failures.reads.store(true, Ordering::SeqCst);
    assert_eq!(service.get("/v1/shots?player=rowan").status, 500, "the shot cannot be read");
    assert_eq!(again(&service, "/v1/shots?player=rowan", &tag).status, 304);
}

#[test]
fn different_questions_have_different_tags() {
    let service = filled();
    let mut tags: Vec<String> = [
        ("/v1/players/rowan/ladder", ""),
        ("/v1/players/rowan/ladder?units=imperial", ""),
        ("/v1/players/rowan/ladder?lie=mat", ""),
        ("/v1/players/rowan/clubs/4i/profile", ""),
        ("/v1/players/rowan/clubs/5h/profile", ""),
        ("/v1/shots", ""),
        ("/v1/shots?limit=5", ""),
        ("/v1/shots?order=newest", ""),
        ("/v1/shots", "Accept: application/x-ndjson\r\n"),
        ("/v1/shots", "Accept: text/csv\r\n"),
        ("/v1/shots?units=imperial", "Accept: text/csv\r\n"),
    ]
    .iter()
    .map(|(path, fields)| tag(&service.get_with(path, fields)).to_owned())
    .collect();
    let all = tags.len();
    tags.sort();
    tags.dedup();
    assert_eq!(tags.len(), all);
    // The same question, written otherwise.
    let same = |one: &str, other: &str| {
        assert_eq!(tag(&service.get(one)), tag(&service.get(other)), "{one} {other}");
    };
    same("/v1/players/rowan/ladder", "/v1/players/row%61n/ladder?units=si");
    same("/v1/shots?player=rowan&club=5h", "/v1/shots?club=5%68&player=rowan&order=oldest");
}

#[test]
fn a_fault_is_told_before_a_tag_is_looked_at() {
    let service = filled();
    assert_eq!(again(&service, "/v1/players/nobody/ladder", "*").status, 404);
    assert_eq!(again(&service, "/v1/players/rowan/ladder?ball=none", "*").status, 422);
    assert_eq!(again(&service, "/v1/players/rowan/ladder?x=1", "*").status, 422);
    assert_eq!(again(&service, "/v1/shots?source=none", "*").status, 422);
}

#[test]
fn the_catalogue_has_tags_too_that_a_removal_changes() {
    let service = filled();
    for ball in ["a", "b"] {
        service.send("PUT", &format!("/v1/balls/{ball}"), &format!(r#"{{"name":"{ball}"}}"#));
    }
    let list = tag(&service.get("/v1/balls")).to_owned();
    assert_eq!(again(&service, "/v1/balls", &list).status, 304);
    let removed = service.ask(b"DELETE /v1/balls/a HTTP/1.1\r\nHost: localhost\r\n\r\n");
    assert_eq!(removed.status, 204);
    assert_eq!(again(&service, "/v1/balls", &list).status, 200);
    for path in
        ["/v1/players", "/v1/players/rowan/clubs/5h", "/v1/sources/bay-3", "/v1/shots/bay-3/07"]
    {
        let tag = tag(&service.get(path)).to_owned();
        assert_eq!(again(&service, path, &tag).status, 304, "{path}");
    }
}

#[test]
fn what_stays_as_it_is_has_a_strong_tag_and_what_is_true_now_has_none() {
    let service = Running::start();
    for path in ["/openapi.json", "/schemas/shot-event.json", "/docs/api", "/docs/style.css"] {
        let tag = tag(&service.get(path)).to_owned();
        assert!(tag.starts_with('"'), "{tag}");
        assert_eq!(again(&service, path, &tag).status, 304);
    }
    for path in ["/healthz", "/readyz", "/metrics"] {
        let answer = service.get(path);
        assert_eq!(answer.header("etag"), None);
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(again(&service, path, "*").status, 200);
    }
}

/// RFC 9110, 15.4.5: with 304 goes the `ETag` that the 200 to the same request would have had.
#[test]
fn who_takes_gzip_is_told_with_the_tag_that_the_answer_had() {
    let service = filled();
    service.send("PUT", "/v1/balls/b", r#"{"name":"B"}"#);
    for (path, codings) in [
        ("/openapi.json", "gzip"),
        ("/docs/style.css", "gzip"),
        ("/v1/players/rowan/ladder", "gzip"),
        ("/v1/balls/b", "gzip"),
        ("/v1/balls/b", "gzip, identity;q=0"),
        ("/v1/shots/bay-3/07", "gzip, identity;q=0"),
    ] {
        let codings = format!("Accept-Encoding: {codings}\r\n");
        let whole = service.get_with(path, &codings);
        let fields = format!("{codings}If-None-Match: {}\r\n", tag(&whole));
        let unchanged = service.get_with(path, &fields);
        assert_eq!((unchanged.status, unchanged.body.len()), (304, 0), "{path}");
        assert_eq!(tag(&unchanged), tag(&whole), "{path} {codings}");
        assert_eq!(unchanged.header("content-encoding"), None, "{path}");
        assert_eq!(unchanged.header("vary"), whole.header("vary"), "{path}");
    }
}

#[test]
fn the_same_question_has_the_same_bytes_before_and_after_a_restart() {
    let (disk, tables) = (Arc::new(MemoryDisk::default()), Arc::new(MemoryTables::default()));
    let start = || {
        let home = Home { disk: disk.clone(), tables: tables.clone(), ..Home::in_memory(clock()) };
        Running::at_home(home, |_| {})
    };
    let more = [
        "/v1/shots",
        "/v1/shots?limit=7&order=newest",
        "/v1/players",
        "/v1/sources",
        "/openapi.json",
    ];
    let ask = |service: &Running| -> Vec<(Vec<u8>, String)> {
        let paths = QUESTIONS.iter().chain(&more);
        let mut answers: Vec<Answer> = paths.map(|path| service.get(path)).collect();
        answers.push(service.get_with("/v1/shots", "Accept: text/csv\r\n"));
        answers.iter().map(|answer| (answer.body.clone(), tag(answer).to_owned())).collect()
    };
    let mut service = start();
    fill(&service);
    let first = ask(&service);
    assert_eq!(ask(&service), first);
    service.tell_to_stop();
    service.wait();
    drop(service);
    assert_eq!(ask(&start()), first);
}
