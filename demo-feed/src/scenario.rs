//! The story: an invented player, a range on a high plateau, a bag, and four clubs that want the
//! 5-hybrid's slot before a windy spring. Everything here is made up; nothing is measured.

use crate::ball::{Ball, Start};
use crate::event::{Air, Lie};
use serde_json::{Value, json};

/// The player's id.
pub(crate) const PLAYER: &str = "marit";
/// The club whose slot is wanted.
pub(crate) const INCUMBENT: &str = "5h";
/// The ball of every shot.
pub(crate) const BALL: &str = "range-a";
/// How that ball flies: with a little more drag and less lift than the service's default model has.
pub(crate) const BALL_FLOWN: Ball = Ball { drag: 1.02, lift: 0.97 };
/// The bay's device: sees spin.
pub(crate) const BAY: &str = "bay-7";
/// The device at the tee line for the long woods: sees no spin.
pub(crate) const TEE_LINE: &str = "tee-line";
/// Height of the range, m.
pub(crate) const ALTITUDE_M: f64 = 1480.0;
/// The air there on a usual visit.
pub(crate) const USUAL_AIR: Air =
    Air { temperature_c: 4.0, pressure_hpa: 845.0, humidity_pct: 45.0, altitude_m: ALTITUDE_M };
/// The carry a soaked approach must have, m: ten short of the slot, and nothing rolls.
pub(crate) const MUST_CARRY_M: f64 = 148.0;
/// The wind of a spring day, into which the slot is flown at the end, mph.
pub(crate) const HEADWIND_MPH: u32 = 20;
/// The bag that holds all clubs of the story.
pub(crate) const BAG: &str = "spring";

/// The visits: month, day, and hour of the first ball, in winter time of the year 2026.
pub(crate) const VISITS: [(i8, i8, i8); 14] = [
    (1, 10, 10),
    (1, 14, 16),
    (1, 17, 10),
    (1, 21, 16),
    (1, 24, 11),
    (1, 31, 10),
    (2, 4, 16),
    (2, 7, 10),
    (2, 11, 17),
    (2, 14, 11),
    (2, 18, 16),
    (2, 21, 10),
    (2, 28, 10),
    (3, 4, 17),
];

/// What a candidate is in the story: which answer the service is expected to give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    /// Carries the same, launches lower, spins less.
    Replaces,
    /// Falls short.
    Short,
    /// Flies as high and spins as much.
    High,
    /// Flies so low that weak strikes come up short.
    Low,
}

/// A club of the catalogue, how it flies for this player, and when it is hit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Club {
    /// Its id.
    pub(crate) id: &'static str,
    /// Its name in words.
    pub(crate) name: &'static str,
    /// Kind, as the catalogue spells it.
    pub(crate) kind: &'static str,
    /// Stamped loft, degrees.
    pub(crate) loft_deg: f64,
    /// Its part in the story; `None` for a club the player owns.
    pub(crate) part: Option<Part>,
    /// Where and how often it is hit; `None` for the putter, which the devices do not see.
    pub(crate) hit: Option<Use>,
}

/// When a club is hit, and how it flies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Use {
    /// The device that watches it.
    pub(crate) source: &'static str,
    /// Its usual surface.
    pub(crate) lie: Lie,
    /// First and last visit (from 0, inclusive) that hold it, and the step between.
    pub(crate) visits: (usize, usize, usize),
    /// Shots in each of those visits.
    pub(crate) shots: usize,
    /// Means of a sound strike.
    pub(crate) mean: Mean,
    /// What is added for each standard deviation that a strike is weaker than the middle.
    pub(crate) weak_strike: Strike,
    /// Share of mishits, 0 to 1.
    pub(crate) mishits: f64,
}

/// How a club meets the ball, or by how much that differs: clubhead speed (m/s), smash (ball speed
/// over clubhead speed), launch angle (deg) and spin rate (rpm).
pub(crate) type Strike = [f64; 4];

/// Means of a club's sound strikes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mean {
    /// Carry in the usual air, m.
    pub(crate) carry_m: f64,
    /// Launch angle, degrees.
    pub(crate) launch_deg: f64,
    /// Spin rate, rpm.
    pub(crate) spin_rpm: f64,
    /// Ball speed over clubhead speed.
    pub(crate) smash: f64,
}

impl Mean {
    /// The strike that carries as far in the usual air. Clubhead speed follows from the ball's.
    #[must_use]
    pub(crate) fn strike(&self) -> Strike {
        let guess = Start {
            speed_mps: self.carry_m / 3.0,
            angle_deg: self.launch_deg,
            direction_deg: 0.0,
            spin_rpm: self.spin_rpm,
            axis_deg: 0.0,
        };
        let speed_mps = BALL_FLOWN.speed_mps(self.carry_m, &guess, &USUAL_AIR);
        [speed_mps / self.smash, self.smash, self.launch_deg, self.spin_rpm]
    }
}

