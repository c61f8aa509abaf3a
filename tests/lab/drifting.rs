//! Whether drift cries wolf, and how soon it sees a club that has moved.

use evencarry::bag::Build;
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk},
    golfer::Golfer,
    lab::Lab,
    rate::{Share, Waits},
    report::{Bar, Findings, Table},
    setting::{BASE, Figures, Setting},
};

/// Visits that a baseline is learnt from, and those that are judged.
const VISITS: [u32; 2] = [5, 20];
/// Quiet clubs that raise an alarm within the judged visits: the reference has 12 %.
const FALSE_ALARMS: f64 = 0.15;

pub(crate) fn play(lab: &Lab) -> Findings {
    let head = ["clubs", "shots of each", "moved by", "alarm within 20 visits, %", "visits"];
    let mut table = Table::new(&head);
    let (mut bars, mut rough) = (Vec::new(), Vec::new());
    for (others, a_visit) in [(2, 15), (2, 6), (5, 10), (1, 15)] {
        for yards in [0.0, 4.0, 8.0] {
            let cell = format!("drift, {others}, {a_visit}, {yards}");
            let setting = Setting { a_visit, ..BASE };
            let runs = lab.play(&cell, |dice| first_alarm(&setting, (others, yards), dice));
            let alarms = Share::of(runs.iter().map(Option::is_some));
            let waits = Waits::of(runs, VISITS[1]);
            table.row(vec![
                (others + 1).to_string(),
                a_visit.to_string(),
                format!("{yards} yd"),
                alarms.with_interval(),
                waits.shown(),
            ]);
            if (others, a_visit) == (2, 15) && yards == 0.0 {
                rough.push(Bar {
                    promise: "a quiet club seldom cries wolf: under half".to_owned(),
                    came_out: format!("{alarms} %"),
                    held: alarms.value() < 0.5,
                });
                bars.push(Bar {
                    promise: "three clubs, 15 shots: at most 15 % cry wolf in 20 visits".to_owned(),
                    came_out: format!("{} %", alarms.with_interval()),
                    held: alarms.value() <= FALSE_ALARMS,
                });
            }
            if (others, a_visit) == (2, 15) && yards == 8.0 {
                rough.push(Bar {
                    promise: "8 yd are mostly seen: over three quarters".to_owned(),
                    came_out: format!("{alarms} %"),
                    held: alarms.value() > 0.75,
                });
                bars.push(Bar {
                    promise: "8 yd are seen by the third visit, half the time".to_owned(),
                    came_out: waits.shown(),
                    held: waits.quantile(0.5).is_some_and(|visits| visits <= 3),
                });
            }
        }
    }
    Findings {
        title: "Drift",
        about: "A club among others of the same player, a baseline of five visits, then 20 visits \
                after it has moved: runs with an alarm of that club, and visits to the first one \
                (median / nine tenths). Moved by 0: the alarm is false."
            .to_owned(),
        tables: vec![table],
        bars,
        rough,
    }
}

/// The judged visit that raised the first alarm of club 0.
fn first_alarm(setting: &Setting, (others, yards): (usize, f64), dice: ChaCha8Rng) -> Option<u32> {
    let mut golfer = Golfer::new(setting, &vec![Figures::default(); others], dice);
    (0..VISITS[0]).for_each(|_| golfer.visit(setting.a_visit));
    golfer.shift(0, yards);
    // A visit has ended when the next begins.
    (0..=VISITS[1]).for_each(|_| golfer.visit(setting.a_visit));
    let rows = std::mem::take(&mut golfer.rows);
    let mut desk = Desk::new(&rows, Alarms::Heeded);
    desk.read_to(rows.len());
    let alarms = &desk.drift().of(Build { club: 0, build: 0 })?.alarms;
    let next = desk.marks().places()[alarms.first()?.evidence_from as usize];
    Some(rows[next.row as usize].session - VISITS[0])
}
