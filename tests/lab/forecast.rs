//! Whether the shots that are said to be needed are the shots that are needed.

use evencarry::bag::{Brief, Looks, Pair, Row};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions, verdict, watch},
    golfer::{Golfer, normal},
    lab::Lab,
    rate::{Share, quantile},
    report::{Bar, Findings, Table},
    setting::{BASE, carry_apart},
};

/// Shots a club when the plan is asked for.
const ASKED_AT: [u32; 4] = [15, 30, 45, 60];
/// From here on it is held to its bar.
const JUDGED_FROM: u32 = 30;
/// Shots a club for which a run is watched, in times of the usual.
const LONG: u32 = 3;
/// Where the median of planned over needed has to lie.
const RATIO: [f64; 2] = [0.75, 1.4];

/// True differences of carry, yards.
#[derive(Debug, Clone, Copy)]
enum Apart {
    Exactly(f64),
    /// As the plan supposes.
    ByThePrior,
}

const CASES: [(Apart, &str); 4] = [
    (Apart::Exactly(0.0), "0 yd"),
    (Apart::Exactly(1.0), "1 yd"),
    (Apart::Exactly(2.0), "2 yd"),
    (Apart::ByThePrior, "0 ± 2.5 yd"),
];

/// A run that was undecided when the plan was asked for.
struct Plan {
    /// Shots a club in all, as planned; none where there was no plan.
    planned: Option<u32>,
    /// In all, as needed; none where the watch ended first.
    needed: Option<u32>,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let head =
        ["apart", "asked at", "undecided, %", "no plan, %", "planned / needed", "p10 to p90"];
    let mut table = Table::new(&head);
    let (mut bars, mut rough) = (Vec::new(), Vec::new());
    for (apart, name) in CASES {
        let runs = lab.play(&format!("forecast, {name}"), |dice| plans(lab, apart, dice));
        for (at, shots) in ASKED_AT.into_iter().enumerate() {
            let undecided: Vec<&Plan> = runs.iter().filter_map(|run| run[at].as_ref()).collect();
            let unplanned = Share::of(undecided.iter().map(|plan| plan.planned.is_none()));
            let ratios: Vec<f64> = undecided.iter().filter_map(|plan| plan.ratio(lab)).collect();
            let [low, median, high] = [0.1, 0.5, 0.9].map(|share| quantile(&ratios, share));
            table.row(vec![
                name.to_owned(),
                shots.to_string(),
                Share { hits: undecided.len(), of: runs.len() }.to_string(),
                unplanned.to_string(),
                format!("{median:.2}"),
                format!("{low:.2} to {high:.2}"),
            ]);
            if matches!(apart, Apart::Exactly(yards) if yards == 0.0) && shots == JUDGED_FROM {
                rough.push(Bar {
                    promise: "equal carries, asked at 30: median 0.5 to 2.5".to_owned(),
                    came_out: format!("{median:.2}"),
                    held: (0.5..=2.5).contains(&median),
                });
            }
            if shots >= JUDGED_FROM {
                bars.push(Bar {
                    promise: format!("{name} apart, asked at {shots}: median 0.75 to 1.4"),
                    came_out: format!("{median:.2}"),
                    held: (RATIO[0]..=RATIO[1]).contains(&median),
                });
            }
        }
    }
    Findings {
        title: "Shots still needed",
        about: format!(
            "Shots of each club so far and planned, over those that `replaces` took, for runs that \
             were undecided when asked and had a plan; 15 a visit. Runs that take more than {} \
             shots a club count with that.",
            LONG * lab.shots()
        ),
        tables: vec![table],
        bars,
        rough,
    }
}

impl Plan {
    fn ratio(&self, lab: &Lab) -> Option<f64> {
        let needed = self.needed.unwrap_or(LONG * lab.shots());
        Some(f64::from(self.planned?) / f64::from(needed))
    }
}

/// One run's plans; none where it was decided by then.
fn plans(lab: &Lab, apart: Apart, mut dice: ChaCha8Rng) -> [Option<Plan>; ASKED_AT.len()] {
    let yards = match apart {
        Apart::Exactly(yards) => yards,
        Apart::ByThePrior => 2.5 * normal(&mut dice),
    };
    let rows = Golfer::new(&BASE, &[carry_apart(yards)], dice).season(LONG * lab.shots());
    let asked = asked(1, &Brief::default());
    let question = &questions(&rows, &asked, Looks::EveryShot)[0];
    let needed = watch(&rows, question, Alarms::Heeded).replaced_after;
    let mut desk = Desk::new(&rows, Alarms::Heeded);
    let mut pair = Pair::new(question.clone());
    ASKED_AT.map(|shots| {
        desk.read_to(first_of_each(&rows, shots));
        let standing = pair.advance(desk.player());
        if needed.is_some_and(|needed| needed <= shots) {
            return None;
        }
        let more = evencarry::bag::more_shots(question, &standing, verdict(&standing));
        Some(Plan { planned: more.map(|more| shots + more.candidate), needed })
    })
}

/// How many shots there are once both clubs have had so many.
fn first_of_each(rows: &[Row], shots: u32) -> usize {
    rows.len().min(2 * shots as usize)
}
