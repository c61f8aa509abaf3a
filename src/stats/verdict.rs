//! From evidence to words: the verdict on one candidate, and the flag over several.

use super::insufficient::{Insufficient, bounded};
use super::safe_t::{ALPHA, Evidence, proof};
use super::spread::Spread;

/// Screened like-for-like shots a club before any verdict: the mishit screen needs them. Own simulation: 4 to
/// 20 change nothing that can be measured.
pub const MIN_SHOTS: u32 = 8;
/// Sessions with both clubs before `replaces` may be said: one session cannot tell a club from its day.
pub const MIN_SESSIONS: u32 = 2;

/// What the estimates of a comparison stand on: of each number the least over the estimates that its tests use.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Basis {
    /// Shots of the candidate.
    pub candidate_shots: u32,
    /// Shots of the incumbent.
    pub incumbent_shots: u32,
    /// Sessions.
    pub sessions: u32,
}

/// Why nothing can be said yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lacking {
    /// The brief holds no test.
    Test,
    /// A test has no estimate, or had no look, yet.
    Estimate,
    /// A club has fewer than [`MIN_SHOTS`] shots.
    Shots,
}

/// What a candidate lacks to replace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Open {
    /// Some test is not proven; `weakest` is the index of the one with the least evidence.
    Evidence {
        /// Index among the tests.
        weakest: usize,
    },
    /// All is proven, in fewer than [`MIN_SESSIONS`] sessions.
    Sessions,
    /// All is proven, but the candidate's spread is proven worse.
    Spread,
    /// It is proven, one way or the other, but not without strikes that the screen, looking back, would not
    /// have let pass.
    Doubt,
    /// All is proven, but what is computed of it is not as was asked. Not from [`Verdict::of`]: it knows
    /// only what was measured.
    Computed,
}

/// The verdict on a candidate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Too little to say anything.
    Insufficient(Lacking),
    /// The opposite of a test is proven at α/J.
    DoesNotReplace {
        /// Index of the test whose opposite has the most evidence.
        broken: usize,
    },
    /// Neither way.
    Undecided(Open),
    /// Every test is proven.
    Replaces,
}

impl Verdict {
    /// The verdict from the running maxima of each test of the brief and of each spread that is watched.
    ///
    /// In this order: insufficient; does not replace, where some test's opposite has log e ≥ log(J/α), J the
    /// number of tests (a union bound); undecided; replaces, where every test has log e ≥ log 1/α, each at its
    /// own time (Berger 1982, intersection-union), over enough sessions, with no spread proven worse. Spread is
    /// not counted in J and never says "does not replace": it can only veto.
    #[must_use]
    pub fn of(tests: &[Option<Evidence>], basis: Basis, spreads: &[Spread]) -> Self {
        if tests.is_empty() {
            return Self::Insufficient(Lacking::Test);
        }
        // The count of a brief's tests is tiny.
        #[allow(clippy::cast_precision_loss)]
        let disproof = (tests.len() as f64 / ALPHA).ln();
        let (mut weakest, mut strongest_against) = ((0, f64::INFINITY), (0, f64::NEG_INFINITY));
        for (index, evidence) in tests.iter().enumerate() {
            let Some(evidence) = evidence else { return Self::Insufficient(Lacking::Estimate) };
            if evidence.holds < weakest.1 {
                weakest = (index, evidence.holds);
            }
            if evidence.broken > strongest_against.1 {
                strongest_against = (index, evidence.broken);
            }
        }
        if basis.candidate_shots.min(basis.incumbent_shots) < MIN_SHOTS {
            Self::Insufficient(Lacking::Shots)
        } else if strongest_against.1 >= disproof {
            Self::DoesNotReplace { broken: strongest_against.0 }
        } else if weakest.1 < proof() {
            Self::Undecided(Open::Evidence { weakest: weakest.0 })
        } else if basis.sessions < MIN_SESSIONS {
            Self::Undecided(Open::Sessions)
        } else if spreads.contains(&Spread::Worse) {
            Self::Undecided(Open::Spread)
        } else {
            Self::Replaces
        }
    }

