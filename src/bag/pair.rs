//! Two clubs judged shot by shot: what evidence stands at every look, and its running maxima.

use hashbrown::HashMap;

use super::{
    filter::{Basis, Evidence},
    history::{Frozen, WITH_FLOOR, frozen},
    marks::{Build, Place},
    measure::Tested,
    player::Player,
    row::{Row, Stratum},
};
use crate::stats::{
    self, Cell, Estimate, Insufficient, Look, MIN_SHOTS, Of, PlayerSd, Quantity, RunEffect,
    RunningEvidence, Test, Variance,
};

/// Cells of one club by [`Tested::index`].
type Cells = [Cell; Tested::ALL.len()];

/// When evidence is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Looks {
    /// After every shot of either club: a trial.
    EveryShot,
    /// Where a session ends, and now: a question that nobody watches.
    SessionEnds,
}

/// What a pair is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct PairQuestion {
    /// The club that is tried.
    pub candidate: Build,
    /// The club whose place is wanted.
    pub incumbent: Build,
    /// The one-sided tests of the brief that can have evidence, in order.
    pub tests: Vec<Test>,
    /// Quantities of the brief that can have none as things are: their tests stay open.
    pub hindered: Vec<Quantity>,
    /// How many tests those are.
    pub hindered_tests: usize,
    /// What counts.
    pub evidence: Evidence,
    /// What the candidate's own means rest on; they need one surface and one ball.
    pub own_basis: Option<Basis>,
    /// When it is looked at.
    pub looks: Looks,
}

/// One session that holds shots of either club.
#[derive(Debug, Clone)]
struct Visit {
    session: u32,
    /// Candidate's and incumbent's cells of each stratum.
    strata: Vec<(Stratum, [Cells; 2])>,
    /// The candidate's cells on the basis of its own means.
    own: Cells,
}

/// Running maxima of a brief over looks.
#[derive(Debug, Clone, PartialEq)]
pub struct Maxima {
    /// One entry a test, in order.
    pub tests: Vec<RunningEvidence>,
    /// Log evidence that the candidate scatters more; `None` before there is any.
    pub spread: Option<f64>,
}

/// The estimates of one moment.
#[derive(Debug, Clone)]
pub struct Estimates {
    /// Differences by [`Tested::index`].
    pub differences: [Result<Estimate, Insufficient>; Tested::ALL.len()],
    /// The candidate's own means; only those that a test asks for are computed.
    pub means: [Option<Result<Estimate, Insufficient>>; Tested::ALL.len()],
}

/// What stands now.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Estimates of all evidence.
    pub estimates: Estimates,
    /// Running maxima over all looks, the present one included.
    pub maxima: Maxima,
    /// Fewest shots and sessions among the estimates the tests use; zeros where one is missing.
    pub basis: stats::Basis,
    /// Like-for-like shots of candidate and incumbent by [`Tested::index`].
    pub shots: [[u32; 2]; Tested::ALL.len()],
    /// Shots that the candidate's own means rest on, likewise.
    pub own_shots: [u32; Tested::ALL.len()],
    /// The run effects in force; `None` before the clubs have met, when the floors stand.
    pub frozen: Option<Frozen>,
    /// Place among the present shots from which evidence counts.
    pub evidence_from: usize,
}

/// A pair's replay: it reads the player's shots in order and remembers what looks have shown.
#[derive(Debug)]
pub struct Pair {
    question: PairQuestion,
    read: usize,
    evidence_from: usize,
    visits: Vec<Visit>,
    visit_of: HashMap<u32, usize>,
    frozen: Option<Frozen>,
    maxima: Maxima,
}

impl Pair {
    /// A pair that has read nothing.
    #[must_use]
    pub fn new(question: PairQuestion) -> Self {
        let maxima = Maxima::none(question.tests.len());
        Self {
            question,
            read: 0,
            evidence_from: 0,
            visits: Vec::new(),
            visit_of: HashMap::new(),
            frozen: None,
            maxima,
        }
    }

    /// What it was asked.
    #[must_use]
    pub fn question(&self) -> &PairQuestion {
        &self.question
    }

    /// Reads the shots that have come since the last call and says what stands.
    pub fn advance(&mut self, player: Player<'_>) -> Standing {
        if self.frozen.is_none() {
            let clubs = [self.question.candidate.club, self.question.incumbent.club];
            self.frozen = frozen(player.rows, player.marks, clubs);
        }
        for place in self.read..player.marks.places().len() {
            self.read(place, player);
        }
        self.read = player.marks.places().len();
        self.standing()
    }

