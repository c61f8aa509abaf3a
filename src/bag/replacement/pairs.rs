//! Which pairs of clubs a question is about, and what each of them asks of its shots.

use super::ReplacementQuestion;
use crate::{
    bag::{
        brief::Clause,
        filter::{Basis, Evidence},
        ladder::Centres,
        marks::Build,
        measure::Tested,
        pair::{Looks, PairQuestion, difference},
        player::Player,
        row::Row,
    },
    stats::{Quantity, Test},
};

/// Clubs count as neighbours up to this many carry margins from the incumbent.
const NEIGHBOUR_MARGINS: f64 = 4.0;

/// The pairs that a question needs replayed, candidate by candidate.
#[must_use]
pub fn pair_questions(player: Player<'_>, question: &ReplacementQuestion) -> Vec<PairQuestion> {
    let stretches = question.stretches.clone();
    let looks = if stretches.is_some() { Looks::EveryShot } else { Looks::SessionEnds };
    let evidence = Evidence { stretches, ..player.evidence(&question.brief.filter) };
    let tests = tests_of(&question.brief.clauses());
    candidates(player, question, &evidence)
        .into_iter()
        .map(|club| {
            let candidate = player.newest_build(club);
            let incumbent = player.newest_build(question.incumbent);
            let hindered = hindered(player, [candidate, incumbent], &evidence);
            let has_evidence = |test: &&Test| !hindered.contains(&test.quantity);
            let judged: Vec<Test> = tests.iter().filter(has_evidence).copied().collect();
            PairQuestion {
                candidate,
                incumbent,
                hindered_tests: tests.len() - judged.len(),
                tests: judged,
                hindered,
                evidence: evidence.clone(),
                own_basis: player.basis(candidate, &evidence),
                looks,
            }
        })
        .collect()
}

/// The shots that a candidate's own means rest on, given the place from which shots are evidence.
pub(in crate::bag) fn own_shots<'a>(
    player: Player<'a>,
    pair: &'a PairQuestion,
    since: usize,
) -> impl Iterator<Item = &'a Row> {
    let own = |row: &&Row| pair.own_basis == Some(Basis::of(row));
    player.counted_since(since, pair.candidate, &pair.evidence).filter(own)
}

/// The named clubs, else every neighbour: same surface and ball, a carry centre within four
/// margins, no putter.
fn candidates(player: Player<'_>, question: &ReplacementQuestion, evidence: &Evidence) -> Vec<u32> {
    if !question.candidates.is_empty() {
        return question.candidates.clone();
    }
    let incumbent = player.newest_build(question.incumbent);
    let Some(basis) = player.basis(incumbent, evidence) else { return Vec::new() };
    let centres = Centres::of(player, evidence, basis);
    let Some(wanted) = centres.get(question.incumbent) else { return Vec::new() };
    let reach = NEIGHBOUR_MARGINS * question.brief.carry_margin_m;
    let mut near: Vec<u32> = (0_u32..)
        .zip(player.clubs)
        .filter(|(number, club)| *number != question.incumbent && !club.is_putter())
        .map(|(number, _)| number)
        .filter(|number| centres.get(*number).is_some_and(|own| (own - wanted).abs() <= reach))
        .collect();
    near.sort_by_key(|number| &player.clubs[*number as usize].id);
    near
}

fn tests_of(clauses: &[Clause]) -> Vec<Test> {
    clauses.iter().flat_map(|clause| clause.tests.iter().copied()).collect()
}

/// Quantities that have no evidence because all spin of a club was looked up and not measured.
fn hindered(player: Player<'_>, builds: [Build; 2], evidence: &Evidence) -> Vec<Quantity> {
    let spin = Tested::Spin;
    let looked_up = builds.into_iter().any(|build| {
        let with_spin = |row: &&Row| row.measures.get(spin.measure()).is_some();
        let mut rows = player.counted(build, evidence).filter(with_spin).peekable();
        rows.peek().is_some() && rows.all(|row| spin.evidence(row).is_none())
    });
    if looked_up { vec![difference(spin)] } else { Vec::new() }
}