impl Use {
    /// Whether a visit (from 0) holds it.
    #[must_use]
    pub(crate) fn is_in(&self, visit: usize) -> bool {
        let (first, last, step) = self.visits;
        (first..=last).contains(&visit) && (visit - first).is_multiple_of(step)
    }
}

impl Club {
    const fn new(id: &'static str, name: &'static str, kind: &'static str, loft_deg: f64) -> Self {
        Self { id, name, kind, loft_deg, part: None, hit: None }
    }

    const fn playing(mut self, part: Part) -> Self {
        self.part = Some(part);
        self
    }

    /// In the bay, off the mat.
    ///
    /// The row: carry (m), launch (deg), spin (rpm) and smash of a sound strike.
    const fn flown(mut self, visits: (usize, usize, usize), shots: usize, row: [f64; 4]) -> Self {
        let [carry_m, launch_deg, spin_rpm, smash] = row;
        self.hit = Some(Use {
            source: BAY,
            lie: Lie::Mat,
            visits,
            shots,
            mean: Mean { carry_m, launch_deg, spin_rpm, smash },
            weak_strike: [0.0; 4],
            mishits: 0.04,
        });
        self
    }

    /// At the tee line, off a peg.
    const fn teed(mut self) -> Self {
        if let Some(hit) = &mut self.hit {
            hit.source = TEE_LINE;
            hit.lie = Lie::Tee;
        }
        self
    }

    const fn unforgiving(mut self, weak_strike: Strike, mishits: f64) -> Self {
        if let Some(hit) = &mut self.hit {
            hit.weak_strike = weak_strike;
            hit.mishits = mishits;
        }
        self
    }
}

/// The bag: what the player owns, then what is tried.
///
/// The two strongest lofts of the irons and utilities, `4i` and `3u`, do not carry further than
/// the 25-degree hybrid: this player lacks the speed to launch them.
#[must_use]
pub(crate) fn clubs() -> Vec<Club> {
    let all = VISITS.len() - 1;
    vec![
        Club::new("5h", "5-hybrid", "hybrid", 25.0).flown(
            (0, all, 1),
            7,
            [158.0, 16.8, 5200.0, 1.366],
        ),
        Club::new("d", "driver", "wood", 10.5)
            .flown((0, all, 3), 5, [214.0, 12.6, 2750.0, 1.465])
            .teed(),
        Club::new("3w", "3-wood", "wood", 15.0)
            .flown((0, all, 3), 5, [193.0, 12.9, 3500.0, 1.445])
            .teed(),
        Club::new("5w", "5-wood", "wood", 18.0).flown((0, all, 4), 6, [180.0, 14.4, 4100.0, 1.425]),
        Club::new("6i", "6-iron", "iron", 28.0).flown((0, all, 3), 6, [147.0, 18.0, 5600.0, 1.345]),
        Club::new("7i", "7-iron", "iron", 32.0).flown((1, all, 4), 6, [137.0, 20.0, 6300.0, 1.315]),
        Club::new("9i", "9-iron", "iron", 40.5).flown((2, all, 4), 6, [114.0, 25.2, 7700.0, 1.225]),
        Club::new("pw", "pitching wedge", "wedge", 46.0).flown(
            (3, all, 4),
            6,
            [101.0, 28.4, 8400.0, 1.16],
        ),
        Club::new("sw", "sand wedge", "wedge", 56.0).flown(
            (1, all, 5),
            5,
            [75.0, 33.0, 9000.0, 1.02],
        ),
        Club::new("pt", "putter", "putter", 3.0),
        Club::new("4u", "4-utility", "utility", 22.0)
            .flown((0, all, 1), 7, [158.0, 13.5, 4200.0, 1.38])
            .playing(Part::Replaces),
        Club::new("4i", "4-iron", "iron", 21.0)
            .flown((0, 7, 1), 6, [143.0, 14.6, 4700.0, 1.325])
            .playing(Part::Short),
        Club::new("9w", "9-wood", "wood", 24.0)
            .flown((0, 8, 1), 6, [158.0, 16.8, 5200.0, 1.37])
            .playing(Part::High),
        Club::new("3u", "3-utility", "utility", 19.0)
            .flown((0, 9, 1), 6, [158.0, 10.3, 3000.0, 1.40])
            .unforgiving([0.0, 0.0, -0.5, -100.0], 0.10)
            .playing(Part::Low),
    ]
}

/// The name of a club in words, or its id where it is none of ours.
#[must_use]
pub(crate) fn name_of(id: &str) -> String {
    clubs().into_iter().find(|club| club.id == id).map_or(id, |club| club.name).to_owned()
}