    fn read(&mut self, place: usize, player: Player<'_>) {
        if place > 0 && player.marks.places()[place].begins_session {
            self.end_session(place, player);
        }
        if player.marks.places()[place].unmakes_earlier {
            self.recount(place, player);
        } else if self.admits(place, place + 1, player) {
            let seen = player.marks.places()[place];
            self.add(seen, &player.rows[seen.row as usize]);
        }
        let club = player.marks.places()[place].build.club;
        let of_pair = club == self.question.candidate.club || club == self.question.incumbent.club;
        if self.question.looks == Looks::EveryShot && of_pair {
            self.look(place + 1);
        }
    }

    /// A new session begins at `place`: what stood before it is looked at, and an alarm of either
    /// club voids the evidence before its session.
    fn end_session(&mut self, place: usize, player: Player<'_>) {
        if self.question.looks == Looks::SessionEnds {
            self.look(place);
        }
        let builds = [self.question.candidate, self.question.incumbent];
        let alarm = player.drift.last_alarm(builds, place);
        if let Some(alarm) = alarm.filter(|at| *at > self.evidence_from) {
            self.evidence_from = alarm;
            self.maxima = Maxima::none(self.question.tests.len());
            self.recount(place.saturating_sub(1), player);
        }
    }

    /// Whether the shot at `place` counts when `arrived` have arrived.
    fn admits(&self, place: usize, arrived: usize, player: Player<'_>) -> bool {
        let seen = player.marks.places()[place];
        place >= self.evidence_from
            && (seen.build == self.question.candidate || seen.build == self.question.incumbent)
            && !seen.is_mishit(arrived)
            && self.question.evidence.admits(&player.rows[seen.row as usize])
    }

    /// Fills the cells anew from the shots up to and including `place`.
    fn recount(&mut self, place: usize, player: Player<'_>) {
        self.visits.clear();
        self.visit_of.clear();
        for earlier in self.evidence_from..=place {
            if self.admits(earlier, place + 1, player) {
                let seen = player.marks.places()[earlier];
                self.add(seen, &player.rows[seen.row as usize]);
            }
        }
    }

    fn add(&mut self, seen: Place, row: &Row) {
        let next = self.visits.len();
        let at = *self.visit_of.entry(row.session).or_insert(next);
        if at == next {
            let own = Cells::default();
            self.visits.push(Visit { session: row.session, strata: Vec::new(), own });
        }
        let visit = &mut self.visits[at];
        let side = usize::from(seen.build != self.question.candidate);
        let stratum = row.stratum();
        let known = visit.strata.iter().position(|(known, _)| *known == stratum);
        let known = known.unwrap_or_else(|| {
            visit.strata.push((stratum, [Cells::default(); 2]));
            visit.strata.len() - 1
        });
        let owns = side == 0 && self.question.own_basis == Some(Basis::of(row));
        for tested in Tested::ALL {
            let Some(value) = tested.evidence(row) else { continue };
            // A stored value is finite by the schema's bounds.
            let _ = visit.strata[known].1[side][tested.index()].push(value);
            if owns {
                let _ = visit.own[tested.index()].push(value);
            }
        }
    }

    /// Looks at the evidence when `arrived` present shots have arrived; a look counts from eight
    /// shots a club on.
    fn look(&mut self, arrived: usize) {
        let estimates = self.estimates(arrived);
        if fewest_shots(basis(&estimates, &self.question.tests)) >= MIN_SHOTS {
            let spread = self.spread();
            self.maxima.take(&self.question.tests, &estimates, spread);
        }
    }

    fn standing(&self) -> Standing {
        let estimates = self.estimates(self.read);
        let basis = basis(&estimates, &self.question.tests);
        let mut maxima = self.maxima.clone();
        if fewest_shots(basis) >= MIN_SHOTS {
            maxima.take(&self.question.tests, &estimates, self.spread());
        }
        Standing {
            estimates,
            maxima,
            basis,
            shots: self.shots(),
            own_shots: self.own_shots(),
            frozen: self.frozen.filter(|frozen| self.read >= frozen.since),
            evidence_from: self.evidence_from,
        }
    }

