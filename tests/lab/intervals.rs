//! Whether an interval that is watched ever leaves the truth out, and what a club's own mean may
//! falsely prove.

use evencarry::{
    bag::{Brief, Looks, METRES_PER_YARD, Pair, PairQuestion, Tested},
    stats::{self, Estimate, Of, Test},
};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions},
    golfer::{Golfer, INCUMBENT},
    lab::Lab,
    peeking::PROMISED,
    rate::Share,
    report::{Bar, Findings, Table},
    setting::{BASE, LONG_VISITS, SHORT_VISITS, Setting, TRUE_REPLACEMENT, WITHIN_THE_PROMISE},
};

/// The quantities whose intervals are watched.
const WATCHED: [(&str, Tested, Of); 5] = [
    ("carry apart", Tested::Carry, Of::Difference),
    ("launch apart", Tested::Launch, Of::Difference),
    ("spin apart", Tested::Spin, Of::Difference),
    ("own carry", Tested::Carry, Of::OwnMean),
    ("own launch", Tested::Launch, Of::OwnMean),
];

/// Whether each interval was ever wrong, and each end of the slot and the floor falsely proven.
struct Run {
    missed: [bool; WATCHED.len()],
    proven: [bool; 3],
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let mut head = vec!["setting"];
    head.extend(WATCHED.map(|(name, ..)| name));
    head.extend(["slot begins", "slot ends", "launch floor"]);
    let mut table = Table::new(&head);
    let mut bars = Vec::new();
    let mut all = Vec::new();
    let tails = WITHIN_THE_PROMISE.iter().filter(|setting| setting.noise != BASE.noise).take(2);
    for setting in [&BASE, &SHORT_VISITS, &LONG_VISITS].into_iter().chain(tails) {
        let cell = format!("intervals, {}", setting.name);
        let runs = lab.play(&cell, |dice| run(lab, setting, dice));
        let missed = (0..WATCHED.len()).map(|at| Share::of(runs.iter().map(|run| run.missed[at])));
        let proven = (0..3).map(|at| Share::of(runs.iter().map(|run| run.proven[at])));
        let shares: Vec<Share> = missed.chain(proven).collect();
        let worst = shares.iter().max_by(|one, other| one.value().total_cmp(&other.value()));
        let worst = *worst.unwrap();
        bars.push(Bar {
            promise: format!("{}: each at most 5 %", setting.name),
            came_out: format!("worst {} %", worst.with_interval()),
            held: worst.value() <= PROMISED[0] && worst.interval().1 <= PROMISED[1],
        });
        all.extend(shares.iter().copied());
        let cells = shares.iter().map(Share::to_string);
        table.row([setting.name.to_owned()].into_iter().chain(cells).collect());
    }
    let all = Share::sum(all);
    Findings {
        title: "Intervals, and a club's own mean",
        about: format!(
            "Per cent of runs in which an interval ever left the truth out, or an own mean exactly \
             at a bound was ever proven inside; a look after every pair to {} a club. The whole \
             day's effect on a club is what the method assumes.",
            lab.shots()
        ),
        tables: vec![table],
        bars,
        rough: vec![Bar {
            promise: "under 8 % over all".to_owned(),
            came_out: format!("{all} %"),
            held: all.value() < 0.08,
        }],
    }
}

/// The brief that asks for own means, their truths exactly at its bounds.
fn brief() -> Brief {
    let carry_m = (INCUMBENT[0] + TRUE_REPLACEMENT[0]) * METRES_PER_YARD;
    Brief {
        slot_low_m: Some(carry_m),
        slot_high_m: Some(carry_m),
        launch_floor_deg: Some(INCUMBENT[1] + TRUE_REPLACEMENT[1]),
        ..Brief::default()
    }
}

fn run(lab: &Lab, setting: &Setting, dice: ChaCha8Rng) -> Run {
    let rows = Golfer::new(setting, &[TRUE_REPLACEMENT], dice).season(lab.shots());
    let question = questions(&rows, &asked(1, &brief()), Looks::SessionEnds).remove(0);
    let own: Vec<Test> =
        question.tests.iter().filter(|test| test.quantity.of == Of::OwnMean).copied().collect();
    let mut desk = Desk::new(&rows, Alarms::Unheard);
    let mut pair = Pair::new(PairQuestion { tests: own.clone(), ..question });
    let mut run = Run { missed: [false; WATCHED.len()], proven: [false; 3] };
    for shots in (2..=rows.len()).step_by(2) {
        desk.read_to(shots);
        let estimates = pair.advance(desk.player()).estimates;
        for (missed, (_, tested, of)) in run.missed.iter_mut().zip(WATCHED) {
            let measure = tested.in_statistics();
            let estimate = estimates.of(stats::Quantity { measure, of });
            *missed |= estimate.is_some_and(|estimate| misses(estimate, truth(tested, of)));
        }
        for (proven, test) in run.proven.iter_mut().zip(&own) {
            *proven |= estimates.of(test.quantity).is_some_and(|own| proves(own, test));
        }
    }
    run
}

fn truth(tested: Tested, of: Of) -> f64 {
    let at = tested.index();
    match of {
        Of::Difference => TRUE_REPLACEMENT[at],
        Of::OwnMean => INCUMBENT[at] + TRUE_REPLACEMENT[at],
    }
}

/// Whether the interval leaves the truth out, which is when the evidence against it is enough.
fn misses(estimate: &Estimate, truth: f64) -> bool {
    enough(estimate) && stats::two_sided_log_e(estimate, truth).unwrap() >= stats::proof()
}

fn proves(estimate: &Estimate, test: &Test) -> bool {
    let look = stats::Look::at(estimate).unwrap();
    enough(estimate) && look.log_e(test.bound, test.side, &stats::DELTAS) >= stats::proof()
}

/// Whether a look counts.
fn enough(estimate: &Estimate) -> bool {
    estimate.shots.fewest() >= stats::MIN_SHOTS
}
