//! What a pair's evidence comes to.

use super::{Maxima, PairQuestion, Standing};
use crate::stats::{self, Spread, Verdict};

impl PairQuestion {
    /// The verdict on a pair as it stands: nothing replaces that does not without doubtful strikes too.
    #[must_use]
    pub fn verdict(&self, standing: &Standing) -> Verdict {
        let counted = self.verdict_on(&standing.maxima, standing.basis);
        match &standing.beyond_doubt {
            Some(sure) => counted.and_beyond_doubt(self.verdict_on(&sure.maxima, sure.basis)),
            None => counted,
        }
    }

    /// The verdict on all tests of the brief: one that can have no evidence is never proven either way,
    /// and counts in J like the others.
    pub(in crate::bag) fn verdict_on(&self, maxima: &Maxima, basis: stats::Basis) -> Verdict {
        let nothing = stats::Evidence { holds: f64::NEG_INFINITY, broken: f64::NEG_INFINITY };
        let hindered = std::iter::repeat_n(Some(nothing), self.hindered_tests);
        let tests: Vec<_> =
            maxima.tests.iter().map(stats::RunningEvidence::evidence).chain(hindered).collect();
        Verdict::of(&tests, basis, &[Spread::of(maxima.spread)])
    }
}
