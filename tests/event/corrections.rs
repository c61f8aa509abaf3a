//! Corrections of one shot, and assignments of many.

use crate::invalid;
use evencarry::shot::{
    Act, Assignment, Change, ClubId, Correction, Flags, Height, Lie, Purpose, Reason, Sequence,
    Shape, Swing,
};
use serde_json::{Value, json};

fn correction(patch: &Value) -> Correction {
    Correction::from_json(patch.to_string().as_bytes()).unwrap()
}

/// The pointers and words of a patch's faults.
fn told(patch: &Value) -> Vec<(String, String)> {
    let faults = invalid(Correction::from_json(patch.to_string().as_bytes()));
    faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect()
}

#[test]
fn a_patch_sets_lifts_and_keeps() {
    let patch = correction(&json!({"club": "4i", "lie": null, "wet": true, "purpose": "trial"}));
    assert_eq!(patch.club, Change::Set(ClubId::parse("4i").unwrap()));
    assert_eq!(patch.lie, Change::Lift);
    assert_eq!(patch.wet, Change::Set(true));
    assert_eq!(patch.purpose, Change::Set(Purpose::Trial));
    assert!(patch.player.is_keep() && patch.ball.is_keep() && patch.set_aside.is_keep());
    assert!(correction(&json!({})).is_empty());
    assert!(!patch.is_empty());
}

#[test]
fn an_intent_is_patched_whole_or_by_its_members() {
    let patch = correction(&json!({"intent": {"height": "low", "shape": null}}));
    assert_eq!(
        (patch.height, patch.shape, patch.swing),
        (Change::Set(Height::Low), Change::Lift, Change::Keep)
    );
    let patch = correction(&json!({"intent": null}));
    assert_eq!(
        (patch.height, patch.shape, patch.swing),
        (Change::Lift, Change::Lift, Change::Lift)
    );
    assert!(correction(&json!({"intent": {}})).is_empty());
    assert_eq!(told(&json!({"intent": "low"}))[0].0, "/intent");
    assert_eq!(told(&json!({"intent": {"heigth": "low"}}))[0].0, "/intent/heigth");
}

#[test]
fn a_shot_is_set_aside_for_a_reason() {
    let patch = correction(&json!({"set_aside": {"reason": "phone rang"}}));
    assert_eq!(patch.set_aside, Change::Set(Reason::parse("phone rang").unwrap()));
    assert_eq!(correction(&json!({"set_aside": null})).set_aside, Change::Lift);
    for (patch, pointer) in [
        (json!({"set_aside": {}}), "/set_aside/reason"),
        (json!({"set_aside": {"reason": ""}}), "/set_aside/reason"),
        (json!({"set_aside": {"reason": null}}), "/set_aside/reason"),
        (json!({"set_aside": true}), "/set_aside"),
    ] {
        let faults = told(&patch);
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert_eq!(faults[0].0, pointer);
    }
}

#[test]
fn what_was_measured_is_not_patched() {
    for member in [
        "launch", "flight", "clubhead", "air", "wind", "target", "ground", "time", "id", "source",
        "ext", "carry_m",
    ] {
        let faults = told(&json!({member: {}}));
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0, format!("/{member}"));
        assert!(
            faults[0].1.contains("set the shot aside and send it anew under another id"),
            "{}",
            faults[0].1
        );
    }
    let faults = told(&json!({"clib": "4i"}));
    assert!(faults[0].1.contains("the nearest known one is club"), "{}", faults[0].1);
}

#[test]
fn all_faults_of_a_patch_are_told_at_once() {
    let faults = told(&json!({"club": "..", "lie": "moon", "wet": "no", "flight": {}}));
    let mut pointers: Vec<_> = faults.into_iter().map(|fault| fault.0).collect();
    pointers.sort();
    assert_eq!(pointers, ["/club", "/flight", "/lie", "/wet"]);
}

#[test]
fn later_corrections_go_before_earlier_ones_member_by_member() {
    let mut state = correction(&json!({"club": "4i", "lie": "mat", "intent": {"swing": "part"}}));
    state.then(&correction(&json!({"club": "5i", "lie": null, "purpose": "course"})));
    assert_eq!(state.club, Change::Set(ClubId::parse("5i").unwrap()));
    assert_eq!((state.lie, state.swing), (Change::Lift, Change::Set(Swing::Part)));
    assert_eq!(state.purpose, Change::Set(Purpose::Course));
}