    fn estimates(&self, arrived: usize) -> Estimates {
        let frozen = self.frozen.filter(|frozen| arrived >= frozen.since);
        let asked = |tested: Tested| {
            self.question.tests.iter().any(|test| test.quantity == own_mean(tested))
        };
        Estimates {
            differences: Tested::ALL.map(|tested| {
                let run = run_effect(difference(tested), frozen.map(|f| f.run));
                stats::blocked_difference(self.meetings(tested), run, Variance::Welch)
            }),
            means: Tested::ALL.map(|tested| {
                asked(tested).then(|| {
                    let run = run_effect(own_mean(tested), frozen.map(|f| f.day));
                    let cells = self.visits.iter().map(|visit| &visit.own[tested.index()]);
                    stats::blocked_mean(cells, run)
                })
            }),
        }
    }

    /// Both clubs' cells of one measure, stratum by stratum.
    fn meetings(&self, tested: Tested) -> impl Iterator<Item = stats::Stratum<'_>> + Clone {
        self.visits.iter().flat_map(move |visit| {
            visit.strata.iter().map(move |(_, [candidate, incumbent])| stats::Stratum {
                session: visit.session,
                candidate: &candidate[tested.index()],
                incumbent: &incumbent[tested.index()],
            })
        })
    }

    /// Shots of candidate and incumbent in strata that hold both, by measure.
    fn shots(&self) -> [[u32; 2]; Tested::ALL.len()] {
        Tested::ALL.map(|tested| {
            self.meetings(tested)
                .filter(|met| !met.candidate.is_empty() && !met.incumbent.is_empty())
                .fold([0, 0], |[candidate, incumbent], met| {
                    [candidate + met.candidate.n(), incumbent + met.incumbent.n()]
                })
        })
    }

    /// Shots of the candidate's own means, by measure.
    fn own_shots(&self) -> [u32; Tested::ALL.len()] {
        Tested::ALL
            .map(|tested| self.visits.iter().map(|visit| visit.own[tested.index()].n()).sum())
    }

    /// Log evidence that the candidate's carry scatters more; `None` where it cannot be judged.
    fn spread(&self) -> Option<f64> {
        let both = || {
            self.meetings(Tested::Carry)
                .filter(|met| !met.candidate.is_empty() && !met.incumbent.is_empty())
        };
        let (candidate, incumbent) =
            (both().map(|met| met.candidate), both().map(|met| met.incumbent));
        stats::log_variance_ratio(candidate, incumbent).ok().map(|ratio| ratio.log_e_worse)
    }
}

impl Estimates {
    /// The estimate of a quantity, if it exists.
    #[must_use]
    pub fn of(&self, quantity: Quantity) -> Option<&Estimate> {
        let tested = Tested::ALL.into_iter().find(|t| t.in_statistics() == quantity.measure)?;
        match quantity.of {
            Of::Difference => self.differences[tested.index()].as_ref().ok(),
            Of::OwnMean => self.means[tested.index()].as_ref()?.as_ref().ok(),
        }
    }
}

impl Maxima {
    fn none(tests: usize) -> Self {
        Self { tests: vec![RunningEvidence::default(); tests], spread: None }
    }

    fn take(&mut self, tests: &[Test], estimates: &Estimates, spread: Option<f64>) {
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
        if let Some(spread) = spread {
            self.spread = Some(self.spread.map_or(spread, |most| most.max(spread)));
        }
    }
}

/// Fewest shots and sessions among the estimates that the tests use; zeros where one is missing. An
/// own mean speaks of the candidate alone: its shots stand for both clubs.
fn basis(estimates: &Estimates, tests: &[Test]) -> stats::Basis {
    let mut fewest: Option<stats::Basis> = None;
    for test in tests {
        let Some(estimate) = estimates.of(test.quantity) else {
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

/// Shots of the club that has fewer.
fn fewest_shots(basis: stats::Basis) -> u32 {
    basis.candidate_shots.min(basis.incumbent_shots)
}

/// The difference of a measure.
#[must_use]
pub fn difference(tested: Tested) -> Quantity {
    Quantity { measure: tested.in_statistics(), of: Of::Difference }
}

/// The candidate's own mean of a measure.
#[must_use]
pub fn own_mean(tested: Tested) -> Quantity {
    Quantity { measure: tested.in_statistics(), of: Of::OwnMean }
}

/// The player's own figure where the pair has one, else the floor.
#[must_use]
pub(super) fn run_effect(quantity: Quantity, history: Option<[PlayerSd; 3]>) -> RunEffect {
    let known = WITH_FLOOR.iter().position(|tested| tested.in_statistics() == quantity.measure);
    match (known, history) {
        (Some(index), Some(history)) => RunEffect::Sd(history[index].sd),
        _ => quantity.run_effect_floor(),
    }
}
