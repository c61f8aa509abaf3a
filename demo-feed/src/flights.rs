//! The shots: seeded random flights around the scenario's means. None of the service's own
//! physics or statistics is used, so that its answers are tested by data it did not make.
//!
//! A shot is its club's mean, plus the day's effect on all clubs, plus the club's own run that
//! day, plus the shot's own scatter. Strike quality ties smash and carry together; a mishit is
//! short and has a low smash.

use crate::event::{Air, Clubhead, Event, Flight, Launch, Lie, Purpose, Spin};
use crate::scenario::{self, ALTITUDE_M, BALL, Club, PLAYER, TEE_LINE, Use, VISITS};
use jiff::SignedDuration;
use jiff::civil::{self, DateTime};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// The seed of the story as shipped.
///
/// Of the seeds 1 to 200, judged by an independent program of the statistics, 183 end with all four
/// verdicts as the scenario means them (4u 190, 4i 191, 9w 192, 3u 188); most of the others meet an
/// alarm of drift, after which the evidence starts anew. The replacement is proven after 7 visits in
/// the median, 5 to 10 from the tenth to the ninetieth percentile. This seed lies in the middle: 7
/// visits, and 25 % of the low club's strikes short of the must-carry against a mean of 26 %.
pub(crate) const TYPICAL_SEED: u64 = 178;

/// A spread or a shift in carry (m), launch (deg) and spin (rpm).
type Triple = [f64; 3];

/// Standard deviation of a day's effect on all clubs: temperature, form, the feel of the place.
const DAY_SD: Triple = [2.0, 0.2, 60.0];
/// Standard deviation of one club's own run in one visit.
const RUN_SD: Triple = [1.0, 0.2, 60.0];
/// Standard deviation of a single sound strike.
const SHOT_SD: Triple = [5.6, 1.1, 320.0];
/// What a mishit adds.
const MISHIT: Triple = [-28.0, -1.5, -500.0];
/// What the fairway adds to the mat.
const FAIRWAY: Triple = [-4.0, 0.4, -150.0];
/// On every fourth visit the last rounds, from this one (from 0), are hit from the fairway strip.
const FIRST_FAIRWAY_ROUND: usize = 4;
/// Smash that a mishit loses, and the spread of smash over sound strikes.
const MISHIT_SMASH: f64 = 0.14;
const SMASH_SD: f64 = 0.014;
/// Share of a strike's carry scatter that its smash explains, as a correlation.
const SMASH_CARRY: f64 = 0.5;
/// Mean of max(0, -z) for a standard normal z: 1/sqrt(2 pi).
const MEAN_WEAKNESS: f64 = 0.398_942;
/// Degrees of curve at landing for each degree of spin axis tilt.
const CURVE_PER_AXIS: f64 = 0.25;
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
        let mut range = Range { rng: ChaCha8Rng::seed_from_u64(seed), last_id: 0 };
        Self { visits: (0..VISITS.len()).map(|visit| range.visit(visit)).collect() }
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
    day: Triple,
    clock: DateTime,
    temperature_c: f64,
    pressure_hpa: f64,
}

impl Visit {
    fn lie(&self, usual: Lie, round: usize) -> Lie {
        let outside = self.index % 4 == 3 && round >= FIRST_FAIRWAY_ROUND;
        if outside && usual == Lie::Mat { Lie::Fairway } else { usual }
    }
}

/// One swing to be made: with what, from where, on which form.
struct Swing<'a> {
    club: &'a Club,
    hit: &'a Use,
    lie: Lie,
    run: Triple,
}

struct Range {
    rng: ChaCha8Rng,
    last_id: usize,
}

impl Range {
    fn visit(&mut self, index: usize) -> Vec<Event> {
        let (month, day, hour) = VISITS[index];
        let mut visit = Visit {
            index,
            day: self.scatter(DAY_SD),
            clock: civil::date(2026, month, day).at(hour, 0, 0, 0),
            temperature_c: round_to(4.0 + 2.5 * self.normal(), 1),
            pressure_hpa: round_to(845.0 + 3.0 * self.normal(), 1),
        };
        let clubs = scenario::clubs();
        let mut events = Vec::new();
        let plan: Vec<_> = clubs
            .iter()
            .filter_map(|club| Some((club, club.hits_in(index)?)))
            .map(|(club, hit)| (club, hit, self.scatter(RUN_SD)))
            .collect();
        let rounds = plan.iter().map(|(_, hit, _)| hit.shots).max().unwrap_or(0);
        for round in 0..rounds {
            for &(club, hit, run) in plan.iter().filter(|(_, hit, _)| round < hit.shots) {
                let lie = visit.lie(hit.lie, round);
                events.push(self.shot(&mut visit, &Swing { club, hit, lie, run }));
                if events.len() == 1 {
                    events.extend(self.warm_up(&mut visit, &clubs));
                }
            }
        }
        events
    }

