//! The order of judgement: of all that is wrong with a request, what comes first in the contract is
//! what the client is told.

use crate::support::{Running, shot};

/// Faults, in the order of judgement. Each request has the one named and all that come later.
fn request(first: &str) -> String {
    let faults = ["421", "403", "404", "405", "406", "415", "431", "413", "400", "422", "409"];
    let at = faults.iter().position(|fault| *fault == first).unwrap();
    let has = |fault: &str| faults.iter().position(|known| *known == fault).unwrap() >= at;
    let host = if has("421") { "evil.example" } else { "localhost" };
    let origin = if has("403") { "Origin: http://evil.example\r\n" } else { "" };
    let path = if has("404") { "/v1/nowhere" } else { "/v1/shots" };
    let method = if has("405") { "PUT" } else { "POST" };
    let accept = if has("406") { "text/html" } else { "application/json" };
    let media = if has("415") { "text/plain" } else { "application/json" };
    let padding = if has("431") { "x".repeat(20 * 1024) } else { String::new() };
    let body = match first {
        "422" => r#"{"id":"1","source":"bay-3"}"#.to_owned(),
        "409" => shot("1").replace("158.3", "160.0"),
        _ => String::from("{"),
    };
    let query = if has("422") { "?nonsense=1" } else { "" };
    let length = if has("413") { 17 * 1024 * 1024 } else { body.len() };
    format!(
        "{method} {path}{query} HTTP/1.1\r\nHost: {host}\r\n{origin}Accept: {accept}\r\n\
         Content-Type: {media}\r\nX-Padding: {padding}\r\nContent-Length: {length}\r\n\r\n{body}"
    )
}

#[test]
fn the_first_fault_is_the_one_told() {
    let service = Running::start();
    assert_eq!(service.send("POST", "/v1/shots", &shot("1")).status, 201);
    for fault in ["421", "403", "404", "405", "406", "415", "431", "413", "400", "422", "409"] {
        let answer = service.ask(request(fault).as_bytes());
        assert_eq!(answer.status.to_string(), fault);
        answer.problem();
    }
}

#[test]
fn what_the_path_names_is_looked_for_before_the_body_is_judged() {
    let service = Running::start();
    for (method, path) in [
        ("PATCH", "/v1/shots/bay-3/none"),
        ("PUT", "/v1/players/nobody/clubs/5h"),
        ("PUT", "/v1/players/nobody/bags/spring"),
    ] {
        assert_eq!(
            service.send_as("text/plain", method, path, b"?").status,
            404,
            "{method} {path}"
        );
    }
    for path in [
        "/v1/players/nobody/ladder?x=1",
        "/v1/players/nobody/comparisons",
        "/v1/players/nobody/replacements",
        "/v1/players/nobody/clubs/5h/profile?x=1",
        "/v1/players/nobody/clubs?x=1",
        "/v1/sources/none/context?x=1",
    ] {
        assert_eq!(service.get(path).status, 404, "{path}");
    }
}

#[test]
fn faults_of_query_and_body_are_told_together() {
    let service = Running::start();
    let answer = service.send("POST", "/v1/shots?nonsense=1", r#"{"id":"1","source":"bay-3"}"#);
    let problem = answer.problem();
    let errors = problem["errors"].as_array().unwrap();
    assert!(errors.iter().any(|error| error["parameter"] == "nonsense" && error["pointer"] == ""));
    assert!(errors.iter().any(|error| error["pointer"] == "/time"));
}

#[test]
fn the_form_of_a_body_is_judged_before_the_query() {
    let service = Running::start();
    for path in ["/v1/import", "/v1/shots", "/v1/assignments", "/v1/retirements"] {
        let path = format!("{path}?nonsense=1");
        assert_eq!(service.send_as("text/plain", "POST", &path, b"?").status, 415, "{path}");
    }
    let import = service.send_as("application/x-ndjson", "POST", "/v1/import?nonsense=1", b"?");
    assert_eq!(import.status, 422);
}

#[test]
fn other_verbs_are_told_which_there_are() {
    let service = Running::start();
    for (path, method, allow) in [
        ("/v1/shots", "DELETE", "POST, GET, HEAD"),
        ("/v1/shots/a/b", "POST", "GET, HEAD, PATCH, DELETE"),
        ("/v1/players/rowan", "POST", "GET, HEAD, PUT, DELETE"),
        ("/v1/assignments", "GET", "POST"),
        ("/healthz", "OPTIONS", "GET, HEAD"),
        ("/healthz", "BREW", "GET, HEAD"),
    ] {
        let answer =
            service.ask(format!("{method} {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
        assert_eq!(answer.status, 405, "{method} {path}");
        assert_eq!(answer.header("allow"), Some(allow), "{method} {path}");
        answer.problem();
    }
}

#[test]
fn head_is_answered_like_get_without_a_body() {
    let service = Running::start();
    for path in ["/healthz", "/v1/shots", "/openapi.json", "/nowhere"] {
        let get = service.get(path);
        let mut connection = service.connect();
        let ask = format!("HEAD {path} HTTP/1.1\r\nHost: localhost\r\n\r\n");
        connection.send(ask.as_bytes());
        let head = connection.head_answer();
        assert_eq!(head.status, get.status, "{path}");
        assert_eq!(head.header("content-length"), get.header("content-length"), "{path}");
        // Had a body come, it would be taken for the head of the next answer.
        connection.send(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n");
        assert_eq!(connection.answer().text(), r#"{"status":"alive"}"#);
    }
}

#[test]
fn a_form_that_is_not_given_is_refused() {
    let service = Running::start();
    let get = |path: &str, accept: &str| {
        let request = format!("GET {path} HTTP/1.1\r\nHost: localhost\r\nAccept: {accept}\r\n\r\n");
        service.ask(request.as_bytes())
    };
    assert_eq!(get("/v1/shots", "text/html").status, 406);
    assert_eq!(get("/v1/players", "application/x-ndjson").status, 406);
    assert!(get("/v1/shots", "text/html").problem()["detail"].as_str().unwrap().contains("ndjson"));
    assert_eq!(get("/v1/shots", "text/html,application/xhtml+xml,*/*;q=0.8").status, 200);
}

#[test]
fn a_path_that_is_not_utf8_is_refused() {
    let service = Running::start();
    for path in ["/v1/players/%ff", "/v1/shots/bay-3/%c3%28", "/%80", "/v1/shots?player=%ff"] {
        let answer = service.get(path);
        assert_eq!(answer.status, 400, "{path}");
        answer.problem();
    }
}
