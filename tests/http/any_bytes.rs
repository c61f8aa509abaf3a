//! Any bytes at any route: a problem of the client's, or success; never a fault of ours, and the
//! service lives on.

use proptest::{collection::vec, prelude::*, sample::select};

use crate::support::{Running, shot};

const PATHS: &[&str] = &[
    "/",
    "/healthz",
    "/readyz",
    "/openapi.json",
    "/schemas/shot-event.json",
    "/v1/shots",
    "/v1/shots/bay-3/1",
    "/v1/assignments",
    "/v1/players",
    "/v1/players/rowan",
    "/v1/players/rowan/clubs",
    "/v1/players/rowan/clubs/5h",
    "/v1/players/rowan/clubs/5h/profile",
    "/v1/players/rowan/bags",
    "/v1/players/rowan/bags/b",
    "/v1/players/rowan/ladder",
    "/v1/players/rowan/comparisons",
    "/v1/players/rowan/replacements",
    "/v1/balls",
    "/v1/balls/b",
    "/v1/csv-mappings",
    "/v1/csv-mappings/export",
    "/v1/sources",
    "/v1/sources/bay-3",
    "/v1/sources/bay-3/context",
];

const METHODS: &[&str] = &["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "BREW"];

const MEDIA: &[&str] = &[
    "application/json",
    "application/x-ndjson",
    "application/merge-patch+json",
    "application/cloudevents+json",
    "application/cloudevents-batch+json",
    "text/csv",
    "text/plain",
    "",
    "/;=",
];

const CODINGS: &[&str] = &["identity", "identity", "identity", "gzip", "zstd", "br"];

const QUERIES: &[&str] = &[
    "",
    "?",
    "?&&=",
    "?limit=0",
    "?incumbent=4i&candidate=5h",
    "?from=2026-04-11&zone=%00",
    "?%ff",
    "?cursor=ffffffffffffffff00000000",
    "?all_or_nothing=true",
    "?mapping=export",
    "?mapping=export&dry_run=true",
    "?a=b&a=b",
    "?carry_margin_yd=1e308",
    "?incumbent=5h&slot_low_m=nan",
    "?from=-009999-01-01&to=9999-12-31",
    "?last=99999999999",
];

/// Bodies that are nearly right, and bodies that are nothing.
fn body() -> impl Strategy<Value = Vec<u8>> {
    let nearly = (any::<prop::sample::Index>(), any::<u8>()).prop_map(|(at, byte)| {
        let mut text = shot("1").into_bytes();
        let at = at.index(text.len());
        text[at] = byte;
        text
    });
    let json = select(vec![
        "{}",
        "[]",
        "null",
        "[[[[",
        "{\"name\":1}",
        "{\"filter\":{\"source\":\"bay-3\",\"last\":-1},\"set\":{}}",
        "{\"filter\":{\"source\":\"bay-3\"},\"set\":{\"club\":\"\\u0000\"}}",
        "{\"name\":\"x\",\"clubs\":[\"5h\"]}",
        "{\"player\":null}",
        "{\"specversion\":\"1.0\",\"type\":\"evencarry.shot.v1\",\"data\":{\"ext\":{}}}",
        "a,b,c\n1,2026-04-11T10:15:04Z,150\n\"\n",
        "{\"name\":\"x\",\"columns\":{\"a\":\"/id\",\"b\":\"/\"},\"id\":{}}",
        "{\"set_aside\":{}}",
        "{\"name\":\"\\ud800\"}",
    ]);
    prop_oneof![
        vec(any::<u8>(), 0..300),
        nearly,
        json.prop_map(|text| text.as_bytes().to_vec()),
        Just((shot("1") + "\n" + &shot("2")).into_bytes()),
    ]
}

/// An answer that is not the service's fault; `None` is a connection that was closed on a head that
/// is none.
fn check(status: Option<u16>, request: &str) {
    let Some(status) = status else { return };
    assert!((200..500).contains(&status), "{status} for {request}");
}

#[test]
fn whatever_comes_to_a_route_is_answered() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let mapping = r#"{"name":"x","columns":{"a":"/id","b":"/time","c":"/flight/carry_m"},"set":{"source":"s"}}"#;
    assert_eq!(service.send("PUT", "/v1/csv-mappings/export", mapping).status, 201);
    let form = (select(MEDIA), select(CODINGS));
    let request = (select(METHODS), select(PATHS), select(QUERIES), form, body());
    let config =
        ProptestConfig { cases: 1_500, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |((method, path, query, (media, coding), body) in request)| {
        let head = format!(
            "{method} {path}{query} HTTP/1.1\r\nHost: localhost\r\nContent-Type: {media}\r\nContent-Encoding: {coding}\r\nContent-Length: {}\r\n\r\n",
            body.len()
        );
        let mut connection = service.connect();
        connection.send(head.as_bytes());
        connection.send(&body);
        check(Some(connection.head_answer().status), &head);
    });
    assert_eq!(service.get("/healthz").status, 200);
    assert_eq!(service.get("/readyz").status, 200);
}

#[test]
fn whatever_comes_as_a_path_is_answered() {
    let service = Running::start();
    let path = vec(
        prop_oneof![Just(b'/'), Just(b'%'), Just(b'.'), Just(b'2'), Just(b'F'), 0x21..0x7f_u8],
        0..60,
    );
    let config =
        ProptestConfig { cases: 1_000, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(path in path, method in select(METHODS))| {
        let path = String::from_utf8(path).unwrap();
        for prefix in ["/", "/v1/shots/", "/v1/players/", "/v1/shots?"] {
            let head = format!("{method} {prefix}{path} HTTP/1.1\r\nHost: localhost\r\nContent-Length: 0\r\n\r\n");
            let mut connection = service.connect();
            connection.send(head.as_bytes());
            connection.end();
            check(connection.try_head_answer().map(|answer| answer.status), &head);
        }
    });
    assert_eq!(service.get("/readyz").status, 200);
}

#[test]
fn whatever_comes_instead_of_http_is_survived() {
    let service = Running::start();
    let config =
        ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(bytes in vec(any::<u8>(), 0..500))| {
        let mut connection = service.connect();
        connection.send(&bytes);
        connection.end();
        let answer = connection.try_head_answer();
        check(answer.map(|answer| answer.status), &String::from_utf8_lossy(&bytes));
    });
    assert_eq!(service.get("/readyz").status, 200);
}

#[test]
fn a_stream_of_anything_refuses_what_is_no_shot_and_keeps_what_is() {
    let service = Running::start();
    let number = std::cell::Cell::new(0_u64);
    let line = prop_oneof![
        vec(any::<u8>().prop_filter("a line", |byte| *byte != b'\n'), 0..200),
        Just(b"shot".to_vec())
    ];
    let config =
        ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(lines in vec(line, 0..40))| {
        let (mut body, mut shots) = (Vec::new(), 0);
        for line in lines {
            if line == b"shot" {
                number.set(number.get() + 1);
                shots += 1;
                body.extend_from_slice(shot(&number.get().to_string()).as_bytes());
            } else {
                body.extend_from_slice(&line);
            }
            body.push(b'\n');
        }
        let answer = service.send_as("application/x-ndjson", "POST", "/v1/shots", &body);
        prop_assert_eq!(answer.status, 200);
        prop_assert_eq!(answer.json()["accepted"].as_u64(), Some(shots));
    });
}