    /// The verdict in the contract's word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Insufficient(_) => "insufficient",
            Self::DoesNotReplace { .. } => "does_not_replace",
            Self::Undecided(_) => "undecided",
            Self::Replaces => "replaces",
        }
    }

    /// The verdict where doubtful strikes are among the shots: nothing is proven either way that is not
    /// without them.
    #[must_use]
    pub fn and_beyond_doubt(self, without: Self) -> Self {
        match (self, without) {
            (Self::Replaces, Self::Replaces)
            | (Self::DoesNotReplace { .. }, Self::DoesNotReplace { .. })
            | (Self::Undecided(_) | Self::Insufficient(_), _) => self,
            (Self::Replaces | Self::DoesNotReplace { .. }, _) => Self::Undecided(Open::Doubt),
        }
    }

    /// Why it is not `replaces`.
    #[must_use]
    pub fn why(self) -> Option<&'static str> {
        match self {
            Self::Insufficient(Lacking::Test) => Some("no test"),
            Self::Insufficient(Lacking::Estimate) => Some("an estimate is missing"),
            Self::Insufficient(Lacking::Shots) => Some("shots"),
            Self::DoesNotReplace { .. } => Some("broken"),
            Self::Undecided(Open::Evidence { .. }) => Some("evidence"),
            Self::Undecided(Open::Sessions) => Some("sessions"),
            Self::Undecided(Open::Spread) => Some("spread"),
            Self::Undecided(Open::Doubt) => Some("doubt"),
            Self::Undecided(Open::Computed) => Some("computed"),
            Self::Replaces => None,
        }
    }
}

/// One candidate among several, with the chance of any false word among them held at α.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Familywise {
    /// Whether it is proven beside the others.
    pub proven: bool,
    /// Its adjusted p-value.
    pub adjusted_p: f64,
}

/// Holm's step-down (1979) over candidates, each with p = min(1, 1/e).
///
/// `log_e` holds, in any order, each candidate's least running maximum over the tests of its brief; `None` for
/// one that is insufficient: its p is 1.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a log e is no plain number.
pub fn holm(log_e: &[Option<f64>]) -> Result<Vec<Familywise>, Insufficient> {
    let mut ps = Vec::with_capacity(log_e.len());
    for (index, log_e) in log_e.iter().enumerate() {
        let p =
            log_e.map_or(Ok(1.0), |log_e| bounded(log_e).map(|log_e| (-log_e).exp().min(1.0)))?;
        ps.push((index, p));
    }
    ps.sort_by(|left, right| left.1.total_cmp(&right.1));
    let mut family = vec![Familywise { proven: false, adjusted_p: 1.0 }; ps.len()];
    let mut running = 0.0_f64;
    for (rank, &(index, p)) in ps.iter().enumerate() {
        // Candidates of one comparison: a handful.
        #[allow(clippy::cast_precision_loss)]
        let left = (ps.len() - rank) as f64;
        running = running.max((left * p).min(1.0));
        // Rounding must not take back a proof at exactly 1/α.
        family[index] =
            Familywise { proven: running <= ALPHA * (1.0 + 1e-12), adjusted_p: running };
    }
    Ok(family)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_verdict_names_the_test_that_decides() {
        let basis = Basis { candidate_shots: 20, incumbent_shots: 20, sessions: 3 };
        let of = |tests: &[(f64, f64)]| {
            let tests: Vec<_> =
                tests.iter().map(|&(holds, broken)| Some(Evidence { holds, broken })).collect();
            Verdict::of(&tests, basis, &[])
        };
        assert_eq!(
            of(&[(9.0, 0.0), (1.0, 0.0), (2.0, 0.0)]),
            Verdict::Undecided(Open::Evidence { weakest: 1 })
        );
        assert_eq!(
            of(&[(9.0, 5.0), (1.0, 6.0), (2.0, 0.0)]),
            Verdict::DoesNotReplace { broken: 1 }
        );
    }

    #[test]
    fn evidence_that_is_no_number_proves_nothing() {
        let basis = Basis { candidate_shots: 20, incumbent_shots: 20, sessions: 3 };
        let tests = [Some(Evidence { holds: f64::NEG_INFINITY, broken: f64::NEG_INFINITY }); 2];
        assert_eq!(
            Verdict::of(&tests, basis, &[]),
            Verdict::Undecided(Open::Evidence { weakest: 0 })
        );
    }
}
