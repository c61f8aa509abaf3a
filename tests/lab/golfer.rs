//! A player whose shots fall as a setting says.

use evencarry::{
    bag::Row,
    shot::{Flags, Intent, Lie, Measure, Measures, Purpose, Sequence},
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Gamma, StandardNormal, StudentT};

use crate::setting::{
    Course, DAY_FLOOR, Figures, Learning, Noise, Order, RUN_FLOOR, SHOT_SD, Setting,
    TRUE_REPLACEMENT,
};

/// The metres of a yard, from the definition.
const YARD: f64 = 0.9144;
/// What the incumbent does: an invented middle club.
pub(crate) const INCUMBENT: Figures = [165.0, 16.0, 4_800.0];
/// Clubhead speed, m/s.
const HEAD_MPS: f64 = 38.0;
/// Smash factor of a good strike, its sd, and how much of it goes with the carry.
const SMASH: [f64; 3] = [1.42, 0.015, 0.5];
/// Smash factor of a mishit, its sd, and the yards it costs.
const MISHIT: [f64; 3] = [1.28, 0.02, 33.0];
/// What a half mishit takes of the smash factor, and of the carry.
const HALF_MISHIT: [f64; 2] = [0.04, 10.0];
/// Shots of a club after which a learner has made up all but 1/e.
const LEARNT_IN: f64 = 60.0;
/// How much of a mood is left after a shot, and what share of the shot's sd it has.
const MOOD: [f64; 2] = [0.8, 0.5];
/// The clubs of the visits before, and the shots of each in a visit.
const OTHERS: [u32; 2] = [4, 10];

struct Club {
    /// Differences to the incumbent in the long run.
    apart: Figures,
    hits: u32,
    day: Figures,
    mood: f64,
}

/// Draws from the setting's noise, of mean 0 and sd 1.
enum Falls {
    Normal,
    Skewed(Gamma<f64>),
    HeavyTailed(StudentT<f64>),
}

/// A player with an incumbent (club 0) and candidates; the clubs of a history come after them.
pub(crate) struct Golfer<'a> {
    setting: &'a Setting,
    dice: ChaCha8Rng,
    falls: Falls,
    clubs: Vec<Club>,
    day: Figures,
    mood: f64,
    visits: u32,
    candidates: u32,
    blank: Row,
    pub(crate) rows: Vec<Row>,
    /// Which of them are mishits.
    pub(crate) mishits: Vec<bool>,
}

impl<'a> Golfer<'a> {
    /// A player who has hit nothing; the candidates by their true differences to the incumbent.
    pub(crate) fn new(setting: &'a Setting, candidates: &[Figures], dice: ChaCha8Rng) -> Self {
        let others = OTHERS[0] * setting.visits_before.min(1);
        let apart = [Figures::default()].into_iter().chain(candidates.iter().copied());
        let clubs = apart
            .chain((0..others).map(|_| Figures::default()))
            .map(|apart| Club { apart, hits: 0, day: Figures::default(), mood: 0.0 })
            .collect();
        Self {
            setting,
            dice,
            falls: match setting.noise {
                Noise::Normal => Falls::Normal,
                Noise::Skewed => Falls::Skewed(Gamma::new(4.0, 0.5).unwrap()),
                Noise::HeavyTailed => Falls::HeavyTailed(StudentT::new(5.0).unwrap()),
            },
            clubs,
            day: Figures::default(),
            mood: 0.0,
            visits: 0,
            candidates: u32::try_from(candidates.len()).unwrap(),
            blank: blank(),
            rows: Vec::new(),
            mishits: Vec::new(),
        }
    }

    /// All that a player hits who tries the candidates with so many shots of each club.
    pub(crate) fn season(&mut self, shots: u32) -> Vec<Row> {
        self.history();
        let mut left = shots;
        while left > 0 {
            let now = left.min(self.setting.a_visit);
            self.visit(now);
            left -= now;
        }
        std::mem::take(&mut self.rows)
    }

    /// The visits before the clubs meet.
    pub(crate) fn history(&mut self) {
        let first = self.candidates + 1;
        for _ in 0..self.setting.visits_before {
            self.arrive();
            for _ in 0..OTHERS[1] {
                (first..first + OTHERS[0]).for_each(|club| self.hit(club, 0.5));
            }
        }
    }

    /// A visit with so many shots of the incumbent and of each candidate.
    pub(crate) fn visit(&mut self, shots: u32) {
        self.arrive();
        let clubs = self.candidates + 1;
        let all = shots * clubs;
        for turn in 0..all {
            let club = match self.setting.order {
                Order::InTurn => (turn + 1) % clubs,
                Order::CandidateFirst => (turn / shots + 1) % clubs,
            };
            self.hit(club, f64::from(turn) / f64::from(all));
        }
    }

    /// A club that is not what it was: it changes by so much from now on.
    pub(crate) fn shift(&mut self, club: usize, yards: f64) {
        self.clubs[club].apart[0] += yards;
    }

    /// Begins a visit: the day's effects are drawn. With a club's own day at its floor the whole
    /// day is at its own.
    fn arrive(&mut self) {
        self.visits += 1;
        for measure in 0..3 {
            let common = DAY_FLOOR[measure].powi(2) - RUN_FLOOR[measure].powi(2);
            self.day[measure] = common.sqrt() * normal(&mut self.dice);
        }
        self.mood = normal(&mut self.dice);
        for club in &mut self.clubs {
            club.day = RUN_FLOOR.map(|sd| self.setting.run * sd * normal(&mut self.dice));
            club.mood = normal(&mut self.dice);
        }
    }

