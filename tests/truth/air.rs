//! What is computed of shots and air: in which air a slot is judged while shots come and go, and that the same
//! shots fly the same.

use evencarry::bag::{Brief, CarryAir, ConditionsQuestion};
use serde_json::{Value, json};

use super::world::World;

/// A tracked shot at such a temperature.
fn tracked(club: &str, visit: u32, degrees: f64) -> Value {
    json!({
        "club": club, "session": visit.to_string(), "lie": "mat",
        "launch": {"ball_speed_mps": 53.0, "launch_angle_deg": 14.0, "spin_rate_rpm": 4_300.0},
        "flight": {"carry_m": 158.0, "origin": "tracked"}, "air": {"temperature_c": degrees},
    })
}

/// One warm shot among cold ones is set aside and taken back again and again: with it the air differs, and
/// carries are taken to reference air; without it they stay as hit. An answer must be in the air that is due at
/// the sequence that it is as of.
#[test]
fn the_air_of_an_answer_is_that_of_the_shots_as_of_then() {
    let world = World::new();
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let warm = runtime.block_on(async {
        for visit in 0..4 {
            for _ in 0..6 {
                world.shot(tracked("5h", visit, 5.0)).await;
                world.shot(tracked("4u", visit, 5.0)).await;
            }
        }
        world.shot(tracked("4u", 3, 30.0)).await;
        world.last()
    });
    let slot = Brief { slot_low_m: Some(150.0), slot_high_m: Some(165.0), ..Brief::default() };
    let mut seen = [0, 0];
    std::thread::scope(|scope| {
        let writing = scope.spawn(|| {
            let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
            runtime.block_on(async {
                for _ in 0..750 {
                    world.correct(warm, json!({"set_aside": {"reason": "another ball"}})).await;
                    world.correct(warm, json!({"set_aside": null})).await;
                }
            });
        });
        while !writing.is_finished() {
            let told = world.replacements("5h", &["4u"], &slot);
            let is_in = (told.as_of.get() - warm).is_multiple_of(2);
            let due = if is_in { CarryAir::Reference } else { CarryAir::AsHit };
            assert_eq!(told.air, due, "as of {}", told.as_of.get());
            // Two dozen cold ones, and the warm one where it counts.
            let taken = told.reference_air.map(|told| told.shots);
            assert_eq!(taken, is_in.then_some(25), "as of {}", told.as_of.get());
            seen[usize::from(is_in)] += 1;
        }
    });
    assert!(seen.iter().all(|answers| *answers > 0), "{seen:?}");
}

#[tokio::test]
async fn two_clubs_fly_the_same_on_one_core_and_on_many() {
    let world = World::new();
    world.visits(3, |_| json!({})).await;
    let flown = |cores: usize| {
        let pair = world.to_fly("5h", "4u");
        let pool = rayon::ThreadPoolBuilder::new().num_threads(cores).build().unwrap();
        let told = pool.install(|| pair.fly(&ConditionsQuestion::default())).unwrap();
        assert!(told.reason.is_none());
        serde_json::to_string(&told).unwrap()
    };
    assert_eq!(flown(1), flown(5));
}
