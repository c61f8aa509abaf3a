//! The verdict on a pair in words, with and without what was left out.

use super::{
    answer::{CriterionAnswer, CriterionState, VerdictWord, WithSetAsideAndMishits},
    computed::held_back,
};
use crate::{
    bag::{Interval, Metric, PairQuestion, ShotsOfPair, Tested, WithAll, difference},
    shot::Measure,
    stats::{Lacking, Open, Verdict},
};

/// What would be said with the shots that were left out for what they are.
pub(super) fn with_all(pair: &PairQuestion, all: &WithAll) -> WithSetAsideAndMishits {
    let carry = Metric::Measured(Measure::Carry);
    let [candidate, incumbent] = all.shots[Tested::Carry.index()].map(|shots| shots as usize);
    WithSetAsideAndMishits {
        verdict: word(pair.verdict_on(&all.maxima, all.basis)),
        carry_m: all
            .estimates
            .of(difference(Tested::Carry))
            .and_then(|estimate| carry.interval(estimate))
            .unwrap_or(Interval::UNKNOWN),
        shots: ShotsOfPair { incumbent, candidate },
    }
}

/// The verdict's word.
pub(in crate::bag) fn word(verdict: Verdict) -> VerdictWord {
    match verdict {
        Verdict::Replaces => VerdictWord::Replaces,
        Verdict::Undecided(_) => VerdictWord::Undecided,
        Verdict::Insufficient(_) => VerdictWord::Insufficient,
        Verdict::DoesNotReplace { .. } => VerdictWord::DoesNotReplace,
    }
}

/// Why it is not `replaces`; `None` where it is.
pub(super) fn why(
    verdict: Verdict,
    pair: &PairQuestion,
    criteria: &[CriterionAnswer],
) -> Option<String> {
    let why = match verdict {
        Verdict::Replaces => return None,
        Verdict::Insufficient(Lacking::Test) => "the brief asks nothing",
        Verdict::Insufficient(Lacking::Estimate) => {
            "not every measure has shots of both clubs like for like"
        }
        Verdict::Insufficient(Lacking::Shots) => "too few like-for-like shots",
        Verdict::Undecided(Open::Evidence { .. }) if !pair.hindered.is_empty() => {
            "spin is not measured"
        }
        Verdict::Undecided(Open::Evidence { .. }) => "not every criterion is proven yet",
        Verdict::Undecided(Open::Sessions) => "all of it is from one visit",
        Verdict::Undecided(Open::Spread) => "its carry is proven to scatter more",
        Verdict::Undecided(Open::Computed) => return Some(held(criteria)),
        Verdict::Undecided(Open::Doubt) => "not proven without the doubtful strikes",
        Verdict::DoesNotReplace { .. } => return Some(broken(criteria)),
    };
    Some(why.to_owned())
}

/// What is computed and holds it back, by its names in the answer: what is not as was asked, what the models do
/// not agree on, and what could not be computed.
fn held(criteria: &[CriterionAnswer]) -> String {
    let all = || held_back(criteria);
    let broken = |one: &&CriterionAnswer| one.state == CriterionState::BrokenByModels;
    let unclear = |one: &&CriterionAnswer| !broken(one) && one.hindered_by.is_none();
    let clauses = [
        ("what is computed of it is not as was asked: ", named(all().filter(broken))),
        ("the models of flight do not agree on what was asked: ", named(all().filter(unclear))),
    ];
    let told = clauses.into_iter().filter(|(_, named)| !named.is_empty());
    let told = told.map(|(what, named)| format!("{what}{named}"));
    let hindered = all().filter_map(|one| {
        let why = one.hindered_by?;
        Some(format!("{} could not be computed: {why}", named([one].into_iter())))
    });
    told.chain(hindered).collect::<Vec<String>>().join("; ")
}

/// What is proven not to be so, by its names in the answer.
fn broken(criteria: &[CriterionAnswer]) -> String {
    let broken = criteria.iter().filter(|one| one.state == CriterionState::Broken);
    format!("proven not so: {}", named(broken))
}

fn named<'a>(criteria: impl Iterator<Item = &'a CriterionAnswer>) -> String {
    let names = criteria.map(|one| format!("{} ({})", one.name.word(), one.metric));
    names.collect::<Vec<String>>().join(", ")
}
