//! What is true after an erasure or a retirement.

use evencarry::{bag::Filter, shot::Flags};
use serde_json::json;

use crate::world::{self, World};

#[tokio::test]
async fn after_an_erasure_the_players_conclusions_start_anew() {
    let world = World::new();
    for ball_speed in [52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9, 52.2] {
        world.shot(world::struck(ball_speed)).await;
    }
    assert!(world.view(3).flags.intersects(Flags::MISHIT));
    world.erase(8).await;
    assert!(!world.view(3).flags.intersects(Flags::MISHIT), "seven shots judge nothing");
    assert!(!world.sees(8));
    let profile = world.profile("5h", &Filter::default());
    assert_eq!((profile.shots, profile.mishits, profile.as_of.get()), (7, 0, 9));
}

#[tokio::test]
async fn a_derived_visit_reaches_no_further_than_the_shots_that_are_left() {
    let world = World::new();
    for time in ["10:00", "11:20"] {
        world.shot(json!({"time": world::at(time)})).await;
    }
    world.erase(2).await;
    world.shot(json!({"time": world::at("12:40")})).await;
    let session = |sequence| world.view(sequence).session.unwrap();
    assert_eq!(session(4), "bay@2026-04-11T12:40:00Z", "nothing near is left");
    world.erase(1).await;
    world.shot(json!({"time": world::at("10:30")})).await;
    assert_eq!(
        session(6),
        "bay@2026-04-11T10:30:00Z",
        "the erased shot's visit is joined by nobody"
    );
}

#[tokio::test]
async fn a_retired_shot_counts_as_before_and_takes_part_in_what_comes() {
    let world = World::new();
    for ball_speed in [52.0, 52.4, 40.0, 51.8, 52.1, 52.3, 51.9] {
        world.shot(world::struck(ball_speed)).await;
    }
    world.retire(json!({"player": "rowan"})).await;
    let profile = world.profile("5h", &Filter::default());
    assert_eq!((profile.counted, profile.mishits, profile.as_of.get()), (7, 0, 7));
    assert!(!world.sees(3));
    world.shot(world::struck(52.2)).await;
    let profile = world.profile("5h", &Filter::default());
    assert_eq!(
        (profile.counted, profile.mishits),
        (7, 1),
        "the eighth shot judges the retired ones"
    );
}
