//! Two clubs in weather: the whole block of a comparison over 200 shots each, at least 500 flights a club
//! in each of eleven kinds of weather, by both models; against its main model's flights alone. And a profile
//! with its carries in reference air, where the player has 12,000 tracked shots, asked for the first time and
//! again; against the same with carries as hit.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod report;

use std::{hint::black_box, sync::Arc, time::Duration};

use bytes::Bytes;
use evencarry::{
    bag::{CarryAir, ComparisonQuestion, ConditionsQuestion, Filter, PairToFly, ProfileQuestion},
    flight::{Conditions, Launch, Scene, Trajectory, Wind, fly_all},
    live::{Live, ROWS_KEPT},
    shot::{self, ClubId, PlayerId, Sequence},
    store::{Chunks, Entry, Frame, Projection, TableError},
};
use report::{Figure, Size};

/// Kinds of weather.
const SKIES: usize = 11;
/// What the block may take and what is aimed at, ms.
const CEILING_MS: f64 = 100.0;
const GOAL_MS: f64 = 50.0;

fn main() {
    let size = Size::asked();
    let shots = size.of(200, 12);
    report::title(&format!("two clubs in weather, {shots} shots each"));
    let modelled = gathered(shots, "modelled");
    let tracked = gathered(shots, "tracked");
    let flights = (SKIES * 2) as f64 * (shots * 500_usize.div_ceil(shots)) as f64;
    let alone = flights_alone(shots);
    let [mut plain, mut fitted, mut bare] = <[Figure; 3]>::default();
    for _ in 0..size.of(21, 1) {
        bare.add(millis(report::timed(|| black_box(fly_all(&alone))).0));
        plain.add(block(&modelled));
        fitted.add(block(&tracked));
    }
    println!("  {flights} flights by each model");
    report::line("the main model's flights alone", &bare, "ms");
    report::line("the block, both models", &plain, "ms");
    report::line("the block, with a model fitted to each club", &fitted, "ms");
    report::line("  the block / flights alone", &plain.over(&bare), "x");
    for (name, bound) in [("ceiling", CEILING_MS), ("goal", GOAL_MS)] {
        let words = [&plain, &fitted].map(|figure| size.word(figure.median() <= bound));
        println!("  {name} {bound} ms: {}; with fitted models {}", words[0], words[1]);
    }
    in_reference_air(size);
    println!("  load average after: {}", report::load());
}

/// The first question works everything out, and flies every shot twice; the next flies none.
fn in_reference_air(size: Size) {
    let shots = size.of(6_000, 60);
    println!("  a profile in reference air among {} shots", 2 * shots);
    let [mut first, mut again, mut as_hit] = <[Figure; 3]>::default();
    for _ in 0..size.of(5, 1) {
        let live = loaded(shots, "tracked");
        let ask = |air: CarryAir, figure: &mut Figure| {
            let question = ProfileQuestion { air, ..ProfileQuestion::from(&Filter::default()) };
            let (player, club) = (player(), ClubId::parse("4u").unwrap());
            let (wall, told) = report::timed(|| live.profile(&player, &club, question).unwrap());
            assert_eq!(told.reference_air.is_some(), air == CarryAir::Reference);
            figure.add(millis(wall));
        };
        let mut unmeasured = Figure::default();
        ask(CarryAir::AsHit, &mut unmeasured);
        ask(CarryAir::Reference, &mut first);
        for _ in 0..size.of(5, 1) {
            ask(CarryAir::AsHit, &mut as_hit);
            ask(CarryAir::Reference, &mut again);
        }
    }
    report::line("as hit", &as_hit, "ms");
    report::line("in reference air, for the first time", &first, "ms");
    report::line("in reference air, again", &again, "ms");
    report::line("  again / as hit", &again.over(&as_hit), "x");
}

fn millis(wall: Duration) -> f64 {
    wall.as_secs_f64() * 1e3
}

fn block(gathered: &PairToFly) -> f64 {
    let pair = gathered.clone();
    let (wall, told) = report::timed(|| pair.fly(&ConditionsQuestion::default()).unwrap());
    assert!(told.reason.is_none());
    millis(wall)
}