    /// Hits one ball; `done` is the share of the visit that lies behind.
    fn hit(&mut self, number: u32, done: f64) {
        let course = self.course(number as usize, done);
        let setting = self.setting;
        let falls = [0; 3].map(|_| self.falls.draw(&mut self.dice));
        let club = &mut self.clubs[number as usize];
        let new = (-f64::from(club.hits) / LEARNT_IN).exp();
        club.hits += 1;
        let (mood, moody) = match setting.course {
            Course::PlayersMood => (self.mood, MOOD[1]),
            Course::ClubsMood => (club.mood, MOOD[1]),
            Course::Steady | Course::WarmingUp | Course::WarmingUpAndTiring => (0.0, 0.0),
        };
        let mut figures = Figures::default();
        for measure in 0..3 {
            let apart = club.apart[measure];
            let learnt = match setting.learning {
                Learning::Player => -1.5 * new,
                Learning::Candidate if number == 1 => {
                    new * ((TRUE_REPLACEMENT[measure] - apart) / SHOT_SD[measure]).clamp(-1.0, 1.0)
                }
                Learning::Nobody | Learning::Candidate => 0.0,
            };
            let fall = (1.0 - moody * moody).sqrt() * falls[measure] + moody * mood;
            figures[measure] = INCUMBENT[measure]
                + apart
                + self.day[measure]
                + club.day[measure]
                + SHOT_SD[measure] * (fall + course + learnt);
        }
        let smash = self.strike(&mut figures[0], falls[0]);
        self.tell(number, figures, smash);
    }

    /// What the course of the visit adds, in shot sds; moods move on.
    fn course(&mut self, club: usize, done: f64) -> f64 {
        let next = |mood: f64, dice: &mut ChaCha8Rng| {
            MOOD[0] * mood + (1.0 - MOOD[0] * MOOD[0]).sqrt() * normal(dice)
        };
        let cold = -0.8 * (-done / 0.2).exp();
        match self.setting.course {
            Course::Steady => {}
            Course::PlayersMood => self.mood = next(self.mood, &mut self.dice),
            Course::ClubsMood => {
                self.clubs[club].mood = next(self.clubs[club].mood, &mut self.dice);
            }
            Course::WarmingUp => return cold,
            Course::WarmingUpAndTiring => return cold - 0.6 * done,
        }
        0.0
    }

    /// The smash factor of a strike, which may spoil the carry.
    fn strike(&mut self, carry_yd: &mut f64, fall: f64) -> f64 {
        let [good, sd, shared] = SMASH;
        let own = normal(&mut self.dice);
        let kind: f64 = self.dice.random();
        let mishit = kind < self.setting.mishits;
        self.mishits.push(mishit);
        if mishit {
            *carry_yd -= MISHIT[2];
            return MISHIT[0] + MISHIT[1] * own;
        }
        let smash = good + sd * (shared * fall + (1.0 - shared * shared).sqrt() * own);
        if kind < self.setting.mishits + self.setting.half_mishits {
            *carry_yd -= HALF_MISHIT[1];
            return smash - HALF_MISHIT[0];
        }
        smash
    }

    fn tell(&mut self, club: u32, [carry_yd, launch_deg, spin_rpm]: Figures, smash: f64) {
        let mut measures = Measures::NONE;
        let head = HEAD_MPS * (1.0 + 0.02 * normal(&mut self.dice));
        measures.set(Measure::Carry, carry_yd * YARD);
        measures.set(Measure::LaunchAngle, launch_deg);
        measures.set(Measure::SpinRate, spin_rpm);
        measures.set(Measure::ClubheadSpeed, head);
        measures.set(Measure::BallSpeed, smash * head);
        let sequence = Sequence::new(self.rows.len() as u64 + 1);
        let session = self.visits - 1;
        self.rows.push(Row { sequence, session, club, measures, ..self.blank.clone() });
    }
}

impl Falls {
    fn draw(&self, dice: &mut ChaCha8Rng) -> f64 {
        match self {
            Self::Normal => normal(dice),
            Self::Skewed(gamma) => 2.0 - gamma.sample(dice),
            Self::HeavyTailed(t) => (3.0_f64 / 5.0).sqrt() * t.sample(dice),
        }
    }
}

/// Numbers of one run, the same whichever core plays it.
pub(crate) fn dice(seed: u64, run: usize) -> ChaCha8Rng {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    dice.set_stream(run as u64);
    dice
}

/// A standard normal number.
pub(crate) fn normal(dice: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(dice)
}

fn blank() -> Row {
    Row {
        sequence: Sequence::new(0),
        time: "2026-04-11T10:15:04Z".parse().unwrap(),
        date: "2026-04-11".parse().unwrap(),
        source: 0,
        session: 0,
        club: 0,
        ball: 0,
        lie: Some(Lie::Mat),
        wet: false,
        place: None,
        intent: Intent::default(),
        purpose: Purpose::Practice,
        set_aside: false,
        retired: false,
        spin_origin: None,
        speed_origin: None,
        flight_origin: None,
        flags: Flags::NONE,
        measures: Measures::NONE,
        surroundings: None,
    }
}
