//! How often `replaces` is said falsely to somebody who looks after every shot.

use evencarry::{
    bag::{Brief, Looks, PairQuestion},
    stats::{
        CARRY_MARGIN_YD, LAUNCH_DROP_AT_MOST_DEG, LAUNCH_LOWER_BY_DEG, SPIN_DROP_AT_MOST_RPM,
        SPIN_LOWER_BY_RPM, Test,
    },
};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions, watch, watch_one},
    golfer::Golfer,
    lab::Lab,
    naive,
    rate::Share,
    report::{Bar, Findings, Table},
    setting::{
        BEYOND_THE_PROMISE, Figures, Setting, TRUE_REPLACEMENT, WITHIN_THE_PROMISE, carry_apart,
        truth,
    },
};

/// The share of false verdicts that is promised, and the most that its interval may reach.
pub(crate) const PROMISED: [f64; 2] = [0.05, 0.06];
/// What peeking at Student's t is known to do (reference table 1).
const NAIVE: [f64; 2] = [0.25, 0.45];

/// Each test of the default brief exactly at its bound, the others true.
const AT_A_BOUND: [(&str, Figures); 6] = [
    ("carry longer", carry_apart(CARRY_MARGIN_YD)),
    ("carry shorter", carry_apart(-CARRY_MARGIN_YD)),
    ("launch high", [0.0, -LAUNCH_LOWER_BY_DEG, TRUE_REPLACEMENT[2]]),
    ("launch low", [0.0, -LAUNCH_DROP_AT_MOST_DEG, TRUE_REPLACEMENT[2]]),
    ("spin high", [0.0, TRUE_REPLACEMENT[1], -SPIN_LOWER_BY_RPM]),
    ("spin low", [0.0, TRUE_REPLACEMENT[1], -SPIN_DROP_AT_MOST_RPM]),
];

/// What became of one run.
struct Run {
    replaced: bool,
    denied: bool,
    /// Whether Student's t ever said that the test at its bound holds.
    naive: bool,
}

/// One setting, bound by bound.
struct Row {
    replaced: Vec<Share>,
    denied: Share,
    naive_even: Share,
    naive_lower: Share,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let head = [
        "setting",
        "worst of six",
        "carry +5",
        "−5 yd",
        "launch −1.5",
        "−5°",
        "spin −500",
        "−1800 rpm",
        "`does_not_replace`",
        "t, carries even",
        "t, launches lower",
    ];
    let (mut within, mut beyond) = (Table::new(&head), Table::new(&head));
    let runs = lab.options.runs;
    let rows: Vec<Row> =
        WITHIN_THE_PROMISE.iter().map(|setting| Row::of(lab, setting, runs)).collect();
    for (setting, row) in WITHIN_THE_PROMISE.iter().zip(&rows) {
        within.row(row.cells(setting));
    }
    let bars = WITHIN_THE_PROMISE.iter().zip(&rows).map(|(setting, row)| row.bar(setting));
    let bars = bars.chain([rows[0].naive_bar()]).collect();
    for setting in &BEYOND_THE_PROMISE {
        beyond.row(Row::of(lab, setting, runs.div_ceil(4)).cells(setting));
    }
    Findings {
        title: "False verdicts under peeking",
        about: format!(
            "Per cent of runs in which `replaces` was ever said, looking after every shot to {} a \
             club, with one test of the default brief exactly at its bound and the others true; \
             `does_not_replace`, as false there, on average over the six. The first table keeps to \
             the promise (a club's own day has at most the assumed effect, all else happens to both \
             clubs), the second breaks it (a quarter of the runs). The last two columns: Student's \
             t peeked at after every pair of the same shots, at its bound.",
            lab.shots()
        ),
        tables: vec![within, beyond],
        bars,
        rough: rough(&rows),
    }
}

/// Over all settings that keep to the promise.
fn rough(rows: &[Row]) -> Vec<Bar> {
    let ours = Share::sum(rows.iter().flat_map(|row| row.replaced.iter().copied()));
    let naive = Share::sum(rows.iter().flat_map(|row| [row.naive_even, row.naive_lower]));
    vec![
        Bar {
            promise: "under 8 % of all runs say a false `replaces`".to_owned(),
            came_out: format!("{ours} %"),
            held: ours.value() < 0.08,
        },
        Bar {
            promise: "Student's t peeked at says more than 15 %".to_owned(),
            came_out: format!("{naive} %"),
            held: naive.value() > 0.15,
        },
    ]
}

fn run(lab: &Lab, setting: &Setting, apart: Figures, dice: ChaCha8Rng) -> Run {
    let rows = Golfer::new(setting, &[apart], dice).season(lab.shots());
    let question = &questions(&rows, &asked(1, &Brief::default()), Looks::EveryShot)[0];
    let test = at_its_bound(question, apart);
    let alone = watch_one(&rows, question, test);
    let replaced = alone.replaced_after.is_some()
        && watch(&rows, question, Alarms::Heeded).replaced_after.is_some();
    let mut desk = Desk::new(&rows, Alarms::Unheard);
    desk.read_to(rows.len());
    let naive = naive::ever_proven(&desk, test);
    Run { replaced, denied: alone.denied, naive }
}

/// The test that is exactly at its bound.
pub(crate) fn at_its_bound(question: &PairQuestion, apart: Figures) -> Test {
    let at_bound = |test: &&Test| (truth(test, apart) - test.bound).abs() < 1e-9;
    *question.tests.iter().find(at_bound).unwrap()
}

impl Row {
    fn of(lab: &Lab, setting: &Setting, runs: usize) -> Self {
        let bounds: Vec<Vec<Run>> = AT_A_BOUND
            .iter()
            .map(|(bound, apart)| {
                let cell = format!("peeking, {}, {bound}", setting.name);
                lab.play_runs(runs, &cell, |dice| run(lab, setting, *apart, dice))
            })
            .collect();
        let share = |bound: usize, hit: fn(&Run) -> bool| Share::of(bounds[bound].iter().map(hit));
        Self {
            replaced: (0..bounds.len()).map(|bound| share(bound, |run| run.replaced)).collect(),
            denied: Share::of(bounds.iter().flatten().map(|run| run.denied)),
            naive_even: share(0, |run| run.naive),
            naive_lower: share(2, |run| run.naive),
        }
    }

    fn worst(&self) -> Share {
        let worst = self.replaced.iter().max_by(|one, other| one.value().total_cmp(&other.value()));
        *worst.unwrap()
    }

    fn cells(&self, setting: &Setting) -> Vec<String> {
        let shares =
            self.replaced.iter().chain([&self.denied, &self.naive_even, &self.naive_lower]);
        let worst = self.worst().with_interval();
        [setting.name.to_owned(), worst].into_iter().chain(shares.map(Share::to_string)).collect()
    }

    fn bar(&self, setting: &Setting) -> Bar {
        let worst = self.worst();
        Bar {
            promise: format!("{}: at most 5 % false, its interval under 6 %", setting.name),
            came_out: format!("{} %", worst.with_interval()),
            held: worst.value() <= PROMISED[0] && worst.interval().1 <= PROMISED[1],
        }
    }

    fn naive_bar(&self) -> Bar {
        let both = [self.naive_even, self.naive_lower];
        Bar {
            promise: "Student's t peeked at errs as it is known to: 25 to 45 %".to_owned(),
            came_out: format!("{} and {} %", both[0], both[1]),
            held: both.iter().all(|share| (NAIVE[0]..=NAIVE[1]).contains(&share.value())),
        }
    }
}
