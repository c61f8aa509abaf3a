//! What is true after each act: what a shot inherits, which visit it joins, what a correction
//! changes and what lifting it brings back, what counts.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod air;
mod assignments;
mod gone;
mod meanwhile;
mod world;

use evencarry::{
    bag::{Brief, CriterionState, Filter, Reason, Surface, VerdictWord},
    live::{Held, Receipt, Refusal},
    shot::{Flags, Lie},
};
use serde_json::{Value, json};
use world::{World, id};

const ONE: Held = Held { shots: 1, retired: 0 };

#[tokio::test]
async fn a_shot_without_player_or_club_waits_and_an_assignment_brings_it_in() {
    let world = World::new();
    let receipt = world.shot(json!({"player": null, "club": null})).await;
    assert_eq!(receipt, Receipt::Shot { assigned: false, flags: Vec::new() });
    assert_eq!(world.view(1).player, None);
    let assigned = world
        .assign(json!({"filter": {"source": "bay", "unassigned": true},
                       "set": {"player": "rowan", "club": "5h"}}))
        .await;
    assert_eq!(assigned.unwrap(), Receipt::Amended { matched: 1, changed: 1 });
    let view = world.view(1);
    assert_eq!((view.player, view.club), (Some(id("rowan")), Some(id("5h"))));
    assert_eq!(world.profile("5h", &Filter::default()).counted, 1);
}

#[tokio::test]
async fn the_contexts_club_is_that_of_the_contexts_player() {
    let world = World::new();
    world.context(json!({"player": "rowan", "club": "5h", "lie": "mat", "ball": "b"})).await;
    world.shot(json!({"player": null, "club": null, "lie": null, "ball": null})).await;
    world.shot(json!({"player": "rowan", "club": null})).await;
    world.shot(json!({"player": "marit", "club": null})).await;
    world.shot(json!({"player": null, "club": "7i"})).await;
    let club = |sequence| world.view(sequence).club;
    assert_eq!(club(2), Some(id("5h")), "all of it inherited");
    assert_eq!(club(3), Some(id("5h")), "the event names that player");
    assert_eq!(club(4), None, "another player's club is not guessed");
    assert_eq!(club(5), Some(id("7i")), "the event's own club goes first");
    let profile = world.profile("5h", &Filter::default());
    assert_eq!((profile.surface, profile.lies), (Some(Surface::Mat), vec![Lie::Mat]));
    assert_eq!(profile.ball, Some(id("b")));
}

#[tokio::test]
async fn what_a_source_is_stands_behind_its_context() {
    let world = World::new();
    world.source(json!({"name": "Bay", "lie": "fairway", "place": "outdoor"})).await;
    world.shot(json!({"lie": null})).await;
    world.context(json!({"lie": "tee"})).await;
    world.shot(json!({"lie": null})).await;
    world.shot(json!({"lie": "sand"})).await;
    let lies: Vec<_> = [Lie::Fairway, Lie::Tee, Lie::Sand]
        .map(|lie| world.profile("5h", &Filter { lie: Some(lie), ..Filter::default() }).counted)
        .to_vec();
    assert_eq!(lies, [1, 1, 1]);
}

#[tokio::test]
async fn shots_without_a_session_join_a_visit_within_ninety_minutes() {
    let world = World::new();
    for time in ["10:00", "11:30", "13:00:01", "12:10"] {
        world.shot(json!({"time": world::at(time)})).await;
    }
    let session = |sequence| world.view(sequence).session.unwrap();
    assert_eq!(session(1), "bay@2026-04-11T10:00:00Z");
    assert_eq!(session(2), session(1), "ninety minutes after the last are within");
    assert_ne!(session(3), session(1));
    assert_eq!(session(4), session(1), "the nearest visit, though the other began before");
    world.shot(json!({"time": world::at("12:10"), "session": "mine"})).await;
    assert_eq!(session(5), "mine");
}

