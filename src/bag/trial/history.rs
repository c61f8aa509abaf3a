//! How a trial's evidence grew: a replay of its pairs side by side, read off after every counted shot.

use super::{HistoryCriterion, HistoryItem, HistoryStanding, TrialHistory};
use crate::{
    bag::{
        brief::{Brief, Clause, Criterion},
        marks::Place,
        measure::Tested,
        metric::Metric,
        pair::{Pair, PairQuestion},
        player::Player,
        replacement::{EVIDENCE_CAP, ReplacementQuestion, least_evidence, pair_questions, word},
    },
    shot::{Measure, Sequence},
};

/// Which part of a history is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HistoryPart {
    /// Shots after this one.
    pub after: Sequence,
    /// At most so many.
    pub limit: usize,
}

/// How a trial's evidence grew, by what its shots say now.
#[must_use]
pub fn trial_history(
    player: Player<'_>,
    question: &ReplacementQuestion,
    part: HistoryPart,
) -> TrialHistory {
    let clauses = question.brief.clauses();
    let mut lanes: Vec<Lane> =
        pair_questions(player, question).into_iter().map(|pair| Lane::new(pair, player)).collect();
    let (mut items, mut more) = (Vec::new(), false);
    let first = lanes.first().map_or(0, |lane| lane.pair.places_read());
    let arrived = lanes.first().map_or(0, |lane| player.arrived(&lane.pair.question().evidence));
    for place in &player.marks.places()[first.min(arrived)..arrived] {
        for lane in &mut lanes {
            lane.step(player);
        }
        let sequence = player.rows[place.row as usize].sequence;
        if !lanes.iter().any(|lane| lane.counts(place, player)) || sequence <= part.after {
            continue;
        }
        if items.len() == part.limit {
            more = true;
            break;
        }
        items.push(HistoryItem {
            sequence,
            club: player.clubs[place.build.club as usize].id.clone(),
            candidates: lanes.iter_mut().map(|lane| lane.read_off(player, &clauses)).collect(),
        });
    }
    TrialHistory { as_of: player.as_of, criteria: criteria(&question.brief), items, more }
}

/// One candidate's replay.
struct Lane {
    pair: Pair,
    /// What was read off last, until a shot of the pair changes it.
    known: Option<HistoryStanding>,
}

impl Lane {
    fn new(question: PairQuestion, player: Player<'_>) -> Self {
        let mut pair = Pair::new(question);
        pair.begin(player);
        Self { pair, known: None }
    }

    fn step(&mut self, player: Player<'_>) {
        if self.pair.step(player) {
            self.known = None;
        }
    }

    /// Whether a shot is evidence for it.
    fn counts(&self, place: &Place, player: Player<'_>) -> bool {
        let question = self.pair.question();
        let of_pair = place.build == question.candidate || place.build == question.incumbent;
        of_pair
            && !place.is_mishit(player.arrived(&question.evidence))
            && question.evidence.admits(&player.rows[place.row as usize])
    }

    fn read_off(&mut self, player: Player<'_>, clauses: &[Clause]) -> HistoryStanding {
        if let Some(known) = &self.known {
            return known.clone();
        }
        let (pair, standing) = (self.pair.question(), self.pair.standing());
        let tests = clauses.iter().map(|clause| least_evidence(clause, pair, &standing));
        let evidence = tests.chain([standing.maxima.spread]);
        let read = HistoryStanding {
            club: player.clubs[pair.candidate.club as usize].id.clone(),
            verdict: word(pair.verdict(&standing)),
            evidence: evidence.map(|log_e| Some(log_e?.exp().min(EVIDENCE_CAP))).collect(),
        };
        self.known = Some(read.clone());
        read
    }
}

fn criteria(brief: &Brief) -> Vec<HistoryCriterion> {
    let metric = |clause: &Clause| {
        let quantity = clause.tests.first()?.quantity;
        let tested = Tested::ALL.into_iter().find(|t| t.in_statistics() == quantity.measure)?;
        Some(HistoryCriterion {
            name: clause.criterion,
            metric: Metric::Measured(tested.measure()).name(),
        })
    };
    let spread = HistoryCriterion { name: Criterion::SpreadHeld, metric: Measure::Carry.si_name() };
    brief.clauses().iter().filter_map(metric).chain([spread]).collect()
}
