//! Assignments by any filter: what they find, and that they find it once.

use evencarry::{
    live::Receipt,
    shot::{ACT_SHOTS_MAX, Correction, Flags, ShotFilter},
};
use serde_json::{Value, json};

use super::world::{World, at, id, struck};

fn found(world: &World, filter: Value) -> Vec<u64> {
    world.find(filter).iter().map(evencarry::shot::Sequence::get).collect()
}

/// Shots 1 to 6: rowan's and marit's from two bays, one of nobody, one without a club.
async fn mixed() -> World {
    let world = World::new();
    world.shot(json!({"time": at("10:00")})).await;
    world.shot(json!({"player": "marit", "club": "7i", "time": at("10:05")})).await;
    world.shot(json!({"source": "bay-2", "lie": "sand", "time": at("10:10")})).await;
    world.shot(json!({"player": null, "club": null, "time": at("10:15")})).await;
    world.shot(json!({"club": null, "time": at("10:20")})).await;
    world.shot(json!({"player": "marit", "source": "bay-2", "time": at("10:25")})).await;
    world
}

#[tokio::test]
async fn a_filter_without_player_or_source_looks_at_everybody() {
    let world = mixed().await;
    assert_eq!(found(&world, json!({"club": "5h"})), [1, 3, 6]);
    assert_eq!(found(&world, json!({"lie": "sand"})), [3]);
    assert_eq!(found(&world, json!({"unassigned": true})), [4, 5]);
    assert_eq!(found(&world, json!({"unassigned": false})), [1, 2, 3, 6]);
    assert_eq!(found(&world, json!({"last": 4})), [3, 4, 5, 6]);
    assert_eq!(found(&world, json!({"source": "bay-2", "last": 1})), [6]);
    let times = json!({"from": "2026-04-11T10:10:00Z", "to": "2026-04-11T10:20:00Z"});
    assert_eq!(found(&world, times), [3, 4]);
    assert_eq!(found(&world, json!({"club": "none"})), [0_u64; 0]);
}

#[tokio::test]
async fn a_flag_finds_what_was_odd_on_arrival_and_what_the_shots_around_say() {
    let world = World::new();
    for ball_speed in [52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9, 52.2] {
        world.shot(struck(ball_speed)).await;
    }
    world.shot(json!({"time": "2027-01-01T00:00:00Z"})).await;
    let flag = |flag: Flags| json!({"flag": flag});
    assert_eq!(found(&world, flag(Flags::MISHIT)), [3]);
    assert_eq!(found(&world, flag(Flags::UNSCREENED)), [9]);
    assert_eq!(found(&world, flag(Flags::CLOCK_AHEAD)), [9]);
    let done = world
        .assign(json!({"filter": {"player": "rowan", "flag": "mishit"}, "set": {"club": "4i"}}))
        .await;
    assert_eq!(done, Ok(Receipt::Amended { matched: 1, changed: 1 }));
    assert_eq!(world.view(3).club, Some(id("4i")));
}

#[tokio::test]
async fn a_flag_is_found_however_many_shots_lie_before_it() {
    let world = World::new();
    world.many(20_005).await;
    for ball_speed in [52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9, 52.2] {
        world.shot(struck(ball_speed)).await;
    }
    world.many(20_005).await;
    for by in [json!({"player": "rowan"}), json!({"source": "bay"}), json!({})] {
        let mut filter = by;
        filter["flag"] = json!(Flags::MISHIT);
        for newest_first in [false, true] {
            assert_eq!(world.pages(&filter, (100, 20_000), newest_first), [20_008], "{filter}");
        }
    }
}

#[tokio::test]
async fn shots_that_no_longer_pass_when_their_turn_comes_are_left_alone() {
    let world = World::new();
    world.shot(json!({"player": null, "club": null})).await;
    world.shot(json!({"player": null, "club": null})).await;
    let filter: ShotFilter = serde_json::from_value(json!({"unassigned": true})).unwrap();
    let shots = world.find(json!({"unassigned": true}));
    world.correct(1, json!({"player": "marit", "club": "7i"})).await;
    let set = Correction::from_json(br#"{"player": "rowan", "club": "5h"}"#).unwrap();
    let done = world.assign_these(filter, shots, set).await;
    assert_eq!(done, Ok(Receipt::Amended { matched: 1, changed: 1 }));
    assert_eq!(world.view(1).player, Some(id("marit")), "somebody said so meanwhile");
    assert_eq!(world.view(2).player, Some(id("rowan")));
}

#[tokio::test]
async fn one_act_corrects_a_bounded_number_of_shots() {
    let world = World::new();
    world.many(u32::try_from(ACT_SHOTS_MAX).unwrap() + 1).await;
    let wide = json!({"filter": {"lie": "mat"}, "set": {"ball": "b"}});
    assert_eq!(world.assign(wide).await, Ok(Receipt::Amended { matched: 0, changed: 0 }));
    let all = world.assign(json!({"filter": {"player": "rowan"}, "set": {"ball": "b"}})).await;
    assert_eq!(all, Err(evencarry::live::Refusal::TooMany));
    let newest = json!({"filter": {"last": 2}, "set": {"ball": "b"}});
    assert_eq!(world.assign(newest).await, Ok(Receipt::Amended { matched: 2, changed: 2 }));
}