#[tokio::test]
async fn a_correction_changes_what_is_effective_and_null_lifts_it() {
    let world = World::new();
    world.shot(json!({"club": "5h"})).await;
    world.correct(1, json!({"club": "4u", "set_aside": {"reason": "phone rang"}})).await;
    let view = world.view(1);
    assert_eq!(view.club, Some(id("4u")));
    assert_eq!(view.set_aside.unwrap().as_str(), "phone rang");
    assert_eq!(serde_json::to_value(&view.changed).unwrap()["club"], "4u");
    world.correct(1, json!({"club": null, "set_aside": null})).await;
    let view = world.view(1);
    assert_eq!((view.club, view.set_aside), (Some(id("5h")), None));
    assert!(view.changed.0.is_empty());
}

#[tokio::test]
async fn a_shot_that_changes_hands_keeps_its_visits_name_and_leaves_nothing_behind() {
    let world = World::new();
    world.shot(json!({})).await;
    world.shot(json!({})).await;
    let session = world.view(1).session;
    world.correct(1, json!({"player": "marit"})).await;
    let view = world.view(1);
    assert_eq!((view.player, view.session), (Some(id("marit")), session));
    assert_eq!(world.profile("5h", &Filter::default()).shots, 1);
    world.correct(1, json!({"player": null})).await;
    assert_eq!(world.profile("5h", &Filter::default()).shots, 2);
}

#[tokio::test]
async fn the_answer_to_a_shot_flags_a_mishit_from_the_eighth_on() {
    let world = World::new();
    for ball_speed in [52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9] {
        let receipt = world.shot(world::struck(ball_speed)).await;
        assert_eq!(receipt, Receipt::Shot { assigned: true, flags: Vec::new() });
    }
    assert!(!world.view(3).flags.intersects(Flags::MISHIT), "nothing is judged before the eighth");
    world.shot(world::struck(52.2)).await;
    assert!(world.view(3).flags.intersects(Flags::MISHIT));
    let receipt = world.shot(world::struck(41.0)).await;
    assert_eq!(receipt, Receipt::Shot { assigned: true, flags: vec!["mishit".to_owned()] });
    let profile = world.profile("5h", &Filter::default());
    assert_eq!((profile.counted, profile.mishits, profile.mishit_rate.n), (7, 2, 9));
}

#[tokio::test]
async fn a_shot_without_speeds_counts_as_unscreened() {
    let world = World::new();
    let receipt = world.shot(json!({})).await;
    assert_eq!(receipt, Receipt::Shot { assigned: true, flags: vec!["unscreened".to_owned()] });
    assert_eq!(world.profile("5h", &Filter::default()).counted, 1);
}

#[tokio::test]
async fn warm_up_part_and_shaped_shots_do_not_count_unless_asked_for() {
    let world = World::new();
    world.shot(json!({"purpose": "warm_up"})).await;
    world.shot(json!({"intent": {"swing": "part"}})).await;
    world.shot(json!({"intent": {"height": "low"}})).await;
    world.shot(json!({})).await;
    assert_eq!(world.profile("5h", &Filter::default()).counted, 1);
    let low = Filter::default().with_intent(
        evencarry::shot::Height::Low,
        evencarry::shot::Shape::Straight,
        evencarry::shot::Swing::Full,
    );
    assert_eq!(world.profile("5h", &low).counted, 1);
}

#[tokio::test]
async fn late_and_hasty_clocks_are_flagged_and_dropped_by_nobody() {
    let world = World::new();
    world.shot(json!({"time": "2026-04-12T13:00:00Z"})).await;
    world.shot(json!({"time": "2027-01-01T00:00:00Z"})).await;
    world.shot(json!({"time": "2026-04-11T12:59:59Z"})).await;
    world.shot(json!({"time": "2026-04-11T13:00:00Z"})).await;
    let flags = |sequence| world.view(sequence).flags.without(Flags::UNSCREENED);
    assert_eq!(flags(1), Flags::NONE);
    assert_eq!(flags(2), Flags::CLOCK_AHEAD);
    assert_eq!(flags(3), Flags::LATE, "a clock that runs ahead makes nobody else late");
    assert_eq!(flags(4), Flags::NONE, "a day is not more than a day");
}

