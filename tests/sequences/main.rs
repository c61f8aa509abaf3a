//! Whole sequences of shots, judged at every step, against answers that were worked out by an
//! independent program.
//!
//! Source: `tests/data/statistics_sequences.json`, made with numpy and scipy by a plain fold that
//! computes every look afresh from all shots; it shares no code with this project.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bench;
mod expected;
mod trial;

use bench::Bench;
use evencarry::{
    bag::{Build, Frozen, Looks, NONE, Pair, PairQuestion, Standing, Tested, more_shots},
    shot::PlayerId,
    stats::{self, Measure as StatMeasure, Of, Outlook, Quantity, Side, Spread, Test, Verdict},
};
use expected::{After, Answer, Close, Policy, Sequence, Step};

pub(crate) fn main_data() -> Vec<Sequence> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/statistics_sequences.json");
    let file: expected::File =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    file.sequences
}

fn quantity(name: &str) -> Quantity {
    let (name, of) = match name.strip_suffix("_mean") {
        Some(name) => (name, Of::OwnMean),
        None => (name, Of::Difference),
    };
    let measure = match name {
        "carry_yd" => StatMeasure::Carry,
        "launch_deg" => StatMeasure::Launch,
        "spin_rpm" => StatMeasure::Spin,
        other => panic!("{other} is no measure of the sequences"),
    };
    Quantity { measure, of }
}

fn tests_of(brief: &[(String, f64, String)]) -> Vec<Test> {
    let test = |(measure, bound, side): &(String, f64, String)| Test {
        quantity: quantity(measure),
        bound: *bound,
        side: if side == "above" { Side::Above } else { Side::Below },
    };
    brief.iter().map(test).collect()
}

#[test]
fn every_answer_of_the_ten_sequences_is_the_independent_programs() {
    let sequences = main_data();
    assert_eq!(sequences.len(), 10);
    let mut answers = 0;
    for sequence in &sequences {
        answers += replay(sequence);
    }
    assert!(answers > 200, "only {answers} answers were compared");
}

/// Plays a sequence and compares every answer; says how many there were.
fn replay(sequence: &Sequence) -> usize {
    let player = PlayerId::parse("player").unwrap();
    let tests = tests_of(&sequence.brief);
    let mut bench = Bench::default();
    let mut pairs: Vec<[Pair; 2]> = Vec::new();
    let mut played = 0;
    for after in &sequence.after {
        let mut appended = true;
        for step in &sequence.events[played..after.events] {
            appended &= bench.take(step);
        }
        played = after.events;
        bench.refresh();
        if !appended || pairs.is_empty() {
            pairs = sequence
                .candidates
                .iter()
                .map(|candidate| {
                    [Looks::EveryShot, Looks::SessionEnds]
                        .map(|looks| Pair::new(bench.question(candidate, &tests, looks)))
                })
                .collect();
        }
        let standings: Vec<[Standing; 2]> = pairs
            .iter_mut()
            .map(|pair| pair.each_mut().map(|pair| pair.advance(bench.player(&player))))
            .collect();
        let close = Close { place: format!("{} after {}", sequence.name, after.events) };
        compare(&close, sequence, after, (&bench, &pairs, &standings));
    }
    sequence.after.len()
}

type Played<'a> = (&'a Bench, &'a [[Pair; 2]], &'a [[Standing; 2]]);

