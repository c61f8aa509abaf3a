//! Days begin where the question's `zone` says (IANA time zones).

use serde_json::{Value, json};

use crate::support::{Running, shot};

/// Shots around two midnights in Madrid, which is two hours ahead of UTC then.
fn filled() -> Running {
    let service = Running::start();
    let times = [
        "2026-04-10T21:59:59Z",
        "2026-04-10T22:00:00Z",
        "2026-04-11T00:00:00Z",
        "2026-04-11T21:59:59Z",
        "2026-04-11T22:00:00Z",
    ];
    let lines: String =
        times.iter().map(|time| shot(time).replace("2026-04-11T10:15:04Z", time) + "\n").collect();
    assert_eq!(service.stream(&lines).json()["accepted"], 5);
    let other = shot("other").replace("5h", "4i");
    assert_eq!(service.send("POST", "/v1/shots", &other).status, 201);
    service
}

#[test]
fn a_date_is_a_day_of_the_zone_that_is_given_and_of_utc_without_one() {
    let service = filled();
    let count = |query: &str| {
        let page = service.get(&format!("/v1/shots?club=5h&player=rowan&{query}")).json();
        page["items"].as_array().unwrap().len()
    };
    assert_eq!(count("from=2026-04-11&to=2026-04-12&zone=Europe/Madrid"), 3);
    assert_eq!(count("from=2026-04-11&to=2026-04-12"), 3);
    assert_eq!(count("to=2026-04-11&zone=Europe/Madrid"), 1);
    assert_eq!(count("to=2026-04-11"), 2);
    // Four hours behind: the day begins at 04:00 UTC.
    assert_eq!(count("from=2026-04-11&zone=America/New_York"), 2);
    assert_eq!(count("from=2026-04-10T22:00:00Z&to=2026-04-11&zone=America/New_York"), 2);
}

#[test]
fn every_question_about_a_player_takes_a_zone() {
    let service = filled();
    let stretch = "from=2026-04-11&to=2026-04-12";
    let profile = |zone: &str| {
        let path = format!("/v1/players/rowan/clubs/5h/profile?{stretch}{zone}");
        service.get(&path).json()["counted"].clone()
    };
    assert_eq!((profile("&zone=Europe/Madrid"), profile("")), (3.into(), 3.into()));
    assert_eq!(profile("&zone=America/New_York"), 2);
    let brief = service
        .get(&format!("/v1/players/rowan/replacements?incumbent=4i&{stretch}&zone=Europe/Madrid"))
        .json()["brief"]
        .clone();
    assert_eq!(
        (&brief["from"], &brief["to"]),
        (&"2026-04-10T22:00:00Z".into(), &"2026-04-11T22:00:00Z".into())
    );
    for path in [
        "/v1/shots",
        "/v1/players/rowan/clubs/5h/profile",
        "/v1/players/rowan/ladder",
        "/v1/players/rowan/comparisons?incumbent=4i&candidate=5h",
        "/v1/players/rowan/replacements?incumbent=4i",
    ] {
        let with = if path.contains('?') { '&' } else { '?' };
        for known in ["Europe/Madrid", "UTC", "Asia/Kathmandu"] {
            let answer = service.get(&format!("{path}{with}{stretch}&zone={known}"));
            assert_eq!(answer.status, 200, "{path} {known}");
        }
        for unknown in ["Nowhere", "Europe/Nowhere", "", "%2B02:00"] {
            let answer = service.get(&format!("{path}{with}{stretch}&zone={unknown}"));
            assert_eq!(answer.status, 422, "{path} {unknown}");
            assert_eq!(answer.problem()["errors"][0]["parameter"], "zone");
        }
    }
}

#[test]
fn the_filter_of_an_act_takes_days_as_a_question_does() {
    let service = filled();
    let act = |path: &str, filter: Value| {
        let mut body = json!({"filter": filter, "dry_run": true});
        if path == "assignments" {
            body["set"] = json!({"lie": "tee"});
        }
        service.send("POST", &format!("/v1/{path}"), &body.to_string())
    };
    for path in ["assignments", "retirements"] {
        let matched = |zone: Option<&str>| {
            let mut filter = json!({"club": "5h", "player": "rowan", "to": "2026-04-11"});
            if let Some(zone) = zone {
                filter["zone"] = json!(zone);
            }
            act(path, filter).json()["matched"].clone()
        };
        assert_eq!((matched(Some("Europe/Madrid")), matched(None)), (1.into(), 2.into()), "{path}");
        for (filter, pointer) in [
            (json!({"from": "2026-04-31"}), "/filter/from"),
            (json!({"to": "yesterday"}), "/filter/to"),
            (json!({"to": "2026-04-11", "zone": "Mars/Olympus"}), "/filter/zone"),
            (json!({"from": "2026-04-12", "to": "2026-04-12"}), "/filter"),
            (json!({"zone": "Europe/Madrid"}), "/filter"),
        ] {
            let answer = act(path, filter.clone());
            assert_eq!(answer.status, 422, "{filter}");
            assert_eq!(answer.problem()["errors"][0]["pointer"], pointer, "{filter}");
        }
    }
    let set = json!({"filter": {"from": "2026-04-11", "to": "2026-04-12", "zone": "Europe/Madrid",
                                "club": "5h", "player": "rowan"}, "set": {"lie": "tee"}});
    let done = service.send("POST", "/v1/assignments", &set.to_string()).json();
    assert_eq!((&done["matched"], &done["changed"]), (&3.into(), &3.into()));
}
