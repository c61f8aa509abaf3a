//! Listing shots.

use serde_json::{Value, json};

use crate::support::{Running, shot};

fn filled() -> Running {
    let service = Running::start();
    let lines: String = (1..=25).map(|n| shot(&format!("{n:02}")) + "\n").collect();
    let other: String = (1..=5)
        .map(|n| {
            shot(&format!("o{n}")).replace("rowan", "robin").replace("\"mat\"", "\"tee\"") + "\n"
        })
        .collect();
    assert_eq!(service.stream(&(lines + &other)).json()["accepted"], 30);
    service
}

fn ids(page: &Value) -> Vec<String> {
    let items = page["items"].as_array().unwrap();
    items.iter().map(|item| item["event"]["id"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn pages_follow_one_another_without_gap_or_overlap() {
    let service = filled();
    for order in ["oldest", "newest"] {
        let mut all = Vec::new();
        let mut path = format!("/v1/shots?player=rowan&limit=7&order={order}");
        for _ in 0..10 {
            let page = service.get(&path).json();
            assert!(ids(&page).len() <= 7);
            all.extend(ids(&page));
            match page.get("next") {
                Some(next) => {
                    path = format!(
                        "/v1/shots?player=rowan&limit=7&order={order}&cursor={}",
                        next.as_str().unwrap()
                    );
                }
                None => break,
            }
        }
        let mut expected: Vec<String> = (1..=25).map(|n| format!("{n:02}")).collect();
        if order == "newest" {
            expected.reverse();
        }
        assert_eq!(all, expected, "{order}");
    }
}

#[test]
fn a_cursor_serves_its_own_filter_only() {
    let service = filled();
    let next = service.get("/v1/shots?player=rowan&limit=2").json()["next"].clone();
    let next = next.as_str().unwrap();
    assert_eq!(service.get(&format!("/v1/shots?player=rowan&cursor={next}")).status, 200);
    let other = service.get(&format!("/v1/shots?player=robin&cursor={next}"));
    assert_eq!(other.status, 422);
    assert_eq!(other.problem()["errors"][0]["parameter"], "cursor");
    assert_eq!(service.get("/v1/shots?cursor=7").status, 422);
}

#[test]
fn filters_choose_by_what_is_effective() {
    let service = filled();
    let count = |query: &str| ids(&service.get(&format!("/v1/shots?{query}")).json()).len();
    assert_eq!(count("lie=tee"), 5);
    assert_eq!(count("player=robin&club=5h"), 5);
    assert_eq!(count("source=bay-3&id=07"), 1);
    assert_eq!(count("source=bay-3&id=07&player=rowan&order=newest"), 1);
    assert_eq!(count("source=bay-3&id=07&player=robin"), 0);
    assert_eq!(count("source=bay-3&id=none"), 0);
    assert_eq!(count("unassigned=true"), 0);
    assert_eq!(count("from=2026-04-11&to=2026-04-12"), 30);
    assert_eq!(count("from=2026-04-12"), 0);
    assert_eq!(count("to=2026-04-11T10:15:04Z"), 0, "`to` itself is without");
    assert_eq!(count("from=2026-04-11T10:15:04Z"), 30, "`from` itself is within");
    service.send("PATCH", "/v1/shots/bay-3/07", r#"{"club":"4i"}"#);
    assert_eq!(count("player=rowan&club=4i"), 1);
}

#[test]
fn unknown_names_and_parameters_are_told() {
    let service = filled();
    let parameters = |query: &str| {
        let answer = service.get(&format!("/v1/shots?{query}"));
        assert_eq!(answer.status, 422, "{query}");
        let problem = answer.problem();
        let errors = problem["errors"].as_array().unwrap();
        errors.iter().map(|e| e["parameter"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(parameters("player=nobody&ball=none&source=none"), ["player", "ball", "source"]);
    assert_eq!(parameters("player=rowan&club=none"), ["club"]);
    assert_eq!(parameters("playr=rowan"), ["playr"]);
    assert_eq!(parameters("limit=1001"), ["limit"]);
    assert_eq!(parameters("lie=mat&lie=tee"), ["lie"]);
    assert_eq!(parameters("lie=bunker&order=random&flag=odd&zone=Nowhere").len(), 4);
    assert_eq!(parameters("units=imperial"), ["units"]);
    assert_eq!(parameters("id=07"), ["id"]);
}

#[test]
fn as_ndjson_every_shot_is_a_line_and_the_next_page_a_link() {
    let service = filled();
    let pretty = shot("pretty").replace(",\"lie\"", ",\n  \"lie\"");
    service.send("POST", "/v1/shots", &pretty);
    let get = |path: &str| {
        let ask = format!(
            "GET {path} HTTP/1.1\r\nHost: localhost\r\nAccept: application/x-ndjson\r\n\r\n"
        );
        service.ask(ask.as_bytes())
    };
    let page = get("/v1/shots?order=newest&limit=3");
    assert_eq!(page.header("content-type"), Some("application/x-ndjson"));
    let items: Vec<Value> =
        page.text().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(items.len(), 3);
    assert_eq!(items[0]["event"]["id"], "pretty");
    let link = page.header("link").unwrap();
    let path = link.strip_prefix('<').unwrap().split_once('>').unwrap().0;
    assert_eq!(get(path).text().lines().count(), 3);
    assert_eq!(get("/v1/shots?limit=1000").header("link"), None);
}

#[test]
fn an_empty_store_has_an_empty_page() {
    let service = Running::start();
    assert_eq!(service.get("/v1/shots").json(), json!({"items": [], "as_of": 0}));
}
