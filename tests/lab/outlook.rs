//! Whether a stated chance comes true as often as it says.

use evencarry::{
    bag::{Brief, Looks, Pair},
    stats::{Measure, OutlookWord, Side, Test},
};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions},
    golfer::{Golfer, normal},
    lab::Lab,
    rate::Share,
    report::{Bar, Findings, Table},
    setting::{BASE, Figures, Setting, truth},
};

/// How many times the usual number of runs: a word is said of few of them.
const TIMES: usize = 10;
const WORDS: [OutlookWord; 5] = [
    OutlookWord::Unlikely,
    OutlookWord::LeaningAgainst,
    OutlookWord::Even,
    OutlookWord::LeaningFor,
    OutlookWord::Likely,
];
/// Shots of each club, and in a visit.
const SEEN: [[u32; 2]; 2] = [[15, 15], [30, 15]];

/// Where candidates come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Truths {
    /// What the outlook supposes.
    Prior,
    /// Any neighbour in the bag: carry, launch and spin move with the loft.
    AnyNeighbour,
    /// Picked with care.
    Picked,
}

/// How near what answers state of their calibration has to come, and to how many runs at least.
const CALIBRATED: (f64, usize) = (0.1, 100);
/// The shots a club that answers state their calibration for.
const CALIBRATED_AT: u32 = 15;

const TRUTHS: [(Truths, &str); 3] = [
    (Truths::Prior, "the stated prior"),
    (Truths::AnyNeighbour, "any neighbour"),
    (Truths::Picked, "picked with care"),
];

/// A stated chance and whether the brief was true.
#[derive(Debug, Clone, Copy)]
struct Said {
    chance: f64,
    came_true: bool,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let mut head = vec!["shots a club", "candidates from", "0.75 to 0.85"];
    head.extend(WORDS.map(OutlookWord::word));
    let mut table = Table::new(&head);
    let (mut bars, mut rough) = (Vec::new(), Vec::new());
    for [shots, a_visit] in SEEN {
        for (truths, name) in TRUTHS {
            let cell = format!("outlook, {name}, {shots}");
            let runs = lab.play_runs(TIMES * lab.options.runs, &cell, |dice| {
                said(truths, [shots, a_visit], dice)
            });
            let runs: Vec<Said> = runs.into_iter().flatten().collect();
            let near: Vec<Said> =
                runs.iter().copied().filter(|run| (0.75..0.85).contains(&run.chance)).collect();
            if truths == Truths::Prior {
                bars.push(bar(shots, &near));
                rough.push(on_average(shots, &runs));
            }
            let by_word = WORDS.map(|word| {
                let said = |run: &Said| OutlookWord::of(run.chance) == word;
                runs.iter().copied().filter(said).collect::<Vec<_>>()
            });
            if shots == CALIBRATED_AT {
                bars.push(calibration((truths, name), &by_word));
            }
            let mut row = vec![shots.to_string(), name.to_owned(), stated_and_true(&near)];
            row.extend(by_word.iter().map(|runs| stated_and_true(runs)));
            table.row(row);
        }
    }
    Findings {
        title: "Outlook",
        about: format!(
            "Of the runs in which a chance was stated: its mean, and the share that was true (runs). \
             Under 30 runs nothing is said. {} runs a row.",
            TIMES * lab.options.runs
        ),
        tables: vec![table],
        bars,
        rough,
    }
}

fn on_average(shots: u32, runs: &[Said]) -> Bar {
    let share = Share::of(runs.iter().map(|run| run.came_true)).value();
    let stated = runs.iter().map(|run| run.chance).sum::<f64>() / runs.len() as f64;
    Bar {
        promise: format!("the chances after {shots} shots are right on average, within 0.1"),
        came_out: format!("{stated:.2} said, {share:.2} true"),
        held: (stated - share).abs() <= 0.1,
    }
}

fn bar(shots: u32, near: &[Said]) -> Bar {
    let share = Share::of(near.iter().map(|run| run.came_true));
    Bar {
        promise: format!("0.8 said after {shots} shots a club is true in 0.7 to 0.9, by the prior"),
        came_out: format!("{} % of {}", share.with_interval(), share.of),
        held: (0.7..=0.9).contains(&share.value()),
    }
}

/// What answers state of a word's calibration beside what came out, at worst.
fn calibration((truths, name): (Truths, &str), by_word: &[Vec<Said>; WORDS.len()]) -> Bar {
    let off = WORDS.iter().zip(by_word).filter_map(|(word, runs)| {
        let share = Share::of(runs.iter().map(|run| run.came_true));
        let stated = truths.stated(*word).filter(|_| share.of >= CALIBRATED.1)?;
        Some((stated - share.value()).abs())
    });
    let worst = off.fold(0.0, f64::max);
    Bar {
        promise: format!("{name}: the calibration that answers state, within 0.1"),
        came_out: format!("{worst:.2} off at worst"),
        held: worst <= CALIBRATED.0,
    }
}

fn stated_and_true(runs: &[Said]) -> String {
    let share = Share::of(runs.iter().map(|run| run.came_true));
    if share.of < 30 {
        return format!("– ({})", share.of);
    }
    let stated = runs.iter().map(|run| run.chance).sum::<f64>() / share.of as f64;
    format!("{stated:.2} → {:.2} ({})", share.value(), share.of)
}

/// What the service says of one candidate, after the mishits' screen has had its say.
fn said(truths: Truths, [shots, a_visit]: [u32; 2], mut dice: ChaCha8Rng) -> Option<Said> {
    let apart = truths.draw(&mut dice);
    let setting = Setting { a_visit, ..BASE };
    let rows = Golfer::new(&setting, &[apart], dice).season(shots);
    let asked = asked(1, &Brief::default());
    let questions = questions(&rows, &asked, Looks::SessionEnds);
    let mut desk = Desk::new(&rows, Alarms::Heeded);
    desk.read_to(rows.len());
    let standing = Pair::new(questions[0].clone()).advance(desk.player());
    let came_true = questions[0].tests.iter().all(|test| holds(test, apart));
    let answer = desk.answer(&asked, &[(questions[0].clone(), standing)]);
    let chance = answer.candidates[0].outlook?.chance;
    Some(Said { chance, came_true })
}

fn holds(test: &Test, apart: Figures) -> bool {
    let truth = truth(test, apart);
    match test.side {
        Side::Above => truth > test.bound,
        Side::Below => truth < test.bound,
    }
}

impl Truths {
    /// The share that answers say was true behind a word.
    fn stated(self, word: OutlookWord) -> Option<f64> {
        let calibration = word.calibration();
        match self {
            Self::Prior => Some(calibration.of_the_prior),
            Self::AnyNeighbour => calibration.of_any_neighbour,
            Self::Picked => Some(calibration.of_a_careful_pick),
        }
    }

    fn draw(self, dice: &mut ChaCha8Rng) -> Figures {
        match self {
            Self::Prior => [Measure::Carry, Measure::Launch, Measure::Spin].map(|measure| {
                let prior = measure.outlook_prior().unwrap();
                prior.mean + prior.sd * normal(dice)
            }),
            Self::AnyNeighbour => {
                let loft = 3.0 * normal(dice);
                [
                    1.8 * loft + 6.0 * normal(dice),
                    0.7 * loft - 0.5 + 1.2 * normal(dice),
                    170.0 * loft - 150.0 + 450.0 * normal(dice),
                ]
            }
            Self::Picked => {
                [2.5 * normal(dice), -3.3 + normal(dice), -1_000.0 + 300.0 * normal(dice)]
            }
        }
    }
}
