//! Shots that were hit with another club than was said: found, shown and put right in one act.

use serde_json::{Value, json};

use crate::support::Running;

/// A shot whose values are spread a little, in an order that its number decides.
fn shot(number: u32, club: &str, [speed, launch, spin]: [f64; 3]) -> String {
    let turn = |by: u32| f64::from(number * by % 11) - 5.0;
    json!({
        "id": number.to_string(), "source": "bay-3", "time": "2026-04-11T10:15:04Z",
        "player": "rowan", "club": club, "lie": "mat",
        "launch": {"ball_speed_mps": speed + turn(3) / 8.0, "launch_angle_deg": launch + turn(7) / 5.0,
                   "spin_rate_rpm": spin + turn(5) * 60.0},
    })
    .to_string()
        + "\n"
}

const HYBRID: [f64; 3] = [52.8, 16.6, 5_100.0];
const IRON: [f64; 3] = [48.2, 19.6, 6_100.0];

/// Twenty shots of two clubs each, and then six of the iron that were said to be the hybrid's.
fn forgotten() -> Running {
    let service = Running::start();
    let honest: String = (1..=40)
        .map(|n| if n % 2 == 0 { shot(n, "5h", HYBRID) } else { shot(n, "7i", IRON) })
        .collect();
    let wrong: String = (41..=46).map(|n| shot(n, "5h", IRON)).collect();
    assert_eq!(service.stream(&(honest + &wrong)).json()["accepted"], 46);
    service
}

fn listed(service: &Running, query: &str) -> Vec<Value> {
    service.get(&format!("/v1/shots?{query}")).json()["items"].as_array().unwrap().clone()
}

#[test]
fn shots_that_fly_like_another_club_are_listed_with_it() {
    let service = forgotten();
    let suspected = listed(&service, "player=rowan&flag=other_club");
    let ids: Vec<&str> =
        suspected.iter().map(|item| item["event"]["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["41", "42", "43", "44", "45", "46"]);
    assert_eq!(listed(&service, "flag=other_club"), suspected, "without naming the player");
    for item in suspected {
        assert_eq!((&item["club"], &item["flies_like"]), (&json!("5h"), &json!("7i")));
        assert!(item["flags"].as_array().unwrap().contains(&json!("other_club")), "{item}");
    }
    let honest = service.get("/v1/shots/bay-3/1").json();
    assert_eq!((&honest["flies_like"], &honest["flags"]), (&Value::Null, &json!([])));
}

#[test]
fn the_answer_to_a_shot_says_that_it_flies_like_another_club() {
    let service = forgotten();
    let sent = |text: &str| service.send("POST", "/v1/shots", text).json()["flags"].clone();
    assert!(sent(&shot(50, "5h", IRON)).as_array().unwrap().contains(&json!("other_club")));
    assert_eq!(sent(&shot(51, "5h", HYBRID)), json!([]));
    assert_eq!(sent(&shot(52, "7i", IRON)), json!([]));
}

#[test]
fn they_are_put_right_in_one_act_and_are_suspected_no_more() {
    let service = forgotten();
    let counted = |club: &str| {
        service.get(&format!("/v1/players/rowan/clubs/{club}/profile")).json()["shots"].clone()
    };
    assert_eq!((counted("5h"), counted("7i")), (json!(26), json!(20)));
    let body = json!({"filter": {"player": "rowan", "club": "5h", "flag": "other_club"},
                      "set": {"club": "7i"}});
    let done = service.send("POST", "/v1/assignments", &body.to_string());
    assert_eq!(done.json()["changed"], 6);
    assert_eq!((counted("5h"), counted("7i")), (json!(20), json!(26)));
    assert!(listed(&service, "player=rowan&flag=other_club").is_empty());
}

#[test]
fn the_flag_changes_nothing_that_counts() {
    let service = Running::start();
    // Carries alone: nothing screens them for mishits.
    let carry = |number: u32, club: &str, carry: f64| {
        let turn = f64::from(number % 7) - 3.0;
        json!({"id": number.to_string(), "source": "bay-3", "time": "2026-04-11T10:15:04Z",
               "player": "rowan", "club": club, "flight": {"carry_m": carry + turn}})
        .to_string()
            + "\n"
    };
    let mut lines: String = (1..=20).map(|n| carry(n, "7i", 130.0)).collect();
    lines += &(21..=40).map(|n| carry(n, "5h", 165.0)).collect::<String>();
    lines += &carry(41, "7i", 165.0);
    assert_eq!(service.stream(&lines).json()["accepted"], 41);
    assert_eq!(listed(&service, "flag=other_club").len(), 1);
    let profile = service.get("/v1/players/rowan/clubs/7i/profile").json();
    assert_eq!(
        (&profile["counted"], &profile["metrics"]["carry_m"]["n"]),
        (&json!(21), &json!(21))
    );
}

#[test]
fn warm_up_shots_and_flights_that_were_meant_are_not_suspected() {
    let service = forgotten();
    let meant = |number: u32, member: &str| {
        let text = shot(number, "5h", IRON).replacen('{', &format!("{{{member},"), 1);
        let flags = service.send("POST", "/v1/shots", &text).json()["flags"].clone();
        flags.as_array().unwrap().contains(&json!("other_club"))
    };
    assert!(!meant(60, r#""purpose":"warm_up""#));
    assert!(!meant(61, r#""intent":{"swing":"part"}"#));
    assert!(!meant(62, r#""intent":{"height":"high"}"#));
    assert!(meant(63, r#""purpose":"practice""#));
}
