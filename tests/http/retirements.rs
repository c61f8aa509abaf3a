//! Retirement over HTTP: the content goes, every conclusion stays.

use serde_json::{Value, json};

use crate::support::{Running, shot_with};

const QUESTIONS: [&str; 5] = [
    "/v1/players/rowan/clubs/5h/profile",
    "/v1/players/rowan/ladder",
    "/v1/players/rowan/comparisons?incumbent=5h&candidate=4u",
    "/v1/players/rowan/replacements?incumbent=5h&candidate=4u&must_carry_m=150",
    "/v1/players/rowan/replacements?incumbent=4u",
];

/// Shots of two clubs in turn over some days, some of them odd.
fn season(service: &Running) {
    let lines: Vec<String> = (0..60_u32)
        .map(|number| {
            let carry = 150.0 + f64::from(number * 7 % 13);
            let club = if number % 2 == 0 { "5h" } else { "4u" };
            let ball_speed = if number % 11 == 10 { "40.0" } else { "51.9" };
            shot_with(&number.to_string(), carry)
                .replace("5h", club)
                .replace("51.9", ball_speed)
                .replace("2026-04-11", &format!("2026-04-{:02}", 1 + number / 12))
        })
        .collect();
    assert_eq!(service.stream(&lines.join("\n")).json()["accepted"], 60);
    service.send("PATCH", "/v1/shots/bay-3/7", r#"{"set_aside":{"reason":"phone rang"}}"#);
    service.send("PATCH", "/v1/shots/bay-3/8", r#"{"club":"4u","lie":"tee"}"#);
}

fn answers(service: &Running) -> Vec<String> {
    QUESTIONS.iter().map(|question| service.get(question).text().to_owned()).collect()
}

fn retire(service: &Running, dry_run: bool) -> Value {
    let body =
        json!({"filter": {"player": "rowan", "to": "2026-04-04T00:00:00Z"}, "dry_run": dry_run});
    let answer = service.send("POST", "/v1/retirements", &body.to_string());
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

#[test]
fn the_content_goes_and_every_answer_stays_the_same_to_the_byte() {
    let service = Running::start();
    season(&service);
    let before = answers(&service);
    assert!(before[0].contains("\"mishits\":"), "{}", before[0]);
    assert_eq!(
        retire(&service, true),
        json!({"matched": 36, "changed": 36, "as_of": 62, "dry_run": true})
    );
    assert_eq!(service.get("/v1/shots/bay-3/7").status, 200, "a rehearsal retires nothing");
    assert_eq!(
        retire(&service, false),
        json!({"matched": 36, "changed": 36, "as_of": 63, "dry_run": false})
    );
    assert_eq!(answers(&service), before);
    assert_eq!(retire(&service, false)["matched"], 0, "what is retired is not found again");
}

#[test]
fn a_retired_shot_is_shown_and_corrected_no_more_and_its_re_send_is_a_duplicate() {
    let service = Running::start();
    season(&service);
    retire(&service, false);
    let before = answers(&service);
    let shown = service.get("/v1/shots/bay-3/8");
    assert_eq!(shown.status, 410);
    assert!(shown.problem()["detail"].as_str().unwrap().contains("retired"));
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/8", r#"{"club":"5h"}"#).status, 410);
    let listed = service.get("/v1/shots?player=rowan&limit=1000").json();
    assert_eq!(listed["items"].as_array().unwrap().len(), 24);
    let all = json!({"filter": {"player": "rowan"}, "set": {"lie": "sand"}, "dry_run": true});
    assert_eq!(service.send("POST", "/v1/assignments", &all.to_string()).json()["matched"], 24);
    for again in [shot_with("8", 156.0), shot_with("8", 1.0)] {
        assert_eq!(service.send("POST", "/v1/shots", &again).json()["status"], "duplicate");
    }
    assert_eq!(answers(&service), before);
    assert_eq!(
        service.ask(b"DELETE /v1/players/rowan HTTP/1.1\r\nHost: localhost\r\n\r\n").status,
        409
    );
}

#[test]
fn erasing_a_retired_shot_or_its_player_takes_its_row_too() {
    let service = Running::start();
    season(&service);
    retire(&service, false);
    let delete = |path: &str| {
        service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
    };
    let shots = || service.get("/v1/players/rowan/clubs/5h/profile").json()["shots"].clone();
    assert_eq!(shots(), 29);
    assert_eq!(delete("/v1/shots/bay-3/4").status, 204);
    assert_eq!(shots(), 28);
    assert_eq!(delete("/v1/shots/bay-3/4").status, 410);
    assert_eq!(delete("/v1/players/rowan?shots=erase").status, 204);
    assert_eq!(service.get("/v1/players/rowan").status, 410);
    assert_eq!(delete("/v1/sources/bay-3").status, 204, "no shot is left of it");
    assert_eq!(
        service.send("POST", "/v1/shots", &shot_with("8", 1.0)).json()["status"],
        "duplicate"
    );
}

#[test]
fn a_retirement_that_cannot_be_meant_says_its_faults() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot_with("1", 150.0));
    for (body, pointer) in [
        (json!({"filter": {}}), "/filter"),
        (json!({}), "/filter"),
        (json!({"filter": {"id": "1"}}), "/filter/id"),
        (json!({"filter": {"player": "nobody"}}), "/filter/player"),
        (json!({"filter": {"flag": "mishot"}}), "/filter/flag"),
        (json!({"filter": {"source": "bay-3"}, "set": {}}), "/set"),
    ] {
        let answer = service.send("POST", "/v1/retirements", &body.to_string());
        assert_eq!(answer.status, 422, "{body}");
        assert_eq!(answer.problem()["errors"][0]["pointer"], pointer, "{body}");
    }
}

#[test]
fn any_filter_retires_by_flag_or_by_one_name() {
    let service = Running::start();
    season(&service);
    let retire = |filter: Value| {
        service.send("POST", "/v1/retirements", &json!({"filter": filter}).to_string()).json()
    };
    let mishits = service.get("/v1/shots?player=rowan&flag=mishit").json();
    let mishits: Vec<String> = mishits["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| item["event"]["id"].as_str().unwrap().to_owned())
        .collect();
    assert!(!mishits.is_empty());
    let before = answers(&service);
    assert_eq!(retire(json!({"flag": "mishit"}))["changed"], mishits.len());
    for id in mishits {
        assert_eq!(service.get(&format!("/v1/shots/bay-3/{id}")).status, 410, "{id}");
    }
    assert_eq!(retire(json!({"source": "bay-3", "id": "2"}))["changed"], 1);
    assert_eq!(service.get("/v1/shots/bay-3/2").status, 410);
    let last = service.store.last();
    let none = retire(json!({"source": "bay-3", "id": "2"}));
    assert_eq!((none["matched"].clone(), none["changed"].clone()), (json!(0), json!(0)));
    assert_eq!(service.store.last(), last, "what finds nothing writes nothing");
    assert_eq!(answers(&service), before);
}

#[test]
fn a_client_that_has_the_list_is_told_of_a_retirement_and_keeps_what_did_not_change() {
    let service = Running::start();
    season(&service);
    let tag = |path: &str| service.get(path).header("etag").unwrap().to_owned();
    let again = |path: &str, tag: &str| {
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost\r\nIf-None-Match: {tag}\r\n\r\n");
        service.ask(request.as_bytes()).status
    };
    let (list, profile) = ("/v1/shots?player=rowan", QUESTIONS[0]);
    let (of_list, of_profile) = (tag(list), tag(profile));
    retire(&service, false);
    assert_eq!(again(list, &of_list), 200, "the list is shorter now");
    assert_eq!(again(profile, &of_profile), 304);
    service.ask(b"DELETE /v1/shots/bay-3/0 HTTP/1.1\r\nHost: localhost\r\n\r\n");
    assert_eq!(again(profile, &of_profile), 200, "an erased shot counts no more");
    let of_profile = tag(profile);
    service.ask(b"DELETE /v1/players/rowan?shots=erase HTTP/1.1\r\nHost: localhost\r\n\r\n");
    assert_eq!(again(profile, &of_profile), 410);
}