/// The candidates for the slot, with their parts.
#[must_use]
pub(crate) fn candidates() -> Vec<(&'static str, Part)> {
    clubs().into_iter().filter_map(|club| Some((club.id, club.part?))).collect()
}

/// The catalogue, in the order in which it is put: path under `/v1`, and body.
#[must_use]
pub(crate) fn catalogue() -> Vec<(String, Value)> {
    let mut entries = vec![
        (format!("players/{PLAYER}"), json!({"name": "Marit", "hand": "right"})),
        (
            format!("balls/{BALL}"),
            json!({"name": "Range ball, winter batch", "kind": "range", "batch": "winter"}),
        ),
        (format!("sources/{BAY}"), source("Bay 7, covered", "mat")),
        (format!("sources/{TEE_LINE}"), source("Tee line, no spin", "tee")),
    ];
    for club in clubs() {
        let body = json!({
            "name": club.name, "kind": club.kind, "loft_deg": club.loft_deg,
            "demo": club.part.is_some(),
        });
        entries.push((format!("players/{PLAYER}/clubs/{}", club.id), body));
    }
    let ids: Vec<_> = clubs().iter().map(|club| club.id).collect();
    entries.push((
        format!("players/{PLAYER}/bags/{BAG}"),
        json!({"name": "Spring, with the clubs on trial", "clubs": ids}),
    ));
    entries
}

fn source(name: &str, lie: &str) -> Value {
    json!({
        "name": name, "place": "outdoor", "lie": lie, "ball": BALL, "altitude_m": ALTITUDE_M,
        "target_bearing_deg": 40, "flight_origin": "tracked", "spin_origin": "measured",
        "speed_origin": "measured", "adjusted_for": [],
    })
}

/// What the bay's shots inherit once the player has signed in.
#[must_use]
pub(crate) fn bay_context() -> Value {
    json!({"player": PLAYER, "lie": "mat", "ball": BALL})
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bag_fits_the_rule_of_fourteen_and_holds_a_putter() {
        let clubs = clubs();
        assert!((10..=14).contains(&clubs.len()));
        assert_eq!(clubs.iter().filter(|club| club.kind == "putter").count(), 1);
    }

    #[test]
    fn four_candidates_each_play_another_part() {
        let mut parts: Vec<_> = candidates().iter().map(|(_, part)| format!("{part:?}")).collect();
        parts.sort();
        assert_eq!(parts, ["High", "Low", "Replaces", "Short"]);
    }

    #[test]
    fn a_stronger_loft_than_the_incumbent_does_not_carry_further() {
        let carry = |club: &Club| club.hit.as_ref().map(|hit| hit.mean.carry_m);
        let clubs = clubs();
        let incumbent = clubs.iter().find(|club| club.id == INCUMBENT);
        let inverted = clubs.iter().filter(|club| {
            incumbent.is_some_and(|i| club.loft_deg < i.loft_deg && carry(club) < carry(i))
                && carry(club).is_some()
        });
        assert!(inverted.count() >= 1);
    }

    #[test]
    fn a_weak_strike_costs_the_low_flights_more() {
        // 3 % less speed, 3 degrees lower, 15 % less spin; on soaked ground the carry is all.
        let lost_m = |id: &str| {
            let clubs = clubs();
            let mean = clubs.iter().find(|club| club.id == id).and_then(|club| club.hit.as_ref());
            let [head, smash, launch, spin] = mean.map(|hit| hit.mean.strike()).unwrap_or_default();
            let carry = |speed: f64, lower: f64, spun: f64| {
                let start = Start {
                    speed_mps: speed * head * smash,
                    angle_deg: launch - lower,
                    direction_deg: 0.0,
                    spin_rpm: spun * spin,
                    axis_deg: 0.0,
                };
                BALL_FLOWN.fly(&start, &USUAL_AIR).carry_m
            };
            carry(1.0, 0.0, 1.0) - carry(0.97, 3.0, 0.85)
        };
        assert!(lost_m("5h") > 1.0);
        assert!(lost_m("4u") > lost_m("5h") + 3.0, "{} {}", lost_m("4u"), lost_m("5h"));
        assert!(lost_m("3u") > lost_m("4u") + 3.0, "{} {}", lost_m("3u"), lost_m("4u"));
    }

    #[test]
    fn the_catalogue_puts_every_club_before_the_bag_that_names_it() {
        let paths: Vec<_> = catalogue().into_iter().map(|(path, _)| path).collect();
        let last = paths.last().map(String::as_str);
        assert_eq!(last, Some("players/marit/bags/spring"));
        assert_eq!(paths.iter().filter(|path| path.contains("/clubs/")).count(), clubs().len());
    }
}
