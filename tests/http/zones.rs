//! Days begin where the question's `zone` says (IANA time zones).

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
