//! What is true after an erasure or a retirement.

use evencarry::{
    bag::Filter,
    live::{ExportError, Receipt},
    shot::Flags,
};
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

#[tokio::test]
async fn a_new_shot_that_names_an_erased_player_waits_until_somebody_puts_the_player_anew() {
    let world = World::new();
    let waits = Receipt::Shot { assigned: false, flags: Vec::new() };
    world.shot(json!({})).await;
    world.context(json!({"player": "rowan", "club": "5h"})).await;
    world.erase_player("rowan").await;
    assert_eq!(world.shot(json!({})).await, waits, "by name");
    assert_eq!(world.shot(json!({"player": null})).await, waits, "by a context of before");
    world.context(json!({"player": "marit", "club": "7i"})).await;
    assert_eq!(world.shot(json!({})).await, waits, "nor is it the context's player's");
    assert!(world.players().is_empty());
    assert!([4, 5, 7].iter().all(|shot| world.view(*shot).player.is_none()), "none is lost");

    world.player("rowan").await;
    assert!(matches!(world.shot(json!({})).await, Receipt::Shot { assigned: true, .. }));
    assert_eq!(world.profile("5h", &Filter::default()).shots, 1);
    let waiting = json!({"filter": {"unassigned": true}, "set": {"player": "rowan", "club": "5h"}});
    assert_eq!(world.assign(waiting).await, Ok(Receipt::Amended { matched: 3, changed: 3 }));
    assert_eq!(world.profile("5h", &Filter::default()).shots, 4);
}

#[tokio::test]
async fn an_export_of_one_player_breaks_off_when_a_shot_comes_to_the_player_or_goes() {
    let world = World::new();
    for player in ["rowan", "marit", "marit", "robin"] {
        world.shot(json!({"player": player})).await;
    }
    let of_all = world.export(None);
    for (shot, to, overtaken) in
        [(2, "rowan", true), (2, "robin", true), (2, "marit", false), (4, "robin", false)]
    {
        let export = world.export(Some("rowan"));
        assert!(world.told(&export, 1).is_ok());
        world.shot(json!({})).await;
        world.correct(1, json!({"lie": if shot == 2 { "tee" } else { "mat" }})).await;
        assert!(world.told(&export, 2).is_ok(), "what is the player's stays the player's");
        world.correct(shot, json!({"player": to})).await;
        let told = world.told(&export, 3);
        let broke_off = matches!(told, Err(ExportError::Overtaken));
        assert_eq!(broke_off, overtaken, "{shot} to {to}: {told:?}");
    }
    assert!(world.told(&of_all, 2).is_ok(), "an export of everything tells every shot anyway");
}

#[tokio::test]
async fn an_export_is_wrong_from_the_start_if_the_fold_knows_more_than_it_tells_of() {
    let world = World::new();
    for player in [json!("rowan"), json!(null), json!("marit")] {
        world.shot(json!({"player": player})).await;
    }
    let upto = world.last();
    let overtaken = |player: Option<&str>| {
        let export = world.export_upto(upto, player);
        let told: Vec<_> = (1..=upto).map(|frame| world.told(&export, frame)).collect();
        told.iter().all(|told| matches!(told, Err(ExportError::Overtaken)))
    };
    world.correct(2, json!({"player": "rowan"})).await;
    assert!(overtaken(Some("rowan")), "the second shot came to Rowan after the last frame");
    assert!(!overtaken(Some("marit")) && !overtaken(None));
    world.erase(3).await;
    assert!(
        overtaken(Some("marit")) && overtaken(None),
        "the third shot went after the last frame"
    );
    assert!(world.told(&world.export(None), 1).is_ok());
}

/// Journals of before the rule may hold what is refused today.
#[tokio::test]
async fn a_club_or_a_bag_of_an_erased_player_brings_nobody_back() {
    let world = World::new();
    world.player("rowan").await;
    world.club("5h", json!({"name": "Five"})).await;
    world.bag("b", &["5h"]).await;
    world.erase_player("rowan").await;
    let (player, club, bag, erasure) = (1, 2, 3, 4);
    let players = |order: &[u64]| world.folded_in_order(order).players().items.len();
    assert_eq!(players(&[player, club, bag]), 1);
    assert_eq!(players(&[player, erasure, club, bag]), 0);
    assert_eq!(players(&[player, erasure, player, club, bag]), 1);
}

#[tokio::test]
async fn a_correction_is_answered_with_the_shot_as_it_stands_then() {
    let world = World::new();
    world.shot(json!({})).await;
    let answer = |patch| world.correct_told(1, patch);
    match answer(json!({"lie": "tee"})).await {
        Receipt::Corrected(Some(view)) => assert_eq!(*view, world.view(1)),
        other => panic!("{other:?}"),
    }
    world.retire(json!({"player": "rowan"})).await;
    assert_eq!(answer(json!({"lie": "mat"})).await, Receipt::Corrected(None));
}
