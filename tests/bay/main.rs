//! A day in a bay, as it goes: the device knows neither player nor club, the player forgets to
//! change the club, the network is cut, the phone rings, a new batch of balls is opened. Once all is
//! put right, the verdict is that of the record that a careful scribe would have kept.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod shots;

use serde_json::{Value, json};

use shots::{Club, Hit, history, the_day};
use support::Running;

/// Who answers the questions about rowan.
struct Bay(Running);

impl Bay {
    /// A bay that has seen twelve visits before, each shot with all that is known of it.
    fn with_history() -> Self {
        let bay = Self(Running::start());
        bay.done(
            "PUT",
            "/v1/sources/bay-3",
            &json!({"name": "Bay 3", "place": "indoor", "lie": "mat"}),
        );
        bay.done("PUT", "/v1/players/rowan", &json!({"name": "Rowan"}));
        for (club, loft) in [("5h", 25), ("4u", 22)] {
            let path = format!("/v1/players/rowan/clubs/{club}");
            bay.done("PUT", &path, &json!({"name": club, "kind": "hybrid", "loft_deg": loft}));
        }
        bay.record(&history());
        bay
    }

    /// Does what must succeed.
    fn done(&self, method: &str, path: &str, body: &Value) -> Value {
        let answer = self.0.send(method, path, &body.to_string());
        assert!((200..300).contains(&answer.status), "{method} {path} {body}: {}", answer.text());
        answer.json()
    }

    /// The careful scribe: every shot with player, club and ball.
    fn record(&self, hits: &[Hit]) {
        self.stream(&hits.iter().map(Hit::in_full).collect::<Vec<_>>());
    }

    /// What the device sends: what it measured, and nothing else.
    fn measure(&self, hits: &[Hit]) {
        for hit in hits {
            self.done("POST", "/v1/shots", &hit.measured());
        }
    }

    fn stream(&self, events: &[Value]) {
        let lines: Vec<String> = events.iter().map(Value::to_string).collect();
        let lines = lines.join("\n");
        let answer = self.0.stream(&lines).json();
        assert_eq!(answer["accepted"], events.len(), "{answer}");
    }

    fn set_context(&self, club: Club, ball: &str) {
        let context = json!({"player": "rowan", "club": club.id(), "ball": ball});
        self.done("PUT", "/v1/sources/bay-3/context", &context);
    }

    /// Assigns, and says how many shots that changed.
    fn assign(&self, filter: &Value, set: &Value) -> u64 {
        let done = self.done("POST", "/v1/assignments", &json!({"filter": filter, "set": set}));
        assert_eq!(done["matched"], done["changed"], "{done}");
        done["changed"].as_u64().unwrap()
    }

    /// What is asked of the pair, without the place in the order that it was asked at.
    fn ask(&self, path: &str) -> Value {
        let answer = self.0.get(&format!("/v1/players/rowan/{path}"));
        assert_eq!(answer.status, 200, "{}", answer.text());
        let mut answer = answer.json();
        answer.as_object_mut().unwrap().remove("as_of");
        answer
    }

    fn verdicts(&self) -> Value {
        self.ask("replacements?incumbent=5h&candidate=4u")
    }
}