/// The same number of flights in the same winds.
fn flights_alone(shots: usize) -> Vec<Trajectory> {
    let many = shots * 500_usize.div_ceil(shots);
    let winds = [0.0, 0.0, 0.0, 10.0, 20.0, 30.0, 10.0, 20.0, 30.0, 10.0, 20.0];
    let mut all = Vec::new();
    for (at, mph) in winds.into_iter().enumerate() {
        let wind = Wind { speed_mps: 0.447_04 * mph, from_deg: 30.0 * at as f64, height_m: 10.0 };
        let scene = Scene::new(&Conditions { wind, ..Conditions::default() }).unwrap();
        for centre in CENTRES {
            all.extend((0..many).map(|at| scene.launch(&launch(centre, at)).unwrap()));
        }
    }
    all
}

/// Speed, launch and spin of the incumbent and of the candidate.
const CENTRES: [[f64; 3]; 2] = [[53.7, 17.0, 5_300.0], [53.0, 13.5, 4_200.0]];

fn launch([speed, angle, spin]: [f64; 3], at: usize) -> Launch {
    let off = |prime: usize| (at * prime % 31) as f64 / 15.0 - 1.0;
    Launch {
        ball_speed_mps: speed + 1.5 * off(5),
        launch_angle_deg: angle + 1.5 * off(7),
        launch_direction_deg: 2.0 * off(11),
        spin_rate_rpm: spin + 400.0 * off(13),
        spin_axis_deg: 4.0 * off(17),
    }
}

/// A table that holds nothing yet.
struct Nothing;

impl Chunks for Nothing {
    fn get(&self, _: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(None)
    }

    fn prefix(&self, _: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(Vec::new())
    }
}

fn player() -> PlayerId {
    PlayerId::parse("rowan").unwrap()
}

/// Both clubs' shots, so many of each; their flights of such an origin.
fn loaded(shots: usize, origin: &str) -> Live {
    let live = Live::load(Arc::new(Nothing), ROWS_KEPT).unwrap();
    let still = Scene::new(&Conditions::default()).unwrap();
    let mut sequence = 0;
    for (club, centre) in ["5h", "4u"].into_iter().zip(CENTRES) {
        for at in 0..shots {
            let launch = launch(centre, at);
            let flight = still.launch(&launch).unwrap().fly().unwrap();
            sequence += 1;
            let line = serde_json::json!({
                "id": format!("{club}-{at}"), "source": "bay-3", "player": "rowan", "club": club,
                "time": "2026-04-11T10:15:04Z", "session": "one", "lie": "mat",
                "launch": {
                    "ball_speed_mps": launch.ball_speed_mps,
                    "launch_angle_deg": launch.launch_angle_deg,
                    "launch_direction_deg": launch.launch_direction_deg,
                    "spin_rate_rpm": launch.spin_rate_rpm, "spin_axis_deg": launch.spin_axis_deg,
                },
                "flight": {
                    "carry_m": 0.97 * flight.carry_m, "apex_m": 0.95 * flight.apex_m,
                    "descent_angle_deg": flight.descent_angle_deg, "origin": origin,
                },
                "air": {"temperature_c": 20.0 + (at % 7) as f64},
            });
            let text = Bytes::from(line.to_string());
            let event = shot::parse(&text).unwrap();
            let arrival = event.time;
            let entry = Entry::Shot { event, text, settled: None };
            live.absorb(&Frame { sequence: Sequence::new(sequence), arrival, entry });
        }
    }
    live
}

/// Both clubs' shots, gathered to be flown.
fn gathered(shots: usize, origin: &str) -> PairToFly {
    let live = loaded(shots, origin);
    let [incumbent, candidate] = ["5h", "4u"].map(|club| ClubId::parse(club).unwrap());
    let question = ComparisonQuestion::from(&Filter::default());
    live.comparison_to_fly(&player(), [&incumbent, &candidate], &question).unwrap().1
}
