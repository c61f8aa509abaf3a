//! The shots: seeded random flights around the scenario's means. None of the service's own
//! physics or statistics is used, so that its answers are tested by data it did not make.
//!
//! A strike is its club's mean, plus the day's effect on all clubs, plus the club's own run that
//! day, plus its own scatter; a mishit has a low smash. The strike decides the flight, which the
//! scenario's own [`ball`](crate::ball) flies and the device tracks with its noise.

use crate::ball::{Landing, Start};
use crate::event::{Air, Clubhead, Event, Flight, Launch, Lie, Purpose, Spin};
use crate::scenario::{
    self, BALL, BALL_FLOWN, Club, PLAYER, Strike, TEE_LINE, USUAL_AIR, Use, VISITS,
};
use jiff::SignedDuration;
use jiff::civil::{self, DateTime};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// The seed of the story as shipped.
///
/// Of the seeds 1 to 200, 180 end with all four verdicts as the scenario means them (4u 187, 4i 194,
/// 9w 192, 3u 190); most of the others meet an alarm of drift, after which the evidence starts anew.
/// The replacement is proven after 6 visits in the median, 5 to 10 from the tenth to the ninetieth
/// percentile; in the median 25 % of the low club's strikes come short of the must-carry. This seed
/// lies in the middle of both. `tests/seeds.rs` counts it all again.
pub(crate) const TYPICAL_SEED: u64 = 17;

/// Standard deviation of a day's effect on all clubs: form, the feel of the place. With the day's air
/// it is worth some 2 m of carry.
const DAY_SD: Strike = [0.33, 0.0, 0.2, 60.0];
/// Standard deviation of one club's own run in one visit: some 1 m.
const RUN_SD: Strike = [0.16, 0.0, 0.2, 60.0];
/// Standard deviation of a single sound strike: some 5.6 m.
const SHOT_SD: Strike = [0.75, 0.014, 1.1, 320.0];
/// What a mishit adds: some 28 m are lost.
const MISHIT: Strike = [0.0, -0.14, -1.5, -500.0];
/// What the fairway adds to the mat: some 4 m are lost.
const FAIRWAY: Strike = [-0.6, 0.0, 0.4, -150.0];
/// What an easy swing adds.
const EASY: Strike = [-2.0, 0.0, 0.0, -600.0];
/// Standard deviation of the device's own errors: carry and side (m), apex (m), descent (deg).
const TRACKING_SD: [f64; 4] = [1.0, 0.5, 0.5, 0.7];
/// On every fourth visit the last rounds, from this one (from 0), are hit from the fairway strip.
const FIRST_FAIRWAY_ROUND: usize = 4;
/// Mean of max(0, -z) for a standard normal z: 1/sqrt(2 pi).
const MEAN_WEAKNESS: f64 = 0.398_942;
/// The club of the first easy swings.
const WARM_UP_CLUB: &str = "sw";
/// Winter time of the range.
const OFFSET: &str = "+01:00";

/// The whole season, visit by visit, in time order. Every event is complete in itself; what the
/// bay sends of it is [`Event::as_sent`].
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Season {
    /// One list of shots a visit. The very first shot is the incumbent's.
    pub(crate) visits: Vec<Vec<Event>>,
}

impl Season {
    /// The season of a seed: the same seed gives the same bytes.
    #[must_use]
    pub(crate) fn new(seed: u64) -> Self {
        let rng = ChaCha8Rng::seed_from_u64(seed);
        let clubs: Vec<_> = scenario::clubs().into_iter().filter_map(Played::of).collect();
        let mut range = Range { rng, last_id: 0 };
        Self { visits: (0..VISITS.len()).map(|visit| range.visit(visit, &clubs)).collect() }
    }

    /// How many shots there are.
    #[must_use]
    pub(crate) fn shots(&self) -> usize {
        self.visits.iter().map(Vec::len).sum()
    }

    /// The carries of one club in metres, mishits included, warm-up left out.
    #[must_use]
    pub(crate) fn carries_m(&self, club: &str) -> Vec<f64> {
        let played = |event: &&Event| event.club == Some(club) && event.purpose.is_none();
        self.visits.iter().flatten().filter(played).map(|event| event.flight.carry_m).collect()
    }
}

/// The range on one visit: its effects on every club, and its clock.
struct Visit {
    index: usize,
    day: Strike,
    clock: DateTime,
    air: Air,
}

impl Visit {
    fn lie(&self, usual: Lie, round: usize) -> Lie {
        let outside = self.index % 4 == 3 && round >= FIRST_FAIRWAY_ROUND;
        if outside && usual == Lie::Mat { Lie::Fairway } else { usual }
    }
}

/// A club that is hit, and its mean strike.
struct Played {
    id: &'static str,
    hit: Use,
    mean: Strike,
}

impl Played {
    fn of(club: Club) -> Option<Self> {
        let hit = club.hit?;
        Some(Self { id: club.id, mean: hit.mean.strike(), hit })
    }
}

/// One swing to be made: with what, from where, on which form.
struct Swing<'a> {
    club: &'a Played,
    lie: Lie,
    run: Strike,
}

struct Range {
    rng: ChaCha8Rng,
    last_id: usize,
}