    /// Two easy wedges after the first ball of a visit; kept by the service, never counted.
    fn warm_up(&mut self, visit: &mut Visit, clubs: &[Club]) -> Vec<Event> {
        let wedge = clubs.iter().find(|club| club.id == WARM_UP_CLUB);
        let Some((club, hit)) = wedge.and_then(|club| Some((club, club.hit.as_ref()?))) else {
            return Vec::new();
        };
        let swing = Swing { club, hit, lie: hit.lie, run: [-9.0, 0.0, -600.0] };
        let easy = |event| Event { purpose: Some(Purpose::WarmUp), ..event };
        (0..2).map(|_| easy(self.shot(visit, &swing))).collect()
    }

    fn shot(&mut self, visit: &mut Visit, swing: &Swing<'_>) -> Event {
        let Use { mean, weak_strike_loss_m, mishits, .. } = *swing.hit;
        let strike = self.normal();
        let mishit = self.rng.random_range(0.0..1.0) < mishits;
        let weakness = (-strike).max(0.0) - MEAN_WEAKNESS;
        let own = (1.0 - SMASH_CARRY * SMASH_CARRY).sqrt();
        let scatter = [SMASH_CARRY * strike + own * self.normal(), self.normal(), self.normal()];
        let day = visit.day;
        let moved = |i: usize| {
            let lie = if swing.lie == Lie::Fairway { FAIRWAY[i] } else { 0.0 };
            let miss = if mishit { MISHIT[i] } else { 0.0 };
            day[i] + swing.run[i] + SHOT_SD[i] * scatter[i] + lie + miss
        };
        let carry_m = mean.carry_m + moved(0) - weak_strike_loss_m * weakness;
        let smash = mean.smash + SMASH_SD * strike - if mishit { MISHIT_SMASH } else { 0.0 };
        let head_mps = mean.head_mps + 0.5 * self.normal();
        let direction_deg = 2.0 * self.normal();
        let axis_deg = 1.0 + 4.0 * self.normal();
        // A ball that carries less than its club's mean flies flatter in proportion.
        let height = carry_m / mean.carry_m;
        let curve_deg = direction_deg + CURVE_PER_AXIS * axis_deg;
        Event {
            id: self.next_id(),
            source: swing.hit.source,
            time: self.next_time(visit),
            player: Some(PLAYER),
            club: Some(swing.club.id),
            session: format!("visit-{:02}", visit.index + 1),
            lie: Some(swing.lie),
            ball: Some(BALL),
            purpose: None,
            launch: Launch {
                ball_speed_mps: round_to(head_mps * smash, 2),
                launch_angle_deg: round_to(mean.launch_deg + moved(1), 1),
                launch_direction_deg: round_to(direction_deg, 1),
                spin: (swing.hit.source != TEE_LINE).then(|| Spin {
                    spin_rate_rpm: (mean.spin_rpm + moved(2)).round(),
                    spin_axis_deg: round_to(axis_deg, 1),
                }),
            },
            clubhead: Clubhead { speed_mps: round_to(head_mps, 2) },
            flight: Flight {
                carry_m: round_to(carry_m, 1),
                side_m: round_to(carry_m * curve_deg.to_radians().sin(), 1),
                apex_m: round_to(mean.apex_m * height + 1.2 * self.normal(), 1),
                descent_angle_deg: round_to(mean.descent_deg + 1.2 * self.normal(), 1),
                origin: "tracked",
            },
            air: Air {
                temperature_c: visit.temperature_c,
                pressure_hpa: visit.pressure_hpa,
                humidity_pct: 45.0,
                altitude_m: ALTITUDE_M,
            },
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

    fn scatter(&mut self, sd: Triple) -> Triple {
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
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use serde_json::{Map, Value};
    use std::collections::HashSet;

    /// Where the schema flags nothing as unusual, for every quantity that this sender uses. It lies
    /// within the bounds of what the schema accepts.
    const UNFLAGGED: [(&str, f64, f64); 14] = [
        ("/launch/ball_speed_mps", 8.0, 95.0),
        ("/launch/launch_angle_deg", -2.0, 55.0),
        ("/launch/launch_direction_deg", -25.0, 25.0),
        ("/launch/spin_rate_rpm", 300.0, 14_000.0),
        ("/launch/spin_axis_deg", -50.0, 50.0),
        ("/clubhead/speed_mps", 8.0, 65.0),
        ("/flight/carry_m", 5.0, 350.0),
        ("/flight/side_m", -80.0, 80.0),
        ("/flight/apex_m", 0.5, 70.0),
        ("/flight/descent_angle_deg", 10.0, 75.0),
        ("/air/temperature_c", -15.0, 45.0),
        // 6 % around the standard pressure at 1,480 m, 848 hPa (1976 standard atmosphere).
        ("/air/pressure_hpa", 798.0, 898.0),
        ("/air/humidity_pct", 0.0, 100.0),
        ("/air/altitude_m", ALTITUDE_M, ALTITUDE_M),
    ];

    fn season() -> Season {
        Season::new(TYPICAL_SEED)
    }

    fn all(season: &Season) -> impl Iterator<Item = &Event> {
        season.visits.iter().flatten()
    }

    fn as_json(event: &Event) -> Value {
        serde_json::to_value(event).unwrap()
    }

    #[test]
    fn the_same_seed_gives_the_same_shots_and_another_seed_others() {
        assert_eq!(Season::new(7), Season::new(7));
        assert_ne!(Season::new(7), Season::new(8));
    }

    #[test]
    fn every_quantity_lies_where_the_service_flags_nothing() {
        for seed in 0..20 {
            for event in all(&Season::new(seed)) {
                let json = as_json(event);
                for (pointer, low, high) in UNFLAGGED {
                    let value = json.pointer(pointer).and_then(Value::as_f64);
                    assert!(
                        value.is_none_or(|value| (low..=high).contains(&value)),
                        "seed {seed}, {pointer}: {json}"
                    );
                }
            }
        }
    }

    #[test]
    fn every_member_is_one_that_the_schema_knows() {
        let known = [
            ("", "id source time player club session lie ball purpose launch clubhead flight air"),
            (
                "/launch",
                "ball_speed_mps launch_angle_deg launch_direction_deg spin_rate_rpm spin_axis_deg",
            ),
            ("/clubhead", "speed_mps"),
            ("/flight", "carry_m side_m apex_m descent_angle_deg origin"),
            ("/air", "temperature_c pressure_hpa humidity_pct altitude_m"),
        ];
        for event in all(&season()) {
            for form in [event.clone(), event.as_sent(), event.as_stray()] {
                let json = as_json(&form);
                assert!(!json.to_string().contains("null"), "{json}");
                for (pointer, names) in known {
                    let members: &Map<_, _> = json.pointer(pointer).unwrap().as_object().unwrap();
                    for name in members.keys() {
                        assert!(names.split(' ').any(|known| known == name), "{pointer}/{name}");
                    }
                }
            }
        }
    }

    #[test]
    fn an_identity_names_one_shot() {
        let season = season();
        let identities: HashSet<_> = all(&season).map(|event| (event.source, &event.id)).collect();
        assert_eq!(identities.len(), season.shots());
    }

    #[test]
    fn times_are_rfc_3339_and_only_go_forward() {
        let season = season();
        let times: Vec<jiff::Timestamp> =
            all(&season).map(|event| event.time.parse().unwrap()).collect();
        assert!(times.is_sorted_by(|a, b| a < b));
        assert!(
            all(&season).all(|event| event.time.len() == "2026-01-10T10:00:29.535+01:00".len())
        );
    }

    #[test]
    fn the_season_holds_what_the_story_needs() {
        let season = season();
        let count = |test: &dyn Fn(&&Event) -> bool| all(&season).filter(test).count();
        assert_eq!(season.carries_m("5h").len(), 98);
        assert_eq!(season.carries_m("4u").len(), 98);
        assert_eq!(count(&|event| event.purpose == Some(Purpose::WarmUp)), 2 * VISITS.len());
        assert!(count(&|event| event.lie == Some(Lie::Fairway)) > 20);
        assert!(count(&|event| event.lie == Some(Lie::Tee)) > 20);
        assert_eq!(
            count(&|event| event.launch.spin.is_none()),
            count(&|event| event.source == TEE_LINE)
        );
        let smash = |event: &&Event| event.launch.ball_speed_mps / event.clubhead.speed_mps;
        let mishits = count(&|event| event.club == Some("5h") && smash(event) < 1.29);
        assert!((1..=12).contains(&mishits), "{mishits}");
    }

    #[test]
    fn the_bay_leaves_out_what_its_context_fills_in() {
        let season = season();
        let mat = all(&season).find(|event| event.lie == Some(Lie::Mat)).unwrap().as_sent();
        assert_eq!((mat.player, mat.lie, mat.ball), (None, None, None));
        assert!(mat.club.is_some());
        let fairway = all(&season).find(|event| event.lie == Some(Lie::Fairway)).unwrap();
        assert_eq!(fairway.as_sent().lie, Some(Lie::Fairway));
        let teed = all(&season).find(|event| event.source == TEE_LINE).unwrap();
        assert_eq!(&teed.as_sent(), teed);
        let stray = season.visits[0][0].as_stray();
        assert_eq!((stray.player, stray.club), (None, None));
    }

    #[test]
    fn means_come_out_as_the_scenario_says() {
        // Over 40 seasons; the tolerance is four standard errors of the day and run effects, which
        // dominate: sqrt(2^2 + 1^2) / sqrt(40 * 14) * 4 = 0.4 m, and mishits take 28 m * 4 % = 1.1.
        let mean = |club: &str| {
            let carries: Vec<f64> =
                (0..40).flat_map(|seed| Season::new(seed).carries_m(club)).collect();
            carries.iter().sum::<f64>() / f64::from(u32::try_from(carries.len()).unwrap())
        };
        assert!((mean("5h") - (158.0 - 1.1)).abs() < 1.0);
        assert!((mean("4u") - mean("5h")).abs() < 0.6);
        assert!((mean("5h") - mean("4i") - 15.0).abs() < 0.8);
    }
}