fn compare(
    close: &Close,
    sequence: &Sequence,
    after: &After,
    (bench, pairs, standings): Played<'_>,
) {
    for (candidate, (pair, standing)) in sequence.candidates.iter().zip(pairs.iter().zip(standings))
    {
        let answer = &after.candidates[candidate];
        let [trial, unattended] = standing;
        close.same("mishits", &bench.mishits(), &answer.mishits);
        close.same("evidence from", &trial.evidence_from, &answer.evidence_from_place);
        compare_estimates(close, trial, answer);
        compare_looks(close, pair[0].question(), trial, answer);
        compare_outlook(close, &pair[0].question().tests, trial, answer);
        compare_policy(close, (pair[0].question(), trial), &answer.trial);
        compare_policy(close, (pair[1].question(), unattended), &answer.unattended);
        compare_effects(close, trial.frozen.as_ref(), (after, candidate));
    }
    for (policy, pick) in [(0, "trial"), (1, "unattended")] {
        compare_family(close, (sequence, after), (pairs, standings), (policy, pick));
    }
    for (club, expected) in after.drift.iter().flatten() {
        let at = bench.clubs.0.iter().position(|known| known == club).unwrap();
        let build = Build { club: u32::try_from(at).unwrap(), build: 0 };
        let drift = bench.drift.of(build);
        let scores: Vec<f64> = drift
            .map(|drift| drift.scores.iter().map(|scored| scored.score.score).collect())
            .unwrap_or_default();
        close.all("scores", &scores, &expected.scores);
        let alarms: Vec<u32> = drift
            .map(|drift| drift.alarms.iter().map(|alarm| alarm.evidence_from).collect())
            .unwrap_or_default();
        close.same("alarms", &alarms, &expected.alarms);
    }
}

fn compare_estimates(close: &Close, standing: &Standing, answer: &Answer) {
    let basis = standing.basis;
    close.same("n_a", &basis.candidate_shots, &answer.n_a);
    close.same("n_b", &basis.incumbent_shots, &answer.n_b);
    close.same("sessions", &basis.sessions, &answer.sessions);
    for (name, expected) in &answer.estimates {
        let estimate = standing.estimates.of(quantity(name));
        assert_eq!(estimate.is_none(), expected.state.is_some(), "{name} at {}", close.place);
        let Some(estimate) = estimate else { continue };
        close.number("estimate", estimate.centre, expected.centre);
        close.number("se", estimate.se, expected.se);
        close.number("df", estimate.df, expected.df);
        close.number("H", estimate.h, expected.h);
        close.number("s", estimate.s, expected.s);
        let interval = stats::anytime_interval(estimate).unwrap();
        close.end("low", interval.ends.map(|ends| ends.0), expected.low);
        close.end("high", interval.ends.map(|ends| ends.1), expected.high);
    }
}

/// The evidence of the present look alone.
fn compare_looks(close: &Close, question: &PairQuestion, standing: &Standing, answer: &Answer) {
    let Some(holds) = &answer.log_e_holds else { return };
    let broken = answer.log_e_broken.as_ref().unwrap();
    for ((test, holds), broken) in question.tests.iter().zip(holds).zip(broken) {
        let estimate = standing.estimates.of(test.quantity).unwrap();
        let evidence = stats::Look::at(estimate).unwrap().evidence(test);
        close.number("log e holds", evidence.holds, Some(*holds));
        close.number("log e broken", evidence.broken, Some(*broken));
    }
}

fn compare_outlook(close: &Close, tests: &[Test], standing: &Standing, answer: &Answer) {
    let estimates: Vec<_> = tests
        .iter()
        .filter_map(|test| Some((test.quantity, *standing.estimates.of(test.quantity)?)))
        .collect();
    match Outlook::of(tests, &estimates) {
        Ok(outlook) => {
            close.number("chance", outlook.chance, answer.outlook.chance);
            close.same("word", &Some(outlook.word().word()), &answer.outlook.word.as_deref());
            for (of, part) in &outlook.by_quantity {
                let parts = answer.outlook.by_measure.iter().flatten();
                let expected = parts.clone().find(|(name, _)| quantity(name) == *of).unwrap();
                close.number("chance of a measure", *part, Some(*expected.1));
            }
        }
        Err(_) => close.same("outlook", &Some("insufficient"), &answer.outlook.state.as_deref()),
    }
}

