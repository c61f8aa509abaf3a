//! How many shots a true replacement takes.

use evencarry::bag::{Brief, Looks};

use crate::{
    desk::{Alarms, asked, questions, watch},
    golfer::Golfer,
    lab::Lab,
    rate::Waits,
    report::{Bar, Findings, Table},
    setting::{BASE, SHORT_VISITS, Setting, carry_apart},
};

/// The most shots a club that half and nine tenths of equal carries may take.
const CEILINGS: [(&Setting, [u32; 2]); 2] = [(&BASE, [65, 115]), (&SHORT_VISITS, [50, 90])];

/// How a candidate is watched.
const WAYS: [(&str, Looks, Alarms); 3] = [
    ("every shot", Looks::EveryShot, Alarms::Heeded),
    ("every shot, drift not watched", Looks::EveryShot, Alarms::Unheard),
    ("asked where visits end", Looks::SessionEnds, Alarms::Heeded),
];

pub(crate) fn play(lab: &Lab) -> Findings {
    let head: Vec<&str> =
        ["visits", "carries apart"].into_iter().chain(WAYS.map(|way| way.0)).collect();
    let mut table = Table::new(&head);
    let (mut bars, mut rough) = (Vec::new(), Vec::new());
    for (setting, ceilings) in CEILINGS {
        for yards in [0.0, 1.0, 2.0] {
            let waits = WAYS.map(|way| waits(lab, setting, yards, way));
            if yards == 0.0 {
                bars.push(bar(setting, ceilings, &waits[0]));
                rough.push(mostly_proven(lab, setting, &waits[0]));
            }
            let start = [format!("{} a visit", setting.a_visit), format!("{yards} yd")];
            table.row(start.into_iter().chain(waits.iter().map(Waits::shown)).collect());
        }
    }
    Findings {
        title: "Shots until `replaces`",
        about: "Shots of each club, mishits counted in, until a true replacement (launch 3.3° and \
                spin 1,000 rpm lower) was proven: median / nine tenths."
            .to_owned(),
        tables: vec![table],
        bars,
        rough,
    }
}

fn waits(
    lab: &Lab,
    setting: &Setting,
    yards: f64,
    (_, looks, alarms): (&str, Looks, Alarms),
) -> Waits {
    // The same shots, whichever way they are watched.
    let cell = format!("cost, {}, {yards}", setting.name);
    let waits = lab.play(&cell, |dice| {
        let rows = Golfer::new(setting, &[carry_apart(yards)], dice).season(lab.shots());
        let question = &questions(&rows, &asked(1, &Brief::default()), looks)[0];
        watch(&rows, question, alarms).replaced_after
    });
    Waits::of(waits, lab.shots())
}

fn mostly_proven(lab: &Lab, setting: &Setting, waits: &Waits) -> Bar {
    Bar {
        promise: format!("{}: most equal carries proven by {}", setting.name, lab.shots()),
        came_out: waits.shown(),
        held: waits.quantile(0.5).is_some_and(|shots| shots > setting.a_visit),
    }
}

fn bar(setting: &Setting, ceilings: [u32; 2], waits: &Waits) -> Bar {
    let [median, most] = ceilings;
    let within = |share, ceiling| waits.quantile(share).is_some_and(|shots| shots <= ceiling);
    Bar {
        promise: format!(
            "equal carries, {} a visit: half by {median}, nine tenths by {most}",
            setting.a_visit
        ),
        came_out: waits.shown(),
        held: within(0.5, median) && within(0.9, most),
    }
}
