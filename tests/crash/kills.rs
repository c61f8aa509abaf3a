//! Kills at any moment, round after round on one data folder.

use std::time::{Duration, Instant};

use crate::answers;
use crate::dice::Dice;
use crate::service::{End, Service};
use crate::world::{Survivors, World};

/// Rounds unless the environment names another number.
const ROUNDS: u64 = 8;
/// The variable that names a number of rounds.
const ROUNDS_VARIABLE: &str = "CRASH_ROUNDS";
/// All answers are compared with those of a fresh fold after every so many rounds.
const FOLD_EVERY: u64 = 5;
/// A round is ended after at most so many answers.
const LONGEST_ROUND: u64 = 200;

fn rounds() -> u64 {
    let named = std::env::var(ROUNDS_VARIABLE).ok();
    named.map_or(ROUNDS, |text| text.parse().expect("CRASH_ROUNDS is a number"))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_kill_loses_doubles_or_changes_what_was_acknowledged() {
    let mut dice = Dice::of_this_run();
    let mut world = World::new(&mut dice);
    let mut kills = 0;
    let mut survivors = Survivors::default();
    let mut compared = 0;
    let mut usual = Duration::from_millis(300);
    for round in 1..=rounds() {
        kills += kill_while_it_opens(&world, usual, &mut dice);
        let begin = Instant::now();
        let (mut service, mut address) = Service::serving(&world.data());
        usual = begin.elapsed();
        survivors += world.compare(&address).await;
        if round % FOLD_EVERY == 0 {
            compared = compare_with_fresh_fold(&world, service, &address).await;
            (service, address) = Service::serving(&world.data());
        }
        let mut end = None;
        let upto = 1 + dice.below(LONGEST_ROUND);
        world.load(&address, upto, || end = Some(service.kill())).await;
        assert_quiet(&end.unwrap());
        kills += 1;
    }
    let (service, address) = Service::serving(&world.data());
    survivors += world.compare(&address).await;
    compared = compared.max(compare_with_fresh_fold(&world, service, &address).await);
    eprintln!(
        "{} rounds, {kills} kills: {} shots and {} deeds acknowledged, 0 lost; {} shots and {} deeds \
         in doubt were there; {compared} answers as a fresh fold gives them",
        rounds(),
        world.stored(),
        world.deeds(),
        survivors.shots,
        survivors.deeds,
    );
}

/// Kills a service while it starts, up to twice in a row; how often.
fn kill_while_it_opens(world: &World, usual: Duration, dice: &mut Dice) -> u64 {
    let times = dice.below(3);
    for _ in 0..times {
        let mut service = Service::start(world.data());
        let moment = Duration::from_micros(dice.below(2 * micros(usual)));
        // Whether it got as far as to serve does not matter.
        drop(service.address_within(moment));
        assert_quiet(&service.kill());
    }
    times
}

fn micros(duration: Duration) -> u64 {
    u64::try_from(duration.as_micros()).unwrap().max(1)
}

/// Asks a service everything, ends it, and compares; how many answers there were.
async fn compare_with_fresh_fold(world: &World, service: Service, address: &str) -> usize {
    let answers = answers::of_service(address).await.unwrap();
    assert_quiet(&service.kill());
    let data = world.data();
    let fresh = tokio::task::spawn_blocking(move || answers::of_fresh_fold(&data));
    answers.assert_same(&fresh.await.unwrap(), "the service");
    answers.count()
}

/// Nothing that the service did deserves an error or a panic in its log.
fn assert_quiet(end: &End) {
    let loud = end.errors.lines().find(|line| line.contains("panicked") || line.contains("ERROR"));
    assert_eq!(loud, None, "{}", end.errors);
}