fn assignment(document: &Value) -> Assignment {
    Assignment::from_json(document.to_string().as_bytes()).unwrap()
}

#[test]
fn an_assignment_has_a_filter_and_what_to_set() {
    let read = assignment(
        &json!({"filter": {"source": "bay-3", "last": 6}, "set": {"club": "4i"}, "dry_run": true}),
    );
    assert_eq!(read.filter.last, Some(6));
    assert_eq!(read.filter.source.unwrap().as_str(), "bay-3");
    assert!(read.dry_run);
    let read = assignment(&json!({
        "filter": {
            "player": "rowan", "club": "5h", "session": "s", "lie": "mat", "height": "low",
            "shape": "draw", "swing": "part", "purpose": "trial", "ball": "b", "source": "s",
            "id": "7", "flag": "unusual:/launch/ball_speed_mph",
            "from": "2026-04-11T10:00:00Z", "to": "2026-04-11T10:00:00-01:00", "unassigned": false
        },
        "set": {"club": null}
    }));
    assert!(!read.dry_run && read.set.club == Change::Lift);
    assert_eq!((read.filter.lie, read.filter.shape), (Some(Lie::Mat), Some(Shape::Draw)));
    assert_eq!(read.filter.to, Some("2026-04-11T11:00:00Z".parse().unwrap()));
    assert_eq!(read.filter.unassigned, Some(false));
    assert_eq!(read.filter.flag, Flags::parse("unusual:/launch/ball_speed_mps"));
}

#[test]
fn an_assignment_never_takes_the_whole_store_by_an_empty_filter() {
    let told =
        |document: Value| invalid(Assignment::from_json(document.to_string().as_bytes())).remove(0);
    let fault = told(json!({"filter": {}, "set": {"club": "4i"}}));
    assert_eq!(fault.pointer, "/filter");
    assert!(fault.detail.contains("every shot of the store"), "{}", fault.detail);
    assert_eq!(told(json!({"set": {"club": "4i"}})).pointer, "/filter");
    assert_eq!(told(json!({"filter": {"last": 1}})).pointer, "/set");
}

#[test]
fn an_assignment_that_sets_nothing_is_refused() {
    for set in [json!({}), json!({"intent": {}})] {
        let document = json!({"filter": {"last": 1, "id": "7"}, "set": set});
        let faults = invalid(Assignment::from_json(document.to_string().as_bytes()));
        let pointers: Vec<_> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
        assert_eq!(pointers, ["/filter/id", "/set"]);
        assert!(faults[1].detail.contains("send a member"), "{}", faults[1].detail);
    }
}

#[test]
fn a_faulty_filter_is_told_all_its_faults() {
    let document = json!({
        "filter": {"sorce": "bay-3", "last": 0, "from": "2026-04-11T10:00:00Z",
            "to": "2026-04-11T10:00:00Z", "lie": 3, "id": "7", "flag": "odd"},
        "set": {"flight": {}},
        "dry": true
    });
    let faults = invalid(Assignment::from_json(document.to_string().as_bytes()));
    let mut pointers: Vec<_> = faults.into_iter().map(|fault| fault.pointer).collect();
    pointers.sort();
    assert_eq!(
        pointers,
        [
            "/dry",
            "/filter",
            "/filter/flag",
            "/filter/id",
            "/filter/last",
            "/filter/lie",
            "/filter/sorce",
            "/set/flight"
        ]
    );
}

#[test]
fn acts_on_shots_read_back_from_the_journal() {
    let patch = correction(&json!({
        "player": "rowan", "club": null, "intent": {"height": "high", "swing": null}, "wet": false,
        "set_aside": {"reason": "slipped"}
    }));
    let filter = json!({"filter": {"unassigned": true, "from": "2026-04-11T10:00:00.5Z"}, "set": {"lie": "tee"}});
    let Assignment { filter, set, .. } = assignment(&filter);
    let shots = [3, 4, 9].into_iter().map(Sequence::new).collect();
    let assign = Act::Assign { filter: Box::new(filter), shots, set, left: Vec::new() };
    let acts = [Act::Correct { shot: Sequence::new(42), patch }, assign];
    for act in acts {
        let text = serde_json::to_string(&act).unwrap();
        assert_eq!(serde_json::from_str::<Act>(&text).unwrap(), act, "{text}");
    }
}
