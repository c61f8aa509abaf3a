//! What a dashboard on another port of this machine can do, once its origin is listed. Header names
//! and rules: Fetch Standard, 3.3 (CORS protocol) and 4.8 (CORS-preflight fetch).

use std::collections::BTreeSet;

use evencarry::api::Origins;

use crate::support::{Answer, Running, shot};

const LISTED: &str = "http://localhost:5173";
const OTHER: &str = "http://localhost:5174";

fn listing(origin: &str) -> Running {
    let mut origins = Origins::default();
    origins.list(origin).unwrap();
    Running::adjusted(|service| service.origins = origins)
}

fn ask(service: &Running, line: &str, fields: &[&str]) -> Answer {
    let port = service.address.port();
    let fields: String = fields.iter().flat_map(|field| [*field, "\r\n"]).collect();
    service.ask(format!("{line} HTTP/1.1\r\nHost: localhost:{port}\r\n{fields}\r\n").as_bytes())
}

fn send(service: &Running, path: &str, origin: &str, body: &str) -> Answer {
    let length = body.len();
    service.ask(
        format!(
            "POST {path} HTTP/1.1\r\nHost: localhost\r\nOrigin: {origin}\r\nSec-Fetch-Site: \
             same-site\r\nContent-Type: application/json\r\nContent-Length: {length}\r\n\r\n{body}"
        )
        .as_bytes(),
    )
}

fn preflight(service: &Running, path: &str, origin: &str) -> Answer {
    let fields = [
        &format!("Origin: {origin}")[..],
        "Access-Control-Request-Method: POST",
        "Access-Control-Request-Headers: content-type",
    ];
    ask(service, &format!("OPTIONS {path}"), &fields)
}

/// The names in a header that is a list.
fn names(answer: &Answer, header: &str) -> Vec<String> {
    let text = answer.header(header).unwrap_or_default();
    text.split(',').map(|name| name.trim().to_ascii_lowercase()).collect()
}

/// Whether a browser gives the answer to a page of the origin.
fn may_be_read(answer: &Answer, origin: &str) -> bool {
    answer.header("access-control-allow-origin") == Some(origin)
}

#[test]
fn a_listed_dashboard_reads() {
    let service = listing(LISTED);
    let origin = format!("Origin: {LISTED}");
    let answer = ask(&service, "GET /v1/shots", &[&origin, "Sec-Fetch-Site: same-site"]);
    assert_eq!(answer.status, 200);
    assert!(may_be_read(&answer, LISTED), "{answer:?}");
    assert!(names(&answer, "vary").contains(&"origin".to_owned()), "{answer:?}");
}

#[test]
fn a_listed_dashboard_writes_after_its_preflight() {
    let service = listing(LISTED);
    let leave = preflight(&service, "/v1/shots", LISTED);
    assert_eq!(leave.status, 204);
    assert!(may_be_read(&leave, LISTED), "{leave:?}");
    assert!(names(&leave, "access-control-allow-methods").contains(&"post".to_owned()));
    assert!(names(&leave, "access-control-allow-headers").contains(&"content-type".to_owned()));
    assert!(names(&leave, "vary").contains(&"origin".to_owned()), "{leave:?}");
    let stored = send(&service, "/v1/shots", LISTED, &shot("1"));
    assert_eq!(stored.status, 201);
    assert!(may_be_read(&stored, LISTED));
}

#[test]
fn what_a_page_needs_to_go_on_it_can_read() {
    let service = listing(LISTED);
    send(&service, "/v1/shots", LISTED, &shot("1"));
    send(&service, "/v1/shots", LISTED, &shot("2"));
    let origin = format!("Origin: {LISTED}");
    let page = ask(&service, "GET /v1/shots?limit=1", &[&origin, "Accept: application/x-ndjson"]);
    assert!(page.header("link").is_some());
    let readable = names(&page, "access-control-expose-headers");
    for name in ["link", "location", "retry-after", "etag", "allow"] {
        assert!(readable.contains(&name.to_owned()), "{name} cannot be read: {readable:?}");
    }
}

#[test]
fn a_listed_dashboard_can_read_why_it_is_refused() {
    let service = listing(LISTED);
    let origin = format!("Origin: {LISTED}");
    for (answer, status) in [
        (send(&service, "/v1/shots", LISTED, "{"), 400),
        (send(&service, "/v1/shots", LISTED, "{}"), 422),
        (send(&service, "/v1/nowhere", LISTED, "{}"), 404),
        (send(&service, "/healthz", LISTED, "{}"), 405),
        (ask(&service, "GET /v1/shots", &[&origin, "Accept: image/png"]), 406),
    ] {
        assert_eq!(answer.status, status);
        answer.problem();
        assert!(may_be_read(&answer, LISTED), "{answer:?}");
    }
}

