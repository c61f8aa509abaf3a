//! Whether the shots that are said to be needed are the shots that are needed.

use evencarry::bag::{Brief, Looks, Pair, Row, more_shots};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions, watch},
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

/// Shots a club in all.
#[derive(Debug, Clone, Copy)]
struct Planned {
    expected: u32,
    low: u32,
    high: Option<u32>,
}

/// A run that was undecided when the plan was asked for.
struct Plan {
    /// What was planned; none where there was no plan.
    planned: Option<Planned>,
    /// In all, as needed; none where the watch ended first.
    needed: Option<u32>,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let head = [
        "apart",
        "asked at",
        "undecided, %",
        "no plan, %",
        "planned / needed",
        "p10 to p90",
        "needed in the range told, %",
    ];
    let mut table = Table::new(&head);
    let (mut bars, mut rough) = (Vec::new(), Vec::new());
    for (apart, name) in CASES {
        let runs = lab.play(&format!("forecast, {name}"), |dice| plans(lab, apart, dice));
        for (at, shots) in ASKED_AT.into_iter().enumerate() {
            let undecided: Vec<&Plan> = runs.iter().filter_map(|run| run[at].as_ref()).collect();
            let unplanned = Share::of(undecided.iter().map(|plan| plan.planned.is_none()));
            let in_range = Share::of(undecided.iter().filter_map(|plan| plan.in_range(lab)));
            let ratios: Vec<f64> = undecided.iter().filter_map(|plan| plan.ratio(lab)).collect();
            let [low, median, high] = [0.1, 0.5, 0.9].map(|share| quantile(&ratios, share));
            table.row(vec![
                name.to_owned(),
                shots.to_string(),
                Share { hits: undecided.len(), of: runs.len() }.to_string(),
                unplanned.to_string(),
                format!("{median:.2}"),
                format!("{low:.2} to {high:.2}"),
                in_range.to_string(),
            ]);
            if matches!(apart, Apart::ByThePrior) && shots == JUDGED_FROM {
                bars.push(Bar {
                    promise: "0 ± 2.5 yd apart, asked at 30: the range told holds 40 to 60 %"
                        .to_owned(),
                    came_out: format!("{} %", in_range.with_interval()),
                    held: (0.4..=0.6).contains(&in_range.value()),
                });
            }
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
        Some(f64::from(self.planned?.expected) / f64::from(needed))
    }

    /// Whether what was needed lies in the range that was told.
    fn in_range(&self, lab: &Lab) -> Option<bool> {
        let Planned { low, high, .. } = self.planned?;
        let needed = self.needed.unwrap_or(LONG * lab.shots());
        Some(low <= needed && high.is_none_or(|high| needed <= high))
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
        let more = more_shots(question, &standing, question.verdict(&standing));
        let planned = more.map(|more| Planned {
            expected: shots + more.candidate,
            low: shots + more.low,
            high: more.high.map(|high| shots + high),
        });
        Some(Plan { planned, needed })
    })
}

/// How many shots there are once both clubs have had so many.
fn first_of_each(rows: &[Row], shots: u32) -> usize {
    rows.len().min(2 * shots as usize)
}
