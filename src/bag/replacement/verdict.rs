//! The verdict on a pair in words, with and without what was left out.

use super::answer::{VerdictWord, WithSetAsideAndMishits};
use crate::{
    bag::{Interval, Maxima, Metric, PairQuestion, ShotsOfPair, Tested, WithAll, difference},
    shot::Measure,
    stats::{self, Open, Spread, Verdict},
};

/// The verdict on all tests of the brief: one that can have no evidence is never proven either way,
/// and counts in J like the others.
pub(in crate::bag) fn verdict(
    pair: &PairQuestion,
    maxima: &Maxima,
    basis: stats::Basis,
) -> Verdict {
    let nothing = stats::Evidence { holds: f64::NEG_INFINITY, broken: f64::NEG_INFINITY };
    let hindered = std::iter::repeat_n(Some(nothing), pair.hindered_tests);
    let tests: Vec<_> =
        maxima.tests.iter().map(stats::RunningEvidence::evidence).chain(hindered).collect();
    Verdict::of(&tests, basis, &[Spread::of(maxima.spread)])
}

/// What would be said with the shots that were left out for what they are.
pub(super) fn with_all(pair: &PairQuestion, all: &WithAll) -> WithSetAsideAndMishits {
    let carry = Metric::Measured(Measure::Carry);
    let [candidate, incumbent] = all.shots[Tested::Carry.index()].map(|shots| shots as usize);
    WithSetAsideAndMishits {
        verdict: word(verdict(pair, &all.maxima, all.basis)),
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
pub(super) fn why(verdict: Verdict, pair: &PairQuestion) -> Option<&'static str> {
    match verdict {
        Verdict::Undecided(Open::Evidence { .. }) if !pair.hindered.is_empty() => {
            Some("spin is not measured")
        }
        other => other.why(),
    }
}