fn compare_policy(
    close: &Close,
    (question, standing): (&PairQuestion, &Standing),
    expected: &Policy,
) {
    let running = |pick: fn(&stats::RunningEvidence) -> Option<f64>| -> Vec<Option<f64>> {
        standing.maxima.tests.iter().map(pick).collect()
    };
    let holds = running(|running| running.holds.log_e());
    let broken = running(|running| running.broken.log_e());
    close.options("running holds", &holds, &expected.running_holds);
    close.options("running broken", &broken, &expected.running_broken);
    close.options("spread", &[standing.maxima.spread], &[expected.running_spread]);
    let verdict = question.verdict(standing);
    close.same("verdict", &verdict.word(), &expected.verdict.as_str());
    close.same("why", &verdict.why(), &expected.why.as_deref());
    close.same("J", &question.tests.len(), &expected.j);
    let spread = Spread::of(standing.maxima.spread).word();
    close.same(
        "spread",
        &vec![spread],
        &expected.spread.iter().map(String::as_str).collect::<Vec<_>>(),
    );
    let more = more_shots(question, standing, verdict).map(|more| more.candidate);
    close.same("more shots", &more, &expected.more_shots);
}

fn compare_effects(close: &Close, frozen: Option<&Frozen>, (after, candidate): (&After, &str)) {
    for (index, tested) in Tested::ALL.into_iter().take(3).enumerate() {
        let name = ["carry_yd", "launch_deg", "spin_rpm"][index];
        let floor = |of| match (Quantity { measure: tested.in_statistics(), of }).run_effect_floor()
        {
            stats::RunEffect::Sd(sd) => sd,
            other => panic!("{other:?} is no sd"),
        };
        let run = frozen.map_or_else(|| floor(Of::Difference), |frozen| frozen.run[index].sd);
        let day = frozen.map_or_else(|| floor(Of::OwnMean), |frozen| frozen.day[index].sd);
        close.number("run sd", run, Some(after.run_sd[candidate][name]));
        close.number("day sd", day, Some(after.day_sd[candidate][name]));
    }
}

fn compare_family(
    close: &Close,
    (sequence, after): (&Sequence, &After),
    (pairs, standings): (&[[Pair; 2]], &[[Standing; 2]]),
    (policy, pick): (usize, &str),
) {
    assert_eq!(pairs.len(), standings.len());
    let verdict_on = |(pair, standing): (&[Pair; 2], &[Standing; 2])| {
        pair[policy].question().verdict(&standing[policy])
    };
    let verdicts: Vec<Verdict> = pairs.iter().zip(standings).map(verdict_on).collect();
    let least: Vec<Option<f64>> = standings
        .iter()
        .zip(&verdicts)
        .map(|(standing, verdict)| {
            let all = standing[policy].maxima.tests.iter().map(|test| test.holds.log_e());
            let least = all.collect::<Option<Vec<f64>>>()?.into_iter().min_by(f64::total_cmp);
            least.filter(|_| !matches!(verdict, Verdict::Insufficient(_)))
        })
        .collect();
    let family = stats::holm(&least).unwrap();
    for (candidate, (one, verdict)) in sequence.candidates.iter().zip(family.iter().zip(&verdicts))
    {
        let answer = &after.candidates[candidate];
        let expected = if pick == "trial" { &answer.trial } else { &answer.unattended };
        let holds = one.proven && *verdict == Verdict::Replaces;
        close.same("family holds", &holds, &expected.family.holds);
        close.number("family p", one.adjusted_p, Some(expected.family.adjusted_p));
    }
}

#[test]
fn a_shot_without_a_club_stands_in_no_list() {
    let mut bench = Bench::default();
    let shot = main_data().into_iter().find_map(|sequence| match &sequence.events[0] {
        Step::Shot(shot) => Some(shot.clone()),
        Step::SetAside { .. } | Step::Correct { .. } => None,
    });
    let mut row = bench.row(&shot.unwrap());
    row.club = NONE;
    bench.rows.push(row);
    bench.refresh();
    assert!(bench.marks.places().is_empty());
}
