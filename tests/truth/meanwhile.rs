//! What a question sees: pages whole, and nothing half done while others write.

use serde_json::{Value, json};

use super::world::World;

#[tokio::test]
async fn pages_in_either_order_and_by_any_filter_hold_every_shot_once() {
    let world = World::new();
    for number in 0..40 {
        let player = ["rowan", "marit"][number % 3 % 2];
        let club = if number % 5 == 0 { Value::Null } else { json!("5h") };
        world.shot(json!({"player": player, "club": club})).await;
    }
    let all: Vec<u64> = (1..=40).collect();
    for (filter, expected) in [
        (json!({}), all.clone()),
        (json!({"source": "bay"}), all.clone()),
        (json!({"player": "marit"}), all.iter().copied().filter(|n| (n - 1) % 3 == 1).collect()),
        (json!({"player": "marit", "lie": "sand"}), Vec::new()),
        (json!({"unassigned": true}), all.iter().copied().filter(|n| (n - 1) % 5 == 0).collect()),
    ] {
        for newest_first in [false, true] {
            for (limit, work) in [1, 3, 7, 100]
                .into_iter()
                .flat_map(|limit| [1, 2, 5, 100].map(|work| (limit, work)))
            {
                let mut listed = world.pages(&filter, (limit, work), newest_first);
                if newest_first {
                    listed.reverse();
                }
                assert_eq!(listed, expected, "{filter} {newest_first} {limit} {work}");
            }
        }
    }
}

#[test]
fn whatever_is_listed_while_shots_stream_in_can_be_read() {
    let world = World::new();
    std::thread::scope(|scope| {
        let streaming = scope.spawn(|| {
            let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
            runtime.block_on(async {
                for _ in 0..30 {
                    world.many(500).await;
                }
            });
        });
        while !streaming.is_finished() {
            for sequence in world.newest(5) {
                assert!(world.is_stored(sequence), "{sequence} is listed and not stored");
            }
        }
    });
}

#[test]
fn a_shot_that_changes_hands_is_always_somebodys() {
    let world = World::new();
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    runtime.block_on(world.many(2_000));
    std::thread::scope(|scope| {
        let moving = scope.spawn(|| {
            let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
            runtime.block_on(async {
                for player in ["marit", "rowan"].iter().cycle().take(20) {
                    let all = json!({"filter": {"source": "bay"}, "set": {"player": player}});
                    world.assign(all).await.unwrap();
                }
            });
        });
        while !moving.is_finished() {
            assert!(world.sees(1_000), "the shot is nobody's");
        }
    });
}

/// Asks for ladders while somebody writes; every one must have the rungs due at its `as_of`.
fn watch_ladders(
    world: &World,
    bag: Option<&str>,
    due: impl Fn(u64) -> usize,
    write: impl AsyncFn() + Send + Sync,
) {
    std::thread::scope(|scope| {
        let writing = scope.spawn(|| {
            let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
            runtime.block_on(write());
        });
        while !writing.is_finished() {
            if let Some((as_of, rungs)) = world.ladder(bag) {
                assert_eq!(rungs, due(as_of), "as of {as_of}");
            }
        }
    });
}

#[test]
fn a_ladder_knows_the_clubs_of_its_as_of_and_no_others() {
    let world = World::new();
    let due = |as_of| usize::try_from(as_of).unwrap();
    watch_ladders(&world, None, due, async || {
        for number in 0..1_000 {
            world.shot(json!({"club": format!("c{number}")})).await;
        }
    });
}

#[test]
fn a_ladder_of_a_bag_has_the_clubs_that_were_in_it_as_of_then() {
    let world = World::new();
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    runtime.block_on(async {
        world.shot(json!({"club": "5h"})).await;
        world.shot(json!({"club": "4u"})).await;
        world.bag("b", &["5h"]).await;
    });
    // The third frame put one club, the fourth two, and so on.
    let due = |as_of| if as_of % 2 == 1 { 1 } else { 2 };
    watch_ladders(&world, Some("b"), due, async || {
        for _ in 0..1_000 {
            world.bag("b", &["5h", "4u"]).await;
            world.bag("b", &["5h"]).await;
        }
    });
}
