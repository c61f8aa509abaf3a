//! What becomes of the promise where mishits pass the screen: the first eight strikes are judged by
//! themselves, and when half of them are mishits, good ones look the exception.

use evencarry::{
    bag::{Brief, Looks, Row},
    stats::{Screen, Series},
};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions, watch, watch_one},
    golfer::Golfer,
    lab::Lab,
    peeking::at_its_bound,
    rate::Share,
    report::{Bar, Findings, Table},
    setting::{BASE, Figures, Setting, carry_apart},
};

/// Shares of mishits.
const MISHITS: [f64; 4] = [0.08, 0.12, 0.15, 0.2];
/// The candidate is shorter, so that the incumbent's mishits bring the two together.
const SHORTER: Figures = carry_apart(-5.0);
/// Shots a club after which a screen that looked back would judge them all again.
const LOOKING_BACK: usize = 24;
/// So many of the incumbent's mishits that pass are called many.
const MANY: usize = 2;

struct Run {
    many_passed: bool,
    replaced: bool,
    /// The same shots, had the screen looked back.
    replaced_looking_back: bool,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let head = [
        "mishits",
        "false, %",
        "runs in which two of the longer club's passed, %",
        "false among those, %",
        "among the others, %",
        "false, had it set those aside from the start, %",
    ];
    let mut table = Table::new(&head);
    let mut last = None;
    for mishits in MISHITS {
        let setting = Setting { mishits, ..BASE };
        let runs = lab.play(&format!("screening, {mishits}"), |dice| run(lab, &setting, dice));
        let replaced = |many: bool| {
            Share::of(runs.iter().filter(|run| run.many_passed == many).map(|run| run.replaced))
        };
        let looking_back = Share::of(runs.iter().map(|run| run.replaced_looking_back));
        table.row(vec![
            format!("{:.0} %", 100.0 * mishits),
            Share::of(runs.iter().map(|run| run.replaced)).with_interval(),
            Share::of(runs.iter().map(|run| run.many_passed)).to_string(),
            replaced(true).to_string(),
            replaced(false).to_string(),
            looking_back.with_interval(),
        ]);
        last = Some((replaced(false), looking_back));
    }
    let (screened, looking_back) = last.unwrap();
    Findings {
        title: "Mishits that pass the screen",
        about: format!(
            "The candidate exactly 5 yd shorter, all else true, 15 a visit, a look after every shot \
             to {} a club. The screen looks back after {LOOKING_BACK} shots of a club, and nothing \
             replaces that does not without what it would not have let pass then. Beside it: had that \
             been set aside from the start.",
            lab.shots()
        ),
        tables: vec![table],
        bars: Vec::new(),
        rough: vec![Bar {
            promise: "where the screen works, 20 % mishits do no harm: under 15 % false".to_owned(),
            came_out: format!("{screened} %, looking back {looking_back} %"),
            held: screened.value() < 0.15 && looking_back.value() < 0.25,
        }],
    }
}

fn run(lab: &Lab, setting: &Setting, dice: ChaCha8Rng) -> Run {
    let mut golfer = Golfer::new(setting, &[SHORTER], dice);
    let mut rows = golfer.season(lab.shots());
    let many_passed = passed(&rows, &golfer.mishits) >= MANY;
    let as_it_is = replaced(&rows);
    look_back(&mut rows);
    Run { many_passed, replaced: as_it_is, replaced_looking_back: replaced(&rows) }
}

/// How many of the incumbent's mishits count.
fn passed(rows: &[Row], mishits: &[bool]) -> usize {
    let mut desk = Desk::new(rows, Alarms::Unheard);
    desk.read_to(rows.len());
    let counted = desk.marks().places().iter().filter(|place| !place.is_mishit(rows.len()));
    let rows_counted = counted.map(|place| place.row as usize);
    rows_counted.filter(|row| rows[*row].club == 0 && mishits[*row]).count()
}

fn replaced(rows: &[Row]) -> bool {
    let question = &questions(rows, &asked(1, &Brief::default()), Looks::EveryShot)[0];
    watch_one(rows, question, at_its_bound(question, SHORTER)).replaced_after.is_some()
        && watch(rows, question, Alarms::Heeded).replaced_after.is_some()
}

/// Sets aside what a screen that has seen the first shots of a club would not let pass.
fn look_back(rows: &mut [Row]) {
    for club in [0, 1] {
        let strike = |row: &Row| evencarry::bag::strike(row).map_or(f64::NAN, |strike| strike.1);
        let first = || (0..).zip(rows.iter()).filter(|(_, row)| row.club == club);
        let mut screen = Screen::new(Series::SmashFactor);
        let mut seen: Vec<(usize, f64)> = Vec::new();
        for (at, row) in first().take(LOOKING_BACK) {
            screen.push(strike(row)).unwrap();
            seen.push((at, strike(row)));
        }
        let cutoff = screen.cutoff().unwrap();
        for (at, _) in seen.into_iter().filter(|(_, strike)| *strike < cutoff) {
            rows[at].set_aside = true;
        }
    }
}
