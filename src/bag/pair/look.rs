//! A look at a pair: the estimates of a moment, and what looks have shown at most.

use super::tally::Tally;
use crate::{
    bag::measure::Tested,
    stats::{self, Estimate, Look, MIN_SHOTS, Of, Quantity, RunningEvidence, Test},
};

/// The estimates of one moment.
#[derive(Debug, Clone)]
pub struct Estimates {
    /// Differences by [`Tested::index`]; `None` where there is none yet, or none was asked for.
    pub differences: [Option<Estimate>; Tested::ALL.len()],
    /// The candidate's own means, likewise.
    pub means: [Option<Estimate>; Tested::ALL.len()],
}

impl Estimates {
    /// The estimate of a quantity, if it exists.
    #[must_use]
    pub fn of(&self, quantity: Quantity) -> Option<&Estimate> {
        let tested = Tested::ALL.into_iter().find(|t| t.in_statistics() == quantity.measure)?;
        match quantity.of {
            Of::Difference => self.differences[tested.index()].as_ref(),
            Of::OwnMean => self.means[tested.index()].as_ref(),
        }
    }

    /// Fewest shots and sessions among the estimates that the tests use; zeros where one is missing.
    /// An own mean speaks of the candidate alone: its shots stand for both clubs.
    #[must_use]
    pub fn basis(&self, tests: &[Test]) -> stats::Basis {
        let mut fewest: Option<stats::Basis> = None;
        for test in tests {
            let Some(estimate) = self.of(test.quantity) else {
                return stats::Basis::default();
            };
            let (candidate, incumbent) = match estimate.shots {
                stats::Shots::Pair { candidate, incumbent } => (candidate, incumbent),
                stats::Shots::Single(shots) => (shots, shots),
            };
            let least = fewest.get_or_insert(stats::Basis {
                candidate_shots: candidate,
                incumbent_shots: incumbent,
                sessions: estimate.sessions,
            });
            least.candidate_shots = least.candidate_shots.min(candidate);
            least.incumbent_shots = least.incumbent_shots.min(incumbent);
            least.sessions = least.sessions.min(estimate.sessions);
        }
        fewest.unwrap_or_default()
    }
}

/// Running maxima of a brief over looks.
#[derive(Debug, Clone, PartialEq)]
pub struct Maxima {
    /// One entry a test, in order.
    pub tests: Vec<RunningEvidence>,
    /// Log evidence that the candidate scatters more; `None` before there is any.
    pub spread: Option<f64>,
}

impl Maxima {
    pub(super) fn none(tests: usize) -> Self {
        Self { tests: vec![RunningEvidence::default(); tests], spread: None }
    }

    /// Takes a look; it counts from eight shots a club on.
    pub(super) fn take(&mut self, tests: &[Test], estimates: &Estimates, tally: &Tally) {
        let basis = estimates.basis(tests);
        if basis.candidate_shots.min(basis.incumbent_shots) < MIN_SHOTS {
            return;
        }
        let mut last: Option<(Quantity, Look)> = None;
        for (test, running) in tests.iter().zip(&mut self.tests) {
            let shared = last.filter(|(quantity, _)| *quantity == test.quantity);
            let look = shared.or_else(|| {
                let look = Look::at(estimates.of(test.quantity)?).ok()?;
                Some((test.quantity, look))
            });
            if let Some((_, look)) = &look {
                running.take(look, test);
            }
            last = look;
        }
        if let Some(spread) = tally.spread() {
            self.spread = Some(self.spread.map_or(spread, |most| most.max(spread)));
        }
    }
}
