//! The ways in which shots may fall: what the lab plays, from what the method assumes to what it
//! does not.

use evencarry::stats::{
    MEAN_RUN_SD_CARRY_YD, MEAN_RUN_SD_LAUNCH_DEG, MEAN_RUN_SD_SPIN_RPM, Measure, RUN_SD_CARRY_YD,
    RUN_SD_LAUNCH_DEG, RUN_SD_SPIN_RPM, Test,
};

/// A figure of carry (yd), launch (deg) and spin (rpm).
pub(crate) type Figures = [f64; 3];

/// Sd of a shot: an assumption, round figures of a good amateur.
pub(crate) const SHOT_SD: Figures = [7.0, 1.2, 350.0];
/// What the method assumes of a club's own day, until a history says more.
pub(crate) const RUN_FLOOR: Figures = [RUN_SD_CARRY_YD, RUN_SD_LAUNCH_DEG, RUN_SD_SPIN_RPM];
/// What it assumes of the whole day.
pub(crate) const DAY_FLOOR: Figures =
    [MEAN_RUN_SD_CARRY_YD, MEAN_RUN_SD_LAUNCH_DEG, MEAN_RUN_SD_SPIN_RPM];

/// How a shot falls about its mean; all have the same sd.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Noise {
    Normal,
    /// A long tail of short, low, slow shots: a gamma of shape 4, mirrored.
    Skewed,
    /// Student's t of 5 degrees of freedom.
    HeavyTailed,
}

/// Who is still getting better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Learning {
    Nobody,
    /// The player: both clubs begin 1.5 shot sds lower.
    Player,
    /// The player with the candidate: its difference begins up to one shot sd nearer to a wanted
    /// one than it is in the end.
    Candidate,
}

/// What happens within a visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Course {
    Steady,
    /// The first turns fall short by up to 0.8 shot sds.
    WarmingUp,
    /// And the last by 0.6.
    WarmingUpAndTiring,
    /// Half a shot sd comes and goes slowly, with both clubs.
    PlayersMood,
    /// The same, each club by itself.
    ClubsMood,
}

/// In what order two clubs are hit in a visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Order {
    InTurn,
    /// All shots of the candidate, then all of the incumbent.
    CandidateFirst,
}

/// One way for shots to fall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Setting {
    pub(crate) name: &'static str,
    /// Shots of each club in a visit.
    pub(crate) a_visit: u32,
    /// The sd of a club's own day, in floors.
    pub(crate) run: f64,
    /// Visits with four other clubs before the clubs first meet.
    pub(crate) visits_before: u32,
    pub(crate) noise: Noise,
    /// Share of mishits: 33 yd short, with a smash factor far below.
    pub(crate) mishits: f64,
    /// Share of half mishits: 10 yd short, with a smash factor that the screen may let pass.
    pub(crate) half_mishits: f64,
    pub(crate) learning: Learning,
    pub(crate) course: Course,
    pub(crate) order: Order,
}

/// The setting that the method's constants were chosen in.
pub(crate) const BASE: Setting = Setting {
    name: "as assumed, 15 a visit",
    a_visit: 15,
    run: 1.0,
    visits_before: 0,
    noise: Noise::Normal,
    mishits: 0.08,
    half_mishits: 0.0,
    learning: Learning::Nobody,
    course: Course::Steady,
    order: Order::InTurn,
};

/// The same in short visits.
pub(crate) const SHORT_VISITS: Setting =
    Setting { name: "as assumed, 5 a visit", a_visit: 5, ..BASE };

/// The same in long visits.
pub(crate) const LONG_VISITS: Setting =
    Setting { name: "as assumed, 50 a visit", a_visit: 50, ..BASE };

/// Settings in which the promise holds: a club's own day is at most what is assumed, and whatever
/// else happens happens to both clubs.
pub(crate) const WITHIN_THE_PROMISE: [Setting; 15] = [
    BASE,
    SHORT_VISITS,
    LONG_VISITS,
    Setting { name: "no effect of the day", run: 0.0, ..BASE },
    Setting { name: "half the assumed effect of the day", run: 0.5, ..BASE },
    Setting { name: "skewed", noise: Noise::Skewed, ..BASE },
    Setting { name: "heavy tails", noise: Noise::HeavyTailed, ..BASE },
    Setting { name: "no mishits", mishits: 0.0, ..BASE },
    Setting { name: "15 % mishits", mishits: 0.15, ..BASE },
    Setting { name: "20 % mishits", mishits: 0.2, ..BASE },
    Setting { name: "15 % half mishits", half_mishits: 0.15, ..BASE },
    Setting { name: "the player gets better", learning: Learning::Player, ..BASE },
    Setting { name: "warming up and tiring", course: Course::WarmingUpAndTiring, ..BASE },
    Setting { name: "moods of the player", course: Course::PlayersMood, ..BASE },
    Setting {
        name: "skewed, 20 % mishits, getting better, tiring",
        noise: Noise::Skewed,
        mishits: 0.2,
        learning: Learning::Player,
        course: Course::WarmingUpAndTiring,
        ..BASE
    },
];

/// Settings that break an assumption: shown so that it is known by how much they are wrong.
pub(crate) const BEYOND_THE_PROMISE: [Setting; 8] = [
    Setting { name: "1.5 times the assumed effect of the day", run: 1.5, ..BASE },
    Setting { name: "twice", run: 2.0, ..BASE },
    Setting { name: "twice, 4 visits before", run: 2.0, visits_before: 4, ..BASE },
    Setting { name: "twice, 10 visits before", run: 2.0, visits_before: 10, ..BASE },
    Setting { name: "moods of each club", course: Course::ClubsMood, ..BASE },
    Setting { name: "the candidate is still learnt", learning: Learning::Candidate, ..BASE },
    Setting { name: "candidate first, not in turn", order: Order::CandidateFirst, ..BASE },
    Setting {
        name: "candidate first, warming up",
        order: Order::CandidateFirst,
        course: Course::WarmingUp,
        ..BASE
    },
];

/// Candidate minus incumbent of a candidate that fills the default brief.
pub(crate) const TRUE_REPLACEMENT: Figures = [0.0, -3.3, -1000.0];

/// The same with another difference of carry, yards.
pub(crate) const fn carry_apart(yards: f64) -> Figures {
    [yards, TRUE_REPLACEMENT[1], TRUE_REPLACEMENT[2]]
}

/// The true difference that a test is about.
pub(crate) fn truth(test: &Test, apart: Figures) -> f64 {
    match test.quantity.measure {
        Measure::Carry => apart[0],
        Measure::Launch => apart[1],
        Measure::Spin => apart[2],
        Measure::Other(_) => f64::NAN,
    }
}