#[tokio::test]
async fn a_new_build_starts_new_evidence_by_the_senders_calendar() {
    let world = World::new();
    world.shot(json!({"time": "2026-04-10T23:30:00-02:00"})).await;
    world.shot(json!({"time": "2026-04-11T00:30:00+02:00"})).await;
    world
        .club("5h", json!({"name": "5-hybrid", "builds": [{"from": "2026-04-11", "what": "bent"}]}))
        .await;
    let profile = world.profile("5h", &Filter::default());
    assert_eq!(
        (profile.shots, profile.counted),
        (2, 1),
        "the second was hit on the day of the build"
    );
    assert_eq!(profile.build.as_deref(), Some("bent"));
}

#[tokio::test]
async fn a_player_or_club_with_shots_stays_and_one_without_goes() {
    let world = World::new();
    world.shot(json!({})).await;
    world.club("4u", json!({"name": "4-utility"})).await;
    assert_eq!(world.remove_club("5h").await, Err(Refusal::HasShots { held: ONE }));
    assert_eq!(world.remove_club("4u").await, Ok(Receipt::Done));
    assert_eq!(world.remove_club("4u").await, Err(Refusal::UnknownClub(id("4u"))));
    world.correct(1, json!({"club": "6i"})).await;
    let refused = world.remove_club("5h").await;
    assert_eq!(refused, Err(Refusal::HasShots { held: ONE }), "the correction can be lifted");
}

#[tokio::test]
async fn spin_from_a_club_setting_proves_nothing_and_says_why() {
    let world = World::new();
    world
        .visits(10, |club| {
            if club == "4u" { json!({"spin_origin": "from_club_setting"}) } else { json!({}) }
        })
        .await;
    let answer = world.replacements("5h", &["4u"], &Brief::default());
    let candidate = &answer.candidates[0];
    assert_eq!(candidate.verdict, VerdictWord::Undecided, "{candidate:#?}");
    assert_eq!(candidate.why.as_deref(), Some("spin is not measured"));
    let spin = candidate.criteria.iter().find(|c| c.metric == "spin_rate_rpm").unwrap();
    assert_eq!(spin.state, CriterionState::Open);
    assert!(spin.hindered_by.unwrap().contains("club setting"));
    assert!(!candidate.family.holds);
}

#[tokio::test]
async fn a_comparison_says_what_it_left_out() {
    let world = World::new();
    world.visits(3, |_| json!({})).await;
    world.shot(json!({"club": "4u", "session": "alone"})).await;
    world.shot(json!({"club": "4u", "session": "1", "lie": "sand"})).await;
    world.shot(json!({"club": "5h", "purpose": "warm_up"})).await;
    let last = world.last();
    world.shot(json!({"club": "5h"})).await;
    world.correct(last + 1, json!({"set_aside": {"reason": "disturbed"}})).await;
    let comparison = world.comparison("5h", "4u", &Filter::default());
    let left_out: Vec<_> =
        comparison.left_out.iter().map(|left| (left.reason, left.shots)).collect();
    assert_eq!(left_out, [(Reason::SetAside, 1), (Reason::WarmUp, 1), (Reason::NoPartner, 2)]);
    assert_eq!((comparison.shots.incumbent, comparison.shots.candidate), (18, 18));
    assert_eq!(comparison.sessions, 3);
}

#[tokio::test]
async fn a_slot_and_a_launch_floor_judge_the_candidates_own_means() {
    let world = World::new();
    world.visits(12, |_| json!({})).await;
    let brief = Brief {
        slot_low_m: Some(145.0),
        slot_high_m: Some(170.0),
        launch_floor_deg: Some(15.5),
        must_carry_m: Some(150.0),
        ..Brief::default()
    };
    let answer = world.replacements("5h", &["4u"], &brief);
    let criteria = &answer.candidates[0].criteria;
    assert!((criteria[0].at_least.unwrap() - 145.0).abs() < 1e-9);
    assert!((150.0..165.0).contains(&criteria[0].interval.estimate.unwrap()), "its own carry");
    let floor = criteria.iter().find(|c| c.at_least == Some(15.5)).unwrap();
    assert_eq!(floor.state, CriterionState::Broken, "it launches at 13.5");
    assert_eq!(answer.candidates[0].verdict, VerdictWord::DoesNotReplace);
    assert_eq!(answer.candidates[0].must_carry.unwrap().n, 72);
}

