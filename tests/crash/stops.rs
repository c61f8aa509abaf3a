//! A stop in order, under load.

use crate::dice::Dice;
use crate::service::Service;
use crate::world::World;

const STOPS: usize = 3;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_stop_under_load_answers_all_that_it_stores() {
    let mut dice = Dice::of_this_run();
    let mut world = World::new(&mut dice);
    for _ in 0..STOPS {
        let (service, address) = Service::serving(&world.data());
        world.load(&address, 1 + dice.below(150), || service.terminate()).await;
        let end = service.end();
        assert!(end.status.success(), "{end:?}");
        assert!(!end.errors.contains("panicked"), "{}", end.errors);

        let (service, address) = Service::serving(&world.data());
        let unanswered = world.compare(&address).await;
        assert_eq!((unanswered.shots, unanswered.deeds), (0, 0), "stored without an answer");
        service.stop();
    }
    assert!(world.stored() > 0, "nothing was sent");
}
