//! Whether other ways to gather evidence would need fewer shots: carry alone, on the statistics' own
//! estimates. What is not taken is shown too, so that it need not be tried again.

use evencarry::stats::{
    self, CARRY_MARGIN_YD, Cell, DELTAS, Estimate, Insufficient, Look, MIN_SHOTS, RUN_SD_CARRY_YD,
    RunEffect, Side, Stratum, Variance,
};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;

use crate::{
    golfer::normal,
    lab::Lab,
    rate::{Share, Waits},
    report::{Bar, Findings, Table},
};

const A_VISIT: u32 = 15;
const MISHITS: f64 = 0.08;
/// Shots of a player's history that tell how far shots scatter, before the clubs meet.
const HISTORY: u32 = 60;
const TRUTHS: [f64; 4] = [5.0, 0.0, 1.0, 2.0];

/// Which effect sizes are bet on.
#[derive(Debug, Clone, Copy)]
enum Bet {
    /// These, in shot sds.
    Fixed(&'static [f64]),
    /// These shares of the margin, in shot sds as the history tells them.
    OfMargin(&'static [f64]),
}

/// What is taken as the run effect.
#[derive(Debug, Clone, Copy)]
enum Run {
    Assumed,
    /// The true one.
    Known,
}

/// What is compared.
#[derive(Debug, Clone, Copy)]
enum Design {
    /// The clubs' means in a visit.
    Means,
    /// The mean of each turn's difference.
    Turns,
}

/// A way to gather evidence.
#[derive(Debug, Clone, Copy)]
struct Way {
    name: &'static str,
    bet: Bet,
    run: Run,
    design: Design,
}

const PRESENT: Way =
    Way { name: "present", bet: Bet::Fixed(&DELTAS), run: Run::Assumed, design: Design::Means };

const WAYS: [Way; 7] = [
    PRESENT,
    Way { name: "one effect size, 0.6", bet: Bet::Fixed(&[0.6]), ..PRESENT },
    Way { name: "one, the margin over the known sd", bet: Bet::OfMargin(&[1.0]), ..PRESENT },
    Way { name: "three about 0.8 of that", bet: Bet::OfMargin(&[0.6, 0.8, 1.0]), ..PRESENT },
    Way { name: "three about all of it", bet: Bet::OfMargin(&[0.75, 1.0, 1.25]), ..PRESENT },
    Way { name: "differences turn by turn", design: Design::Turns, ..PRESENT },
    Way { name: "the run effect known", run: Run::Known, ..PRESENT },
];

/// How shots scatter: name, sd of a shot, true run effect, the sd of what both clubs share in a
/// turn; yards.
const SCATTERS: [(&str, [f64; 3]); 6] = [
    ("sd 7", [7.0, RUN_SD_CARRY_YD, 0.0]),
    // Were three tenths of the variance explained by what is measured of the strike and both clubs
    // share. What a club changes itself (speed, launch, spin) cannot be taken out: it is the question.
    ("sd 5.9", [5.9, RUN_SD_CARRY_YD, 0.0]),
    ("sd 4.5", [4.5, RUN_SD_CARRY_YD, 0.0]),
    ("sd 10", [10.0, RUN_SD_CARRY_YD, 0.0]),
    ("sd 7, half the run effect", [7.0, 0.5 * RUN_SD_CARRY_YD, 0.0]),
    ("sd 7, moods of 3.5", [7.0, RUN_SD_CARRY_YD, 3.5]),
];

pub(crate) fn play(lab: &Lab) -> Findings {
    let head = ["way", "shots", "false at 5 yd, %", "0 yd", "1 yd", "2 yd"];
    let mut table = Table::new(&head);
    let mut present = None;
    for (name, scatter) in SCATTERS {
        let runs = TRUTHS.map(|yards| {
            let cell = format!("betting, {name}, {yards}");
            lab.play(&cell, |dice| watch(lab, scatter, yards, dice))
        });
        for (at, way) in WAYS.iter().enumerate() {
            let of = |truth: usize| runs[truth].iter().map(move |proven| proven[at]);
            let wrong = Share::of(of(0).map(|proven| proven.is_some()));
            let waits = |truth| Waits::of(of(truth), lab.shots()).shown();
            let mut row = vec![way.name.to_owned(), name.to_owned(), wrong.with_interval()];
            row.extend((1..TRUTHS.len()).map(waits));
            table.row(row);
            present = present.or(Some(wrong));
        }
    }
    let present = present.unwrap_or(Share { hits: 0, of: 0 });
    Findings {
        title: "Other ways to gather evidence",
        about: "Carry within 5 yd, 15 a visit, a look after every pair: false share at 5 yd, and \
                shots of each club until proven, median / nine tenths. Only the present way is in \
                the program."
            .to_owned(),
        tables: vec![table],
        bars: Vec::new(),
        rough: vec![Bar {
            promise: "the present way is seldom wrong: under 15 %".to_owned(),
            came_out: format!("{present} %"),
            held: present.value() < 0.15,
        }],
    }
}

/// One visit's screened shots.
#[derive(Default)]
struct Visit {
    candidate: Cell,
    incumbent: Cell,
    turns: Cell,
}

/// Shots a club after which each way had both sides of the margin proven.
fn watch(
    lab: &Lab,
    [sd, run, shared]: [f64; 3],
    yards: f64,
    mut dice: ChaCha8Rng,
) -> [Option<u32>; WAYS.len()] {
    let own = (sd * sd - shared * shared).sqrt();
    let known = (0..HISTORY).map(|_| sd * normal(&mut dice)).collect::<Vec<f64>>();
    let known = Cell::of(&known).unwrap();
    let known = (known.squares() / f64::from(HISTORY - 1)).sqrt();
    let mut watched = WAYS.map(|way| Watched::new(way, run, known));
    let mut visits: Vec<Visit> = Vec::new();
    let mut days = [0.0; 2];
    for shot in 0..lab.shots() {
        if shot % A_VISIT == 0 {
            visits.push(Visit::default());
            days = days.map(|_| run * normal(&mut dice));
        }
        let visit = visits.last_mut().unwrap();
        let turn = shared * normal(&mut dice);
        let [candidate, incumbent] = [yards + days[0], days[1]].map(|level| {
            let carry = level + turn + own * normal(&mut dice);
            (dice.random::<f64>() >= MISHITS).then_some(carry)
        });
        for (cell, carry) in [(&mut visit.candidate, candidate), (&mut visit.incumbent, incumbent)]
        {
            if let Some(carry) = carry {
                cell.push(carry).unwrap();
            }
        }
        if let (Some(candidate), Some(incumbent)) = (candidate, incumbent) {
            visit.turns.push(candidate - incumbent).unwrap();
        }
        for way in &mut watched {
            way.look(&visits, shot + 1);
        }
    }
    watched.map(|way| Some(way.proven[0]?.max(way.proven[1]?)))
}

/// One way's evidence.
struct Watched {
    way: Way,
    deltas: Vec<f64>,
    run: f64,
    /// Shots a club after which "above −5" and "below 5" were proven.
    proven: [Option<u32>; 2],
}

impl Watched {
    fn new(way: Way, run: f64, known_sd: f64) -> Self {
        let deltas = match way.bet {
            Bet::Fixed(deltas) => deltas.to_vec(),
            Bet::OfMargin(shares) => {
                shares.iter().map(|share| share * CARRY_MARGIN_YD / known_sd).collect()
            }
        };
        let run = match way.run {
            Run::Assumed => RUN_SD_CARRY_YD,
            Run::Known => run,
        };
        Self { way, deltas, run, proven: [None; 2] }
    }

    fn look(&mut self, visits: &[Visit], shots: u32) {
        if self.proven.iter().all(Option::is_some) {
            return;
        }
        let Ok(estimate) = self.estimate(visits) else { return };
        if estimate.shots.fewest() < MIN_SHOTS {
            return;
        }
        let Ok(look) = Look::at(&estimate) else { return };
        let sides = [(-CARRY_MARGIN_YD, Side::Above), (CARRY_MARGIN_YD, Side::Below)];
        for (proven, (bound, side)) in self.proven.iter_mut().zip(sides) {
            let enough =
                proven.is_none() && look.log_e(bound, side, &self.deltas) >= stats::proof();
            if enough {
                *proven = Some(shots);
            }
        }
    }

    fn estimate(&self, visits: &[Visit]) -> Result<Estimate, Insufficient> {
        match self.way.design {
            Design::Means => {
                let strata = (0..).zip(visits).map(|(session, visit)| Stratum {
                    session,
                    candidate: &visit.candidate,
                    incumbent: &visit.incumbent,
                });
                stats::blocked_difference(strata, RunEffect::Sd(self.run), Variance::Welch)
            }
            Design::Turns => {
                let run = RunEffect::Sd(std::f64::consts::SQRT_2 * self.run);
                stats::blocked_mean(visits.iter().map(|visit| &visit.turns), run)
            }
        }
    }
}
