//! Lists that wait.

use std::time::{Duration, Instant};

use serde_json::json;

use crate::{
    shot,
    support::{Connection, Running, wait_until},
};

fn begin(service: &Running, query: &str, fields: &str) -> Connection {
    let waiting = || {
        let page = service.get("/metrics").text().to_owned();
        let line = page.lines().find(|line| line.starts_with("evencarry_live_readers ")).unwrap();
        line.rsplit(' ').next().unwrap().parse::<u64>().unwrap()
    };
    let before = waiting();
    let mut connection = service.connect();
    let ask = format!("GET /v1/shots?{query} HTTP/1.1\r\nHost: localhost\r\n{fields}\r\n");
    connection.send(ask.as_bytes());
    wait_until("the list waits", || waiting() > before);
    connection
}

fn sequences(items: &serde_json::Value) -> Vec<u64> {
    let items = items.as_array().unwrap().iter();
    items.map(|item| item["sequence"].as_u64().unwrap()).collect()
}

#[test]
fn what_is_there_already_is_given_at_once_in_order() {
    let service = Running::start();
    let lines: Vec<String> = (0..5).map(|n| shot(&n.to_string(), "rowan", "5h")).collect();
    service.stream(&lines.join("\n"));
    let begun = Instant::now();
    let page = service.get("/v1/shots?after=2&wait=60&limit=2").json();
    assert!(begun.elapsed() < Duration::from_secs(30));
    assert_eq!(sequences(&page["items"]), [3, 4]);
    let next = page["next"].as_str().unwrap();
    let page = service.get(&format!("/v1/shots?after=2&limit=2&cursor={next}")).json();
    assert_eq!((sequences(&page["items"]), page.get("next")), (vec![5], None));
}

#[test]
fn a_list_that_waits_answers_with_the_next_shot_that_it_follows() {
    let service = Running::start();
    service.stream(&[shot("1", "rowan", "5h"), shot("2", "robin", "7i")].join("\n"));
    let mut all = begin(&service, "after=2&wait=60", "");
    let mut rowans = begin(&service, "after=2&wait=60&player=rowan", "");
    let mut lines = begin(&service, "after=2&wait=60&club=5h", "Accept: application/x-ndjson\r\n");
    let mut table = begin(&service, "after=2&wait=60&player=rowan&lie=mat", "Accept: text/csv\r\n");
    service.send("POST", "/v1/shots", &shot("3", "robin", "7i"));
    assert_eq!(sequences(&all.answer().json()["items"]), [3]);
    assert!(!rowans.has_answer_within(crate::QUIET));
    service.send("POST", "/v1/shots", &shot("4", "rowan", "5h"));
    assert_eq!(sequences(&rowans.answer().json()["items"]), [4]);
    let line: serde_json::Value = serde_json::from_str(lines.answer().text()).unwrap();
    assert_eq!(line["sequence"], 4);
    assert!(!table.has_answer_within(crate::QUIET), "the shot was from no mat");
    service.send("PATCH", "/v1/shots/bay-3/4", r#"{"lie":"mat"}"#);
    let table = table.answer();
    assert_eq!(table.text().lines().count(), 2, "{}", table.text());
}

#[test]
fn the_wait_is_bounded_and_ends_with_an_empty_page() {
    let service = Running::adjusted(|service| service.limits.wait_time = Duration::from_secs(1));
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    let page = service.get("/v1/shots?after=1&wait=1").json();
    assert_eq!(page, json!({"items": [], "as_of": 1}));
    assert_eq!(service.get("/v1/shots?after=1&wait=2").status, 422);
}

#[test]
fn a_script_that_shows_its_tag_waits_too() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    let first = service.get("/v1/shots?after=1");
    let tag = first.header("etag").unwrap();
    let mut waiting = begin(&service, "after=1&wait=60", &format!("If-None-Match: {tag}\r\n"));
    assert!(!waiting.has_answer_within(crate::QUIET), "nothing has changed, and it did not wait");
    service.send("POST", "/v1/shots", &shot("2", "rowan", "5h"));
    assert_eq!(sequences(&waiting.answer().json()["items"]), [2]);
}

#[test]
fn following_is_from_a_place_that_there_is_from_the_oldest_on() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1", "rowan", "5h"));
    for (query, parameter) in [
        ("after=2", "after"),
        ("after=2&wait=30", "after"),
        ("after=-1", "after"),
        ("after=0&order=newest", "after"),
        ("wait=30", "wait"),
        ("after=1&wait=61", "wait"),
        ("after=1&wait=0", "wait"),
        ("after=1&wait=5&player=robin", "player"),
    ] {
        let refused = service.get(&format!("/v1/shots?{query}"));
        assert_eq!(refused.status, 422, "{query}");
        assert_eq!(refused.problem()["errors"][0]["parameter"], parameter, "{query}");
    }
}