impl Range {
    fn visit(&mut self, index: usize, clubs: &[Played]) -> Vec<Event> {
        let (month, day, hour) = VISITS[index];
        let mut visit = Visit {
            index,
            day: self.scatter(DAY_SD),
            clock: civil::date(2026, month, day).at(hour, 0, 0, 0),
            air: Air {
                temperature_c: round_to(USUAL_AIR.temperature_c + 2.5 * self.normal(), 1),
                pressure_hpa: round_to(USUAL_AIR.pressure_hpa + 3.0 * self.normal(), 1),
                ..USUAL_AIR
            },
        };
        let mut events = Vec::new();
        let plan: Vec<_> = clubs
            .iter()
            .filter(|club| club.hit.is_in(index))
            .map(|club| (club, self.scatter(RUN_SD)))
            .collect();
        let rounds = plan.iter().map(|(club, _)| club.hit.shots).max().unwrap_or(0);
        for round in 0..rounds {
            for &(club, run) in plan.iter().filter(|(club, _)| round < club.hit.shots) {
                let lie = visit.lie(club.hit.lie, round);
                events.push(self.shot(&mut visit, &Swing { club, lie, run }));
                if events.len() == 1 {
                    events.extend(self.warm_up(&mut visit, clubs));
                }
            }
        }
        events
    }

    /// Two easy wedges after the first ball of a visit; kept by the service, never counted.
    fn warm_up(&mut self, visit: &mut Visit, clubs: &[Played]) -> Vec<Event> {
        let Some(club) = clubs.iter().find(|club| club.id == WARM_UP_CLUB) else {
            return Vec::new();
        };
        let swing = Swing { club, lie: club.hit.lie, run: EASY };
        let easy = |event| Event { purpose: Some(Purpose::WarmUp), ..event };
        (0..2).map(|_| easy(self.shot(visit, &swing))).collect()
    }

    fn shot(&mut self, visit: &mut Visit, swing: &Swing<'_>) -> Event {
        let [head_mps, smash, launch_deg, spin_rpm] = self.strike(visit, swing);
        let start = Start {
            speed_mps: head_mps * smash,
            angle_deg: launch_deg,
            direction_deg: 2.0 * self.normal(),
            spin_rpm,
            axis_deg: 1.0 + 4.0 * self.normal(),
        };
        let landing = BALL_FLOWN.fly(&start, &visit.air);
        Event {
            id: self.next_id(),
            source: swing.club.hit.source,
            time: self.next_time(visit),
            player: Some(PLAYER),
            club: Some(swing.club.id),
            session: format!("visit-{:02}", visit.index + 1),
            lie: Some(swing.lie),
            ball: Some(BALL),
            purpose: None,
            launch: Launch {
                ball_speed_mps: round_to(start.speed_mps, 2),
                launch_angle_deg: round_to(start.angle_deg, 1),
                launch_direction_deg: round_to(start.direction_deg, 1),
                spin: (swing.club.hit.source != TEE_LINE).then(|| Spin {
                    spin_rate_rpm: start.spin_rpm.round(),
                    spin_axis_deg: round_to(start.axis_deg, 1),
                }),
            },
            clubhead: Clubhead { speed_mps: round_to(head_mps, 2) },
            flight: self.tracked(landing),
            air: visit.air,
        }
    }

    /// How the club meets the ball: its mean, with all that moves it this time.
    fn strike(&mut self, visit: &Visit, swing: &Swing<'_>) -> Strike {
        let quality = self.normal();
        let mishit = self.rng.random_range(0.0..1.0) < swing.club.hit.mishits;
        let weakness = (-quality).max(0.0) - MEAN_WEAKNESS;
        let scatter = [self.normal(), quality, self.normal(), self.normal()];
        std::array::from_fn(|i| {
            let lie = if swing.lie == Lie::Fairway { FAIRWAY[i] } else { 0.0 };
            let miss = if mishit { MISHIT[i] } else { 0.0 };
            let weak = swing.club.hit.weak_strike[i] * weakness;
            let own = SHOT_SD[i] * scatter[i] + lie + miss + weak;
            swing.club.mean[i] + visit.day[i] + swing.run[i] + own
        })
    }

    /// A flight as the device tells it.
    fn tracked(&mut self, landing: Landing) -> Flight {
        let [carry, side, apex, descent] = self.scatter(TRACKING_SD);
        Flight {
            carry_m: round_to(landing.carry_m + carry, 1),
            side_m: round_to(landing.side_m + side, 1),
            apex_m: round_to(landing.apex_m + apex, 1),
            descent_angle_deg: round_to(landing.descent_deg + descent, 1),
            origin: "tracked",
        }
    }

    fn next_id(&mut self) -> String {
        self.last_id += 1;
        format!("{:06}", self.last_id)
    }

    /// The moment of the next ball: 18 to 45 seconds after the last.
    fn next_time(&mut self, visit: &mut Visit) -> String {
        let wait = SignedDuration::from_millis(self.rng.random_range(18_000..45_000));
        visit.clock = visit.clock.saturating_add(wait);
        format!("{}{OFFSET}", visit.clock.strftime("%Y-%m-%dT%H:%M:%S%.3f"))
    }

    fn scatter<const N: usize>(&mut self, sd: [f64; N]) -> [f64; N] {
        sd.map(|sd| sd * self.normal())
    }

    fn normal(&mut self) -> f64 {
        self.rng.sample(StandardNormal)
    }
}

fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}

#[cfg(test)]
mod tests;
