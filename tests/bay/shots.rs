//! The shots of the day and of the visits before it: invented, by a generator with a fixed seed.

use serde_json::{Value, json};

/// Metres in a yard, from the definition.
const YARD: f64 = 0.9144;

/// The two clubs that are tried against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Club {
    /// Launches high.
    Incumbent,
    /// Carries the same, lower and with less spin.
    Candidate,
}

impl Club {
    /// Its id.
    pub(crate) fn id(self) -> &'static str {
        match self {
            Self::Incumbent => "5h",
            Self::Candidate => "4u",
        }
    }

    /// Carry in yards, launch in degrees, spin in rpm: what it does in the mean.
    fn flight(self) -> (f64, f64, f64) {
        match self {
            Self::Incumbent => (173.0, 17.0, 5_200.0),
            Self::Candidate => (173.4, 14.0, 4_200.0),
        }
    }
}

/// One ball that was hit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hit {
    day: u32,
    minute: u32,
    club: Club,
    ball: &'static str,
    measured: Value,
}

impl Hit {
    /// Its id within the bay.
    pub(crate) fn id(&self) -> String {
        format!("{}-{}", self.day, self.minute)
    }

    /// When it was hit.
    pub(crate) fn time(&self) -> String {
        let (hour, minute) = (10 + self.minute / 60, self.minute % 60);
        format!("2026-03-{:02}T{hour}:{minute:02}:00Z", self.day)
    }

    /// The event as a device sends it that knows neither player nor club nor ball.
    pub(crate) fn measured(&self) -> Value {
        let mut event = self.measured.clone();
        event["id"] = self.id().into();
        event["source"] = "bay-3".into();
        event["time"] = self.time().into();
        event
    }

    /// The event with all that is true of it.
    pub(crate) fn in_full(&self) -> Value {
        let mut event = self.measured();
        event["player"] = "rowan".into();
        event["club"] = self.club.id().into();
        event["ball"] = self.ball.into();
        event
    }
}

/// Small deviates with mean 0 and sd 1, from a linear congruential generator with the constants of
/// Knuth's MMIX: twelve uniforms, summed.
struct Deviates(u64);

impl Deviates {
    fn next(&mut self) -> f64 {
        let mut sum = -6.0;
        for _ in 0..12 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            sum += f64::from(u32::try_from(self.0 >> 32).unwrap()) / f64::from(u32::MAX);
        }
        sum
    }

    fn hit(&mut self, (day, minute): (u32, u32), club: Club, ball: &'static str) -> Hit {
        let tenth = |value: f64| (value * 10.0).round() / 10.0;
        let (carry_yd, launch, spin) = club.flight();
        let measured = json!({
            "launch": {
                "ball_speed_mps": tenth(self.next().mul_add(0.5, 52.0)),
                "launch_angle_deg": tenth(self.next().mul_add(1.1, launch)),
                "spin_rate_rpm": self.next().mul_add(300.0, spin).round(),
            },
            "flight": {
                "carry_m": tenth(self.next().mul_add(5.0, carry_yd) * YARD),
                "origin": "tracked",
            },
        });
        Hit { day, minute, club, ball, measured }
    }
}

/// Twelve visits in which both clubs were hit in turn.
pub(crate) fn history() -> Vec<Hit> {
    let mut deviates = Deviates(11);
    let mut hits = Vec::new();
    for day in 1..=12 {
        for pair in 0..6 {
            hits.push(deviates.hit((day, 2 * pair), Club::Incumbent, "range-b"));
            hits.push(deviates.hit((day, 2 * pair + 1), Club::Candidate, "range-b"));
        }
    }
    hits
}

/// The day, stint by stint.
pub(crate) struct Day {
    /// Nobody has said who is hitting.
    pub(crate) before_anyone_was_named: Vec<Hit>,
    /// The incumbent.
    pub(crate) first_stint: Vec<Hit>,
    /// The candidate, while the bay still believes in the incumbent.
    pub(crate) club_not_changed: Vec<Hit>,
    /// The candidate.
    pub(crate) second_stint: Vec<Hit>,
    /// The candidate, while the network is cut.
    pub(crate) kept_by_the_device: Vec<Hit>,
    /// The incumbent, when the network is back.
    pub(crate) after_the_cut: Vec<Hit>,
    /// The incumbent with new balls.
    pub(crate) new_balls_incumbent: Vec<Hit>,
    /// The candidate with new balls.
    pub(crate) new_balls_candidate: Vec<Hit>,
    /// Two of them, hit while the phone rang.
    pub(crate) disturbed: Vec<Hit>,
}

/// The day that is looked at.
pub(crate) fn the_day() -> Day {
    let mut deviates = Deviates(23);
    let mut minute = 0;
    let mut stint = |balls: u32, club: Club, ball: &'static str| -> Vec<Hit> {
        let hits = (0..balls).map(|at| deviates.hit((20, minute + at), club, ball)).collect();
        minute += balls;
        hits
    };
    let mut day = Day {
        before_anyone_was_named: stint(4, Club::Incumbent, "range-b"),
        first_stint: stint(8, Club::Incumbent, "range-b"),
        club_not_changed: stint(6, Club::Candidate, "range-b"),
        second_stint: stint(6, Club::Candidate, "range-b"),
        kept_by_the_device: stint(6, Club::Candidate, "range-b"),
        after_the_cut: stint(6, Club::Incumbent, "range-b"),
        new_balls_incumbent: stint(6, Club::Incumbent, "range-c"),
        new_balls_candidate: stint(6, Club::Candidate, "range-c"),
        disturbed: Vec::new(),
    };
    for disturbed in [&mut day.first_stint[3], &mut day.new_balls_candidate[2]] {
        // Hit with half a mind.
        disturbed.measured["flight"]["carry_m"] = json!(131.0);
        day.disturbed.push(disturbed.clone());
    }
    day
}

impl Day {
    /// All shots that stand, in the order in which the bay's messages arrived.
    pub(crate) fn as_it_arrived(&self) -> Vec<Hit> {
        let stints = [
            &self.before_anyone_was_named,
            &self.first_stint,
            &self.club_not_changed,
            &self.second_stint,
            &self.after_the_cut,
            &self.kept_by_the_device,
            &self.new_balls_incumbent,
            &self.new_balls_candidate,
        ];
        let hits = stints.into_iter().flatten();
        hits.filter(|hit| !self.disturbed.contains(hit)).cloned().collect()
    }

    /// The same in the order in which they were hit.
    pub(crate) fn as_it_was_hit(&self) -> Vec<Hit> {
        let mut hits = self.as_it_arrived();
        hits.sort_by_key(|hit| hit.minute);
        hits
    }
}
