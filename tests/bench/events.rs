//! Invented events as a range sends them: bays side by side, visits of a player at a bay, some shots
//! with each club, ids that count up within a bay. About 690 bytes each, one or two decimals.

#![allow(dead_code, reason = "each bench uses its part")]

use std::fmt::Write;

use jiff::{SignedDuration, Timestamp};

/// Shots of one visit of a player at a bay.
const VISIT: u64 = 60;
/// Shots with one club before the next.
const STREAK: u64 = 12;
/// Players who take turns at one bay.
const PLAYERS: u64 = 8;
/// The first shot of every bay, in seconds since 1970: a morning in April 2026.
const OPENING: i64 = 1_775_890_800;
/// Seconds between two shots of a bay.
const EVERY: i64 = 20;

/// A club by what it does on average, all measured at the strike.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Club {
    pub(crate) name: &'static str,
    pub(crate) ball_speed_mps: f64,
    pub(crate) launch_angle_deg: f64,
    pub(crate) spin_rate_rpm: f64,
}

const fn club(name: &'static str, [speed, launch, spin]: [f64; 3]) -> Club {
    Club { name, ball_speed_mps: speed, launch_angle_deg: launch, spin_rate_rpm: spin }
}

/// A bag from the longest club to the shortest.
pub(crate) const BAG: [Club; 13] = [
    club("1w", [66.0, 12.4, 2650.0]),
    club("3w", [61.5, 11.8, 3550.0]),
    club("5w", [59.0, 12.9, 4200.0]),
    club("4h", [55.5, 14.1, 4500.0]),
    club("5h", [53.5, 15.4, 4900.0]),
    club("5i", [52.5, 13.6, 5000.0]),
    club("6i", [50.5, 15.0, 5600.0]),
    club("7i", [48.0, 17.2, 6400.0]),
    club("8i", [45.5, 19.3, 7300.0]),
    club("9i", [43.0, 21.8, 8100.0]),
    club("46", [40.5, 25.1, 8900.0]),
    club("52", [37.0, 28.2, 9400.0]),
    club("58", [33.0, 31.0, 9800.0]),
];

/// A club and twelve that might replace it: carries within a few yards of each other, launch and
/// spin lower by more and less, so that no verdict is a matter of a few shots.
pub(crate) const RIVALS: [Club; 13] = [
    club("5h", [52.0, 17.0, 5200.0]),
    club("try-01", [51.6, 13.8, 4300.0]),
    club("try-02", [51.8, 14.0, 4250.0]),
    club("try-03", [52.2, 15.4, 4650.0]),
    club("try-04", [51.0, 15.2, 4700.0]),
    club("try-05", [51.4, 14.4, 4500.0]),
    club("try-06", [52.6, 13.2, 4100.0]),
    club("try-07", [52.0, 15.6, 4720.0]),
    club("try-08", [51.2, 16.4, 5000.0]),
    club("try-09", [53.0, 14.6, 4400.0]),
    club("try-10", [50.6, 15.8, 4600.0]),
    club("try-11", [52.4, 14.9, 4550.0]),
    club("try-12", [51.7, 12.6, 3900.0]),
];

/// One bay, which sees one shot after the other.
#[derive(Debug)]
pub(crate) struct Bay {
    number: u64,
    shots: u64,
    chance: Chance,
}

impl Bay {
    pub(crate) const fn new(number: u64) -> Self {
        Self { number, shots: 0, chance: Chance(number) }
    }

    /// The next shot, as JSON on one line.
    pub(crate) fn shot(&mut self) -> String {
        let visit = self.shots / VISIT;
        let streak = self.shots % VISIT / STREAK + visit * (VISIT / STREAK);
        let club = BAG[usize::try_from(streak % 13).unwrap()];
        let player = format!("player-{:03}-{}", self.number, visit % PLAYERS);
        let session = format!("visit-{visit:04}");
        self.shot_of(&Strike { player: &player, session: &session, club })
    }