#[test]
fn every_route_tells_exactly_its_methods() {
    let service = listing(LISTED);
    let described = service.get("/openapi.json").json();
    let paths = described["paths"].as_object().unwrap();
    assert!(paths.len() > 10);
    for (path, verbs) in paths {
        let mut methods: BTreeSet<String> = verbs.as_object().unwrap().keys().cloned().collect();
        if methods.contains("get") {
            methods.insert(String::from("head"));
        }
        let answer = preflight(&service, &path.replace(['{', '}'], ""), LISTED);
        assert_eq!(answer.status, 204, "{path}");
        let told: BTreeSet<String> =
            names(&answer, "access-control-allow-methods").into_iter().collect();
        assert_eq!(told, methods, "{path}");
    }
    let nowhere = preflight(&service, "/v1/nowhere", LISTED);
    assert_eq!(nowhere.status, 404);
    nowhere.problem();
}

#[test]
fn a_page_of_the_internet_may_ask_for_this_machine_only_when_it_is_listed() {
    let service = listing("https://dashboard.example");
    let asks = |origin: &str| {
        let fields = [
            &format!("Origin: {origin}")[..],
            "Access-Control-Request-Method: POST",
            "Access-Control-Request-Private-Network: true",
        ];
        ask(&service, "OPTIONS /v1/shots", &fields)
    };
    let listed = asks("https://dashboard.example");
    assert_eq!(listed.header("access-control-allow-private-network"), Some("true"));
    let other = asks("https://evil.example");
    assert_eq!(other.status, 403);
    assert_eq!(other.header("access-control-allow-private-network"), None);
}

#[test]
fn a_page_that_is_not_listed_is_told_what_to_set_and_gets_nothing() {
    for service in [listing(LISTED), Running::start()] {
        let origin = format!("Origin: {OTHER}");
        for answer in [
            ask(&service, "GET /v1/shots", &[&origin]),
            preflight(&service, "/v1/shots", OTHER),
            send(&service, "/v1/shots", OTHER, &shot("1")),
        ] {
            assert_eq!(answer.status, 403);
            let detail = answer.problem()["detail"].as_str().unwrap().to_owned();
            assert!(detail.contains(&format!("--allow-origin {OTHER}")), "{detail}");
            assert!(detail.contains("allow_origins"), "{detail}");
            let told: Vec<_> = answer.headers.iter().map(|(name, _)| name.as_str()).collect();
            assert!(!told.iter().any(|name| name.starts_with("access-control-")), "{told:?}");
            assert!(names(&answer, "vary").contains(&"origin".to_owned()), "{answer:?}");
        }
        assert_eq!(service.get("/v1/shots").json()["items"], serde_json::json!([]));
    }
}

#[test]
fn nobody_is_told_that_every_origin_may() {
    let service = listing(LISTED);
    for answer in [
        service.get("/v1/shots"),
        preflight(&service, "/v1/shots", LISTED),
        ask(&service, "GET /v1/shots", &["Origin: null"]),
        ask(&service, "GET /v1/shots", &[&format!("Origin: {LISTED}"), "Origin: null"]),
        ask(&service, "GET /healthz", &["Origin: *"]),
    ] {
        assert_ne!(answer.header("access-control-allow-origin"), Some("*"));
        assert_eq!(answer.header("access-control-allow-credentials"), None);
    }
}

#[test]
fn a_script_gets_the_same_answer_but_a_cache_is_told_to_keep_it_apart() {
    let service = listing(LISTED);
    let answer = service.get("/v1/shots");
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("access-control-allow-origin"), None);
    assert!(names(&answer, "vary").contains(&"origin".to_owned()), "{answer:?}");
}

#[test]
fn options_that_is_no_preflight_is_no_method_here() {
    let service = listing(LISTED);
    let answer = ask(&service, "OPTIONS /v1/shots", &[&format!("Origin: {LISTED}")]);
    assert_eq!(answer.status, 405);
    assert!(names(&answer, "allow").contains(&"post".to_owned()), "{answer:?}");
    assert_eq!(answer.header("access-control-allow-methods"), None);
}
