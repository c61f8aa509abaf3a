//! Six candidates at once: what the family flag promises, and that nobody waits for the others.

use evencarry::bag::{Brief, Looks, Pair, Row, VerdictWord};
use rand_chacha::ChaCha8Rng;

use crate::{
    desk::{Alarms, Desk, asked, questions, watch},
    golfer::Golfer,
    lab::Lab,
    peeking::PROMISED,
    rate::{Share, Waits},
    report::{Bar, Findings, Table},
    setting::{BASE, Figures, carry_apart},
};

const CANDIDATES: u32 = 6;
/// One true replacement among candidates at the margin.
const ONE_TRUE: [Figures; CANDIDATES as usize] = [
    carry_apart(0.0),
    carry_apart(5.0),
    carry_apart(5.0),
    carry_apart(5.0),
    carry_apart(5.0),
    carry_apart(5.0),
];

/// What the answers at the ends of visits said of six candidates.
#[derive(Debug, Clone, Copy, Default)]
struct Said {
    /// `replaces` of a candidate at the margin.
    false_verdict: bool,
    /// The flag of one.
    false_flag: bool,
    /// Shots by which the true candidate's flag held.
    true_flag_after: Option<u32>,
}

pub(crate) fn play(lab: &Lab) -> Findings {
    let at_margin = lab.play("family, all at the margin", |dice| {
        let all = [carry_apart(5.0); CANDIDATES as usize];
        said(&Golfer::new(&BASE, &all, dice).season(lab.shots()), &[])
    });
    let one_true = lab.play("family, one true", |dice| among_others(lab, dice));
    let verdicts = Share::of(at_margin.iter().map(|said| said.false_verdict));
    let flags = Share::of(at_margin.iter().map(|said| said.false_flag));
    let others = Share::of(one_true.iter().map(|run| run.0.false_flag));
    let flagged = Waits::of(one_true.iter().map(|run| run.0.true_flag_after), lab.shots());
    let beside = Waits::of(one_true.iter().map(|run| run.1), lab.shots());
    let alone = Waits::of(one_true.iter().map(|run| run.2), lab.shots());

    let mut table = Table::new(&["six candidates", "came out"]);
    let mut row = |what: &str, came_out: String| table.row(vec![what.to_owned(), came_out]);
    row("all at the margin: any false `replaces`, %", verdicts.with_interval());
    row("all at the margin: any false family flag, %", flags.with_interval());
    row("one true: any false family flag, %", others.with_interval());
    row("one true: shots until its `replaces`", beside.shown());
    row("the same shots, the others' left out", alone.shown());
    row("one true: shots until its family flag", flagged.shown());
    Findings {
        title: "Six candidates",
        about:
            "Against one incumbent, all hit in turn; the service's own answers where visits end, \
                over evidence of every shot. Shots: of each club, median / nine tenths."
                .to_owned(),
        tables: vec![table],
        bars: vec![
            Bar {
                promise: "any false family flag among six at the margin: at most 5 %".to_owned(),
                came_out: format!("{} %", flags.with_interval()),
                held: flags.value() <= PROMISED[0] && flags.interval().1 <= PROMISED[1],
            },
            Bar {
                promise: "a verdict is not slowed by the others, within a tenth".to_owned(),
                came_out: format!("{} beside them, {} alone", beside.shown(), alone.shown()),
                held: not_slower(&beside, &alone),
            },
        ],
        rough: vec![
            Bar {
                promise: "any false family flag among six at the margin: under 20 %".to_owned(),
                came_out: format!("{flags} %"),
                held: flags.value() < 0.2,
            },
            Bar {
                promise: "a verdict is not slowed by the others".to_owned(),
                came_out: format!("{} beside them, {} alone", beside.shown(), alone.shown()),
                held: not_slower(&beside, &alone),
            },
        ],
    }
}

fn not_slower(beside: &Waits, alone: &Waits) -> bool {
    match [beside, alone].map(|waits| waits.quantile(0.5)) {
        [Some(beside), Some(alone)] => f64::from(beside) <= 1.1 * f64::from(alone),
        _ => false,
    }
}

/// What was said of six, and the shots that the true one took beside the others and without them.
fn among_others(lab: &Lab, dice: ChaCha8Rng) -> (Said, Option<u32>, Option<u32>) {
    let rows = Golfer::new(&BASE, &ONE_TRUE, dice).season(lab.shots());
    let alone: Vec<Row> = rows.iter().filter(|row| row.club < 2).cloned().collect();
    let [beside, alone] = [rows.as_slice(), alone.as_slice()].map(|rows| {
        let question = &questions(rows, &asked(1, &Brief::default()), Looks::EveryShot)[0];
        watch(rows, question, Alarms::Heeded).replaced_after
    });
    (said(&rows, &[1]), beside, alone)
}

/// Asks the service's own answer where each visit ends.
fn said(rows: &[Row], true_ones: &[u32]) -> Said {
    let asked = asked(CANDIDATES, &Brief::default());
    let questions = questions(rows, &asked, Looks::EveryShot);
    let mut pairs: Vec<Pair> = questions.iter().cloned().map(Pair::new).collect();
    let mut desk = Desk::new(rows, Alarms::Heeded);
    let names: Vec<String> = true_ones.iter().map(|club| format!("club-{club}")).collect();
    let mut said = Said::default();
    let mut read = 0;
    for visit in rows.chunk_by(|one, other| one.session == other.session) {
        read += visit.len();
        desk.read_to(read);
        let standing = pairs.iter_mut().map(|pair| pair.advance(desk.player()));
        let standings: Vec<_> = questions.iter().cloned().zip(standing).collect();
        for candidate in desk.answer(&asked, &standings).candidates {
            if names.iter().any(|name| *name == candidate.club.as_str()) {
                let shots = u32::try_from(read).unwrap() / (CANDIDATES + 1);
                let holds = candidate.family.holds;
                said.true_flag_after = said.true_flag_after.or(holds.then_some(shots));
            } else {
                said.false_verdict |= candidate.verdict == VerdictWord::Replaces;
                said.false_flag |= candidate.family.holds;
            }
        }
    }
    said
}