    /// The next shot, by somebody in particular.
    pub(crate) fn shot_of(&mut self, strike: &Strike<'_>) -> String {
        self.shots += 1;
        let at = OPENING + EVERY * i64::try_from(self.shots).unwrap();
        let time = Timestamp::from_second(at).unwrap()
            + SignedDuration::from_millis(i64::from(self.chance.below(1_000)));
        let (bay, shots) = (self.number, self.shots);
        let mut text = String::with_capacity(720);
        let Strike { player, session, club } = strike;
        write!(
            text,
            r#"{{"id":"{shots:07}","source":"bay-{bay:03}","time":"{time}","player":"{player}","club":"{}","session":"{session}","lie":"mat","intent":{{"height":"stock","shape":"straight","swing":"full"}},"ball":"range-b","place":"indoor",{}}}"#,
            club.name,
            self.measures(*club),
        )
        .unwrap();
        text
    }

    fn measures(&mut self, club: Club) -> String {
        let chance = &mut self.chance;
        let speed = club.ball_speed_mps + 0.9 * chance.normal();
        let launch = club.launch_angle_deg + 0.9 * chance.normal();
        let spin = club.spin_rate_rpm + 350.0 * chance.normal();
        let [direction, axis] = [1.6 * chance.normal(), 4.0 * chance.normal()];
        // A smooth carry near the middle of the trade's tables; the service does not judge physics.
        let carry = 3.7 * speed - 28.0 - 0.002 * (spin - 5000.0) + 2.5 * chance.normal();
        let side = carry * (direction + 0.3 * axis).to_radians().sin();
        let [apex, descent] = [0.17 * carry + 0.2 * launch, 30.0 + launch + spin / 1000.0];
        let [head, attack, path, face] =
            [speed / 1.38, -2.5 + chance.normal(), 1.5 * chance.normal(), direction * 0.85];
        let [toe, high] = [6.0 * chance.normal(), 4.0 * chance.normal()];
        format!(
            concat!(
                r#""launch":{{"ball_speed_mps":{:.1},"launch_angle_deg":{:.1},"launch_direction_deg":{:.1},"#,
                r#""spin_rate_rpm":{:.0},"spin_axis_deg":{:.1}}},"#,
                r#""clubhead":{{"speed_mps":{:.1},"attack_angle_deg":{:.1},"head_path_deg":{:.1},"#,
                r#""face_to_target_deg":{:.1},"strike_toe_mm":{:.1},"strike_high_mm":{:.1}}},"#,
                r#""flight":{{"carry_m":{:.2},"total_m":{:.2},"side_m":{:.2},"apex_m":{:.1},"#,
                r#""descent_angle_deg":{:.1},"hang_time_s":{:.2},"origin":"tracked"}},"#,
                r#""air":{{"temperature_c":21.5,"humidity_pct":45}}"#,
            ),
            speed,
            launch,
            direction,
            spin,
            axis,
            head,
            attack,
            path,
            face,
            toe,
            high,
            carry,
            carry * 1.04,
            side,
            apex,
            descent,
            3.2 + carry / 60.0,
        )
    }
}

/// Who hits what, in which visit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strike<'a> {
    pub(crate) player: &'a str,
    pub(crate) session: &'a str,
    pub(crate) club: Club,
}

/// A small source of chance with a seed of its own, so that every run has the same shots.
#[derive(Debug)]
struct Chance(u64);

impl Chance {
    /// `SplitMix64` by Steele, Lea and Flood, 2014 (constants from memory).
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: u32) -> u32 {
        u32::try_from(((self.next() >> 32) * u64::from(end)) >> 32).unwrap()
    }

    /// Near enough to a normal deviate: the sum of twelve even ones, less six.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| f64::from(self.below(1 << 20)) / f64::from(1 << 20)).sum::<f64>() - 6.0
    }
}

/// Shots of several bays side by side, one a line.
pub(crate) fn lines(bays: &mut [Bay], shots: usize) -> String {
    let mut text = String::with_capacity(shots * 700);
    for at in 0..shots {
        text.push_str(&bays[at % bays.len()].shot());
        text.push('\n');
    }
    text
}
