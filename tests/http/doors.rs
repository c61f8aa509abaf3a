//! What a web page that its user's browser shows can and cannot do.

use evencarry::api::Hosts;

use crate::support::{Running, shot};

fn ask(service: &Running, method: &str, fields: &[&str]) -> u16 {
    let body = shot("1");
    let (path, body) = match method {
        "GET" => ("/v1/shots", ""),
        _ => ("/v1/shots", body.as_str()),
    };
    let fields: String = fields.iter().flat_map(|field| [*field, "\r\n"]).collect();
    let length = body.len();
    let request = format!(
        "{method} {path} HTTP/1.1\r\n{fields}Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n{body}"
    );
    let answer = service.ask(request.as_bytes());
    if [403, 421].contains(&answer.status) {
        answer.problem();
    }
    answer.status
}

#[test]
fn the_service_answers_to_its_own_names_only() {
    let service = Running::adjusted(|service| {
        service.hosts = Hosts::declared([String::from("bay.club.example")]).unwrap();
    });
    let port = service.address.port();
    for host in ["127.0.0.1", "[::1]", "localhost", "localhost.", "x.localhost", "bay.club.example"]
    {
        assert_eq!(ask(&service, "GET", &[&format!("Host: {host}:{port}")]), 200, "{host}");
    }
    for host in ["", "evil.example", "localhost.evil.example", "127.0.0.1.evil.example"] {
        assert_eq!(ask(&service, "GET", &[&format!("Host: {host}")]), 421, "{host:?}");
        assert_eq!(ask(&service, "POST", &[&format!("Host: {host}")]), 421, "{host:?}");
    }
}

#[test]
fn every_route_and_method_asks_for_the_name_first() {
    let service = Running::start();
    for path in
        ["/", "/nowhere", "/healthz", "/readyz", "/openapi.json", "/v1/shots", "/v1/players/%ff"]
    {
        for method in ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "BREW"] {
            let request = format!("{method} {path} HTTP/1.1\r\nHost: evil.example\r\n\r\n");
            let mut connection = service.connect();
            connection.send(request.as_bytes());
            assert_eq!(connection.head_answer().status, 421, "{method} {path}");
        }
    }
}

#[test]
fn a_rebound_name_is_refused_though_its_origin_agrees() {
    let service = Running::start();
    let rebound =
        ["Host: evil.example", "Origin: http://evil.example", "Sec-Fetch-Site: same-origin"];
    assert_eq!(ask(&service, "POST", &rebound), 421);
    let forged = ["Host: evil.example", "X-Forwarded-Host: localhost", "Forwarded: host=localhost"];
    assert_eq!(ask(&service, "POST", &forged), 421);
}

#[test]
fn a_missing_or_doubled_host_reaches_nothing() {
    let service = Running::start();
    assert_eq!(ask(&service, "GET", &[]), 400);
    assert_eq!(ask(&service, "GET", &["Host: localhost", "Host: evil.example"]), 400);
    assert_eq!(ask(&service, "GET", &["Host: localhost", "Host: localhost"]), 400);
    let old = service.ask(b"GET /healthz HTTP/1.0\r\n\r\n");
    assert_eq!(old.status, 421);
    old.problem();
}

#[test]
fn a_full_address_in_the_request_line_does_not_hide_the_host() {
    let service = Running::start();
    let hidden =
        service.ask(b"GET http://localhost/healthz HTTP/1.1\r\nHost: evil.example\r\n\r\n");
    assert_eq!(hidden.status, 421);
}

#[test]
fn a_page_of_another_site_writes_nothing() {
    let service = Running::start();
    let port = service.address.port();
    let host = format!("Host: localhost:{port}");
    let ours = format!("Origin: http://localhost:{port}");
    let cases: &[(&[&str], u16)] = &[
        (&[], 201),
        (&["Sec-Fetch-Site: none"], 200),
        (&["Sec-Fetch-Site: same-origin"], 200),
        (&[&ours], 200),
        (&[&ours, "Sec-Fetch-Site: same-origin"], 200),
        (&["Sec-Fetch-Site: cross-site"], 403),
        (&["Sec-Fetch-Site: same-site"], 403),
        (&["Sec-Fetch-Site: "], 403),
        (&["Origin: http://evil.example"], 403),
        (&["Origin: http://evil.example", "Sec-Fetch-Site: cross-site"], 403),
        (&["Origin: null"], 403),
        (&["Origin: "], 403),
        (&["Origin: http://localhost"], 403),
        (&[&ours, "Origin: http://evil.example"], 403),
        (&["Origin: http://localhost:8417.evil.example"], 403),
    ];
    for (fields, status) in cases {
        let fields: Vec<&str> = [host.as_str()].into_iter().chain(fields.iter().copied()).collect();
        assert_eq!(ask(&service, "POST", &fields), *status, "{fields:?}");
    }
}

#[test]
fn a_page_of_another_origin_reads_nothing_but_may_show_a_picture() {
    let service = Running::start();
    let foreign = ["Host: localhost", "Origin: http://evil.example"];
    assert_eq!(ask(&service, "GET", &foreign), 403);
    assert_eq!(ask(&service, "GET", &["Host: localhost", "Origin: null"]), 403);
    let picture = ["Host: localhost", "Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: no-cors"];
    assert_eq!(ask(&service, "GET", &picture), 200);
}

#[test]
fn a_simple_post_of_a_page_is_refused_twice_over() {
    let service = Running::start();
    let body = shot("1");
    let post = |fields: &str| {
        let request = format!(
            "POST /v1/shots HTTP/1.1\r\nHost: localhost\r\n{fields}Content-Length: {}\r\n\r\n{body}",
            body.len()
        );
        service.ask(request.as_bytes()).status
    };
    // As a browser sends it, and as an old browser would.
    assert_eq!(post("Content-Type: text/plain\r\nOrigin: http://evil.example\r\n"), 403);
    assert_eq!(post("Content-Type: text/plain\r\nSec-Fetch-Site: cross-site\r\n"), 403);
    assert_eq!(post("Content-Type: text/plain\r\n"), 415);
    assert_eq!(post("Content-Type: text/plain; application/json\r\n"), 415);
    assert_eq!(post(""), 415);
    assert_eq!(service.get("/v1/shots").json()["items"], serde_json::json!([]));
}

#[test]
fn no_answer_may_be_taken_for_another_type() {
    let service = Running::start();
    for answer in [service.get("/healthz"), service.get("/nowhere")] {
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    }
}
