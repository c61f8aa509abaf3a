//! Who may show a picture, who may read one, and what a client need not fetch again.

use crate::{
    season::{all, bag, put, season},
    support::{Answer, Running},
};

fn each(service: &Running, trial: &str, ask: impl Fn(&Running, &str, &str)) {
    for (name, path) in all(trial) {
        ask(service, name, &path);
    }
}

/// What an `<img>` of another site's page sends: no `Origin` (Fetch Standard, 3.2: none goes with a
/// `no-cors` GET).
const IMG: &str =
    "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\nSec-Fetch-Dest: image\r\n";

#[test]
fn an_img_elsewhere_may_show_a_picture_and_no_foreign_page_may_read_one() {
    let (service, trial) = season(2);
    each(&service, &trial, |service, name, path| {
        let shown = service.get_with(path, IMG);
        assert_eq!(shown.status, 200, "{name}");
        assert_eq!(shown.header("cross-origin-resource-policy"), Some("cross-origin"), "{name}");
        assert_eq!(shown.header("access-control-allow-origin"), None, "{name}");
        let policy = shown.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'") && policy.contains("sandbox"), "{name}");
        let read = service.get_with(path, "Origin: http://elsewhere.example\r\n");
        assert_eq!(read.status, 403, "{name}");
    });
}

#[test]
fn the_same_question_gives_the_same_bytes_and_need_not_be_fetched_again() {
    let (service, trial) = season(2);
    let tag = |answer: &Answer| answer.header("etag").unwrap().to_owned();
    each(&service, &trial, |service, name, path| {
        let first = service.get(path);
        assert!(first.body == service.get(path).body, "{name} is drawn otherwise");
        let known = format!("If-None-Match: {}\r\n", tag(&first));
        let again = service.get_with(path, &known);
        assert_eq!((again.status, again.body.len()), (304, 0), "{name}");
        for other in ["&width=500", "&theme=night"] {
            let other = service.get(&format!("{path}{other}"));
            assert_ne!(tag(&first), tag(&other), "{name}");
            assert!(first.body != other.body, "{name} is drawn alike");
        }
    });
    let ladder = || service.get("/v1/players/rowan/ladder.svg");
    let before = ladder();
    service.stream(&crate::support::shot("new"));
    let after = ladder();
    assert_ne!(tag(&before), tag(&after));
    put(&service, "/v1/players/rowan/clubs/6i", &serde_json::json!({"name": "Renamed"}));
    assert_ne!(tag(&after), tag(&ladder()));
    assert!(ladder().text().contains("Renamed"));
}

#[test]
fn what_cannot_be_drawn_as_asked_is_refused_by_name() {
    let service = bag();
    let faults = |path: &str| {
        let answer = service.get(path);
        assert_eq!(answer.status, 422, "{path}: {}", answer.text());
        let told = answer.json();
        let named = told["errors"].as_array().unwrap().iter();
        named.map(|fault| fault["parameter"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let ladder = "/v1/players/rowan/ladder.svg";
    assert_eq!(
        faults(&format!("{ladder}?width=300&theme=neon&units=old")),
        ["theme", "width", "units"]
    );
    assert_eq!(faults(&format!("{ladder}?bag=none")), ["bag"]);
    let landings = "/v1/players/rowan/comparisons/landings.svg";
    assert_eq!(faults(landings), ["incumbent", "candidate"]);
    assert_eq!(faults(&format!("{landings}?incumbent=5h&candidate=none")), ["candidate"]);
    for lost in ["/v1/players/rowan/clubs/none/profile.svg", "/v1/players/none/ladder.svg"] {
        assert_eq!(service.get(lost).status, 404, "{lost}");
    }
}
