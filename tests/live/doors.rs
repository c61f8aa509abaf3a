//! Whose pages may listen, and what the head says.

use crate::{listener::Listener, shot, support::Running};

#[test]
fn a_foreign_page_hears_nothing() {
    let service = Running::start();
    for fields in [
        "Origin: https://elsewhere.example\r\n",
        "Origin: null\r\n",
        "Origin: http://localhost:1\r\nSec-Fetch-Site: cross-site\r\n",
    ] {
        let refused = service.get_with("/v1/live", fields);
        assert_eq!(refused.status, 403, "{fields}");
        refused.problem();
    }
    let misdirected = b"GET /v1/live HTTP/1.1\r\nHost: elsewhere.example\r\n\r\n";
    assert_eq!(service.ask(misdirected).status, 421);
}

#[test]
fn the_page_of_a_listed_origin_hears_and_may_say_where_it_was() {
    let origin = "http://dashboard.example:5173";
    let service = Running::adjusted(|service| {
        service.origins.list(origin).unwrap();
    });
    let mut page = Listener::ask(service.address, "/v1/live", &format!("Origin: {origin}\r\n"));
    assert!(page.head.contains(&format!("access-control-allow-origin: {origin}")), "{}", page.head);
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    assert_eq!(page.next().id, Some(1));
    let preflight = format!(
        "OPTIONS /v1/live HTTP/1.1\r\nHost: localhost\r\nOrigin: {origin}\r\n\
         Access-Control-Request-Method: GET\r\nAccess-Control-Request-Headers: last-event-id\r\n\r\n"
    );
    let answer = service.ask(preflight.as_bytes());
    assert!(answer.header("access-control-allow-headers").unwrap().contains("last-event-id"));
}

#[test]
fn the_head_keeps_caches_and_proxies_from_holding_events_back() {
    let service = Running::start();
    let fields = "Accept-Encoding: gzip, br\r\n";
    let mut reader = Listener::ask(service.address, "/v1/live", fields);
    for field in [
        "content-type: text/event-stream\r\n",
        "cache-control: no-store\r\n",
        "x-accel-buffering: no\r\n",
    ] {
        assert!(reader.head.contains(field), "{field} {}", reader.head);
    }
    assert!(!reader.head.contains("content-encoding"), "{}", reader.head);
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    assert_eq!(reader.next().id, Some(1));
    let mut connection = service.connect();
    connection.send(b"HEAD /v1/live HTTP/1.1\r\nHost: localhost\r\n\r\n");
    let head = connection.head_answer();
    assert_eq!((head.status, head.header("content-type")), (200, Some("text/event-stream")));
    assert_eq!(service.get_with("/v1/live", "Accept: application/json\r\n").status, 406);
}
