//! Bags: what changed of them, and what stays while they need it. Clubs with builds and ratings.

use serde_json::{Value, json};

use crate::support::{Answer, NOW, Running, shot};

const BAG: &str = "/v1/players/rowan/bags/spring";

fn delete(service: &Running, path: &str) -> Answer {
    service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

fn with_clubs(clubs: &[&str]) -> Running {
    let service = Running::start();
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    for club in clubs {
        let path = format!("/v1/players/rowan/clubs/{club}");
        assert_eq!(service.send("PUT", &path, r#"{"name":"a club"}"#).status, 201);
    }
    service
}

fn put_bag(service: &Running, name: &str, clubs: &[&str]) -> u64 {
    let document = json!({"name": name, "clubs": clubs}).to_string();
    service.send("PUT", BAG, &document).json()["as_of"].as_u64().unwrap()
}

fn changes(service: &Running, query: &str) -> Value {
    service.get(&format!("{BAG}/changes{query}")).json()
}

#[test]
fn a_bag_remembers_which_clubs_came_and_went() {
    let service = with_clubs(&["d", "5h", "4i", "pt"]);
    let first = put_bag(&service, "Spring", &["d", "5h", "pt"]);
    let second = put_bag(&service, "Spring", &["d", "4i", "pt"]);
    put_bag(&service, "Spring", &["pt", "4i", "d"]);
    let named = put_bag(&service, "Wind", &["pt", "4i", "d"]);
    assert_eq!(
        changes(&service, ""),
        json!({"items": [
            {"as_of": named, "time": NOW, "added": [], "removed": [], "name": "Wind"},
            {"as_of": second, "time": NOW, "added": ["4i"], "removed": ["5h"]},
            {"as_of": first, "time": NOW, "added": ["d", "5h", "pt"], "removed": [], "name": "Spring"},
        ], "as_of": named}),
        "another order of the same clubs is no change"
    );
    assert_eq!(service.get("/v1/players/rowan/bags/none/changes").status, 404);
}

#[test]
fn a_page_of_changes_holds_what_the_settings_allow() {
    let service = Running::adjusted(|service| {
        service.limits.page_items = 2;
        service.limits.page_items_usual = 1;
    });
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    for name in ["One", "Two", "Three", "Four"] {
        put_bag(&service, name, &[]);
    }
    let items = |query: &str| changes(&service, query)["items"].as_array().unwrap().len();
    assert_eq!((items(""), items("?limit=2")), (1, 2));
    let over = service.get(&format!("{BAG}/changes?limit=3"));
    assert_eq!(over.status, 422);
    assert!(over.problem()["detail"].as_str().unwrap().contains("from 1 to 2"));
}

#[test]
fn changes_come_page_by_page() {
    let service = with_clubs(&["d", "5h"]);
    let mut all: Vec<u64> =
        (0..7).map(|n| put_bag(&service, "B", if n % 2 == 0 { &["d"] } else { &["5h"] })).collect();
    all.reverse();
    let mut seen = Vec::new();
    let mut query = String::from("?limit=3");
    loop {
        let page = changes(&service, &query);
        let items = page["items"].as_array().unwrap();
        assert!(items.len() <= 3);
        seen.extend(items.iter().map(|item| item["as_of"].as_u64().unwrap()));
        let Some(next) = page["next"].as_str() else { break };
        query = format!("?limit=3&cursor={next}");
    }
    assert_eq!(seen, all);
    let foreign = service.get(&format!("{BAG}/changes?cursor=000000000000000700000000"));
    assert_eq!(foreign.status, 422);
}

#[test]
fn a_bag_that_is_made_again_starts_a_log_of_its_own() {
    let service = with_clubs(&["d", "5h"]);
    put_bag(&service, "Old", &["d"]);
    assert_eq!(delete(&service, BAG).status, 204);
    assert_eq!(service.get(&format!("{BAG}/changes")).status, 404);
    put_bag(&service, "New", &["5h"]);
    let log = changes(&service, "");
    assert_eq!(log["items"].as_array().unwrap().len(), 1);
    assert_eq!(log["items"][0]["added"], json!(["5h"]));
}

#[test]
fn a_club_that_stands_in_a_bag_stays_and_the_bags_are_named() {
    let service = with_clubs(&["5h"]);
    put_bag(&service, "Spring", &["5h"]);
    let refused = delete(&service, "/v1/players/rowan/clubs/5h");
    assert_eq!(refused.status, 409);
    let detail = refused.problem()["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("\"spring\"") && detail.contains("take it out"), "{detail}");
    put_bag(&service, "Spring", &[]);
    assert_eq!(delete(&service, "/v1/players/rowan/clubs/5h").status, 204);
}

#[test]
fn a_player_who_comes_back_under_the_same_id_starts_bare() {
    let service = with_clubs(&["5h"]);
    put_bag(&service, "Spring", &["5h"]);
    assert_eq!(delete(&service, "/v1/players/rowan").status, 204);
    assert_eq!(service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#).status, 201);
    assert_eq!(service.get("/v1/players/rowan/clubs").json()["items"], json!([]));
    assert_eq!(service.get("/v1/players/rowan/bags").json()["items"], json!([]));
    assert_eq!(service.get(&format!("{BAG}/changes")).status, 404);
}

#[test]
fn balls_and_sources_that_shots_name_stay() {
    let service = Running::start();
    let with_ball = shot("1").replace(r#""lie""#, r#""ball":"range-b","lie""#);
    service.send("POST", "/v1/shots", &with_ball);
    for path in ["/v1/balls/range-b", "/v1/sources/bay-3"] {
        let refused = delete(&service, path);
        assert_eq!(refused.status, 409, "{path}");
        assert!(refused.problem()["detail"].as_str().unwrap().contains("1 shot"));
    }
}

#[test]
fn a_new_build_starts_new_evidence_and_the_profile_says_which() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    let club = json!({"name": "5-hybrid", "builds": [{"from": "2026-04-12", "what": "bent flat"}]});
    service.send("PUT", "/v1/players/rowan/clubs/5h", &club.to_string());
    service.send("POST", "/v1/shots", &shot("2").replace("04-11T", "04-12T"));
    let profile = service.get("/v1/players/rowan/clubs/5h/profile").json();
    assert_eq!(
        (&profile["build"], &profile["shots"], &profile["counted"]),
        (&json!("bent flat"), &json!(2), &json!(1))
    );
}

#[test]
fn ratings_and_notes_are_kept_and_shown_and_change_no_figure() {
    let service = Running::start();
    for id in ["1", "2", "3"] {
        service.send("POST", "/v1/shots", &shot(id));
    }
    let path = "/v1/players/rowan/clubs/5h";
    let figures = || service.get(&format!("{path}/profile")).json()["metrics"].clone();
    let before = figures();
    let club =
        json!({"name": "5-hybrid", "notes": "sits shut", "ratings": {"look": 1, "trust": 5}});
    service.send("PUT", path, &club.to_string());
    let kept = service.get(path).json();
    assert_eq!((&kept["notes"], &kept["ratings"]), (&club["notes"], &club["ratings"]));
    assert_eq!(figures(), before);
}

#[test]
fn a_limited_flight_ball_has_no_place_in_a_ladder() {
    let service = Running::start();
    let ball = json!({"name": "Soft ball", "kind": "limited_flight", "batch": "2026"});
    service.send("PUT", "/v1/balls/soft", &ball.to_string());
    assert_eq!(service.get("/v1/balls/soft").json()["batch"], "2026");
    let with =
        |id: &str, ball: &str| shot(id).replace(r#""lie""#, &format!(r#""ball":"{ball}","lie""#));
    for id in ["1", "2", "3"] {
        service.send("POST", "/v1/shots", &with(id, "soft"));
    }
    service.send("POST", "/v1/shots", &with("4", "range-b"));
    let ladder = service.get("/v1/players/rowan/ladder").json();
    assert_eq!(ladder["ball"], "range-b");
    assert_eq!(ladder["rungs"][0]["metrics"]["carry_m"]["n"], 1);
}