#[tokio::test]
async fn without_names_the_neighbours_are_judged_and_never_a_putter_or_a_far_club() {
    let world = World::new();
    world.visits(2, |_| json!({})).await;
    for (club, carry) in [("7i", 120.0), ("pt", 158.0), ("6i", 145.0)] {
        for _ in 0..3 {
            world.shot(json!({"club": club, "flight": {"carry_m": carry}})).await;
        }
    }
    world.club("pt", json!({"name": "putter", "kind": "putter"})).await;
    let answer = world.replacements("5h", &[], &Brief::default());
    let mut judged: Vec<_> = answer.candidates.iter().map(|one| one.club.as_str()).collect();
    judged.sort_unstable();
    assert_eq!(judged, ["4u", "6i"]);
}

#[tokio::test]
async fn a_ball_that_comes_back_is_the_same_ball_and_one_that_was_named_stays() {
    let world = World::new();
    world.ball("x").await;
    assert_eq!(world.remove_ball("x").await, Ok(Receipt::Done));
    world.shot(json!({"ball": "x"})).await;
    let with_ball = Filter { ball: Some(id("x")), ..Filter::default() };
    assert_eq!(world.profile("5h", &with_ball).counted, 1);
    assert_eq!(world.remove_ball("x").await, Err(Refusal::HasShots { held: ONE }));
    world.shot(json!({})).await;
    world.correct(world.last(), json!({"ball": "y"})).await;
    assert_eq!(world.remove_ball("y").await, Err(Refusal::HasShots { held: ONE }));
}

#[tokio::test]
async fn flights_that_no_screen_judges_have_no_mishit_rate() {
    let world = World::new();
    for _ in 0..9 {
        let mut shot = world::struck(52.0);
        shot["intent"] = json!({"height": "low"});
        world.shot(shot).await;
    }
    let low = Filter::default().with_intent(
        evencarry::shot::Height::Low,
        evencarry::shot::Shape::Straight,
        evencarry::shot::Swing::Full,
    );
    let profile = world.profile("5h", &low);
    assert_eq!((profile.counted, profile.mishit_rate.share), (9, None));
}

#[tokio::test]
async fn what_a_clubs_own_mean_rests_on_follows_the_questions_time_and_intent() {
    let world = World::new();
    for _ in 0..20 {
        world.shot(json!({"time": "2026-03-01T10:00:00Z"})).await;
    }
    for number in 0..10 {
        let carry = 158.0 + f64::from(number % 3);
        let members = json!({"lie": "fairway", "flight": {"carry_m": carry},
                             "intent": {"height": "low"}});
        world.shot(members.clone()).await;
        let mut plain = members;
        plain["intent"] = Value::Null;
        world.shot(plain).await;
    }
    let since = Filter { from: Some("2026-04-01T00:00:00Z".parse().unwrap()), ..Filter::default() };
    assert_eq!(world.profile("5h", &Filter::default()).surface, Some(Surface::Mat));
    assert_eq!(world.profile("5h", &since).surface, Some(Surface::Turf));
    let brief = Brief {
        slot_low_m: Some(150.0),
        slot_high_m: Some(165.0),
        filter: since,
        ..Brief::default()
    };
    world.club("7i", json!({"name": "7-iron"})).await;
    let answer = world.replacements("7i", &["5h"], &brief);
    assert_eq!(answer.candidates[0].surface, Some(Surface::Turf));
    assert!(answer.candidates[0].criteria[0].interval.estimate.is_some(), "its own carry is known");
    let low = Brief {
        filter: Filter::default().with_intent(
            evencarry::shot::Height::Low,
            evencarry::shot::Shape::Straight,
            evencarry::shot::Swing::Full,
        ),
        ..Brief::default()
    };
    world.shot(json!({"club": "4u", "lie": "fairway", "intent": {"height": "low"}})).await;
    world.shot(json!({"club": "4u", "lie": "fairway", "intent": {"height": "low"}})).await;
    let answer = world.replacements("5h", &[], &low);
    assert_eq!(answer.candidates.len(), 1, "the neighbour of the low flight");
}