/// The day as the bay lives it.
fn lived(bay: &Bay) {
    let day = the_day();
    // Nobody has told the bay who is hitting.
    bay.measure(&day.before_anyone_was_named);
    bay.set_context(Club::Incumbent, "range-b");
    let waiting = json!({"source": "bay-3", "unassigned": true});
    let named = json!({"player": "rowan", "club": "5h", "ball": "range-b"});
    assert_eq!(bay.assign(&waiting, &named), 4);
    bay.measure(&day.first_stint);
    // The player has taken the other club and told nobody, for six balls.
    bay.measure(&day.club_not_changed);
    assert_eq!(bay.assign(&json!({"source": "bay-3", "last": 6}), &json!({"club": "4u"})), 6);
    bay.set_context(Club::Candidate, "range-b");
    bay.measure(&day.second_stint);
    // The network is cut; what the device kept arrives when the player is long back at the other.
    bay.set_context(Club::Incumbent, "range-b");
    bay.measure(&day.after_the_cut);
    bay.stream(&day.kept_by_the_device.iter().map(Hit::measured).collect::<Vec<_>>());
    let stretch = |hits: &[Hit]| json!({"source": "bay-3", "from": hits[0].time(), "to": day.after_the_cut[0].time()});
    let late = stretch(&day.kept_by_the_device);
    assert_eq!(bay.assign(&late, &json!({"club": "4u"})), 6);
    // A bag of new balls is opened.
    for (hits, club) in
        [(&day.new_balls_incumbent, Club::Incumbent), (&day.new_balls_candidate, Club::Candidate)]
    {
        bay.set_context(club, "range-c");
        bay.measure(hits);
    }
    for disturbed in &day.disturbed {
        let path = format!("/v1/shots/bay-3/{}", disturbed.id());
        bay.done("PATCH", &path, &json!({"set_aside": {"reason": "phone rang"}}));
    }
}

#[test]
fn the_verdict_of_a_day_put_right_is_that_of_the_clean_record() {
    let day = the_day();
    let (messy, clean) = (Bay::with_history(), Bay::with_history());
    let before = messy.verdicts();
    lived(&messy);
    clean.record(&day.as_it_arrived());
    let (mut judged, clean_record) = (messy.verdicts(), clean.verdicts());
    assert_ne!(judged, before, "the day counted");
    // The scribe did not even write down the two that do not count.
    let left_out = judged["candidates"][0]["left_out"].take();
    assert_eq!(left_out, json!([{"reason": "set_aside", "shots": 2}]));
    judged["candidates"][0]["left_out"] = json!([]);
    let with_them = judged["candidates"][0]["with_all"].take();
    assert_eq!(with_them["verdict"], "replaces", "they would have changed nothing: {with_them}");
    assert_eq!(judged, clean_record);
    assert_eq!(judged["candidates"][0]["verdict"], "replaces", "{judged}");
    for differences in ["sessions", "shots", "differences"] {
        let compared = |bay: &Bay| bay.ask("comparisons?incumbent=5h&candidate=4u");
        assert_eq!(compared(&messy)[differences], compared(&clean)[differences]);
    }
    for club in ["5h", "4u"] {
        let profile = |bay: &Bay| bay.ask(&format!("clubs/{club}/profile"));
        for member in ["metrics", "by_ball", "counted", "mishits", "sessions"] {
            assert_eq!(profile(&messy)[member], profile(&clean)[member], "{club} {member}");
        }
    }
    assert_eq!(messy.ask("ladder")["rungs"], clean.ask("ladder")["rungs"]);
}

#[test]
fn a_batch_that_comes_late_changes_no_verdict() {
    let day = the_day();
    let (late, in_time) = (Bay::with_history(), Bay::with_history());
    late.record(&day.as_it_arrived());
    in_time.record(&day.as_it_was_hit());
    let word = |bay: &Bay| {
        let candidate = bay.verdicts()["candidates"][0].clone();
        let states: Vec<Value> = candidate["criteria"]
            .as_array()
            .unwrap()
            .iter()
            .map(|criterion| criterion["state"].clone())
            .collect();
        (candidate["verdict"].clone(), states)
    };
    assert_eq!(word(&late), word(&in_time));
}

#[test]
fn left_as_it_came_the_day_would_say_something_else() {
    let day = the_day();
    let (untouched, clean) = (Bay::with_history(), Bay::with_history());
    untouched.set_context(Club::Incumbent, "range-b");
    untouched.measure(&day.as_it_arrived());
    clean.record(&day.as_it_arrived());
    assert_ne!(untouched.verdicts()["candidates"], clean.verdicts()["candidates"]);
}
