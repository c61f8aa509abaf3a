//! The shots of two clubs as sums: visit by visit, stratum by stratum, and per visit what estimates
//! over all visits need of it. A shot changes what is kept of its own visit alone.

use hashbrown::HashMap;

use super::{difference, look::Estimates, own_mean, run_effect};
use crate::{
    bag::{
        filter::Basis,
        history::Frozen,
        measure::Tested,
        row::{Row, Stratum},
    },
    stats::{self, Cell, SessionSums, Variance},
};

/// Cells of one club by [`Tested::index`].
type Cells = [Cell; Tested::ALL.len()];

/// One session that holds shots of either club.
#[derive(Debug, Clone)]
struct Visit {
    /// Candidate's and incumbent's cells of each stratum.
    strata: Vec<(Stratum, [Cells; 2])>,
    /// The candidate's cells on the basis of its own means.
    own: Cells,
}

/// All sessions that hold shots of either club, in the order of their first.
#[derive(Debug, Clone, Default)]
pub(super) struct Tally {
    visits: Vec<Visit>,
    visit_of: HashMap<u32, usize>,
    /// By [`Tested::index`], then as the visits.
    sums: [Vec<SessionSums>; Tested::ALL.len()],
}

/// Which of the two clubs a shot was hit with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Candidate,
    Incumbent,
}

impl Tally {
    /// Takes one more shot.
    pub(super) fn add(&mut self, side: Side, row: &Row, own_basis: Option<Basis>) {
        let next = self.visits.len();
        let at = *self.visit_of.entry(row.session).or_insert(next);
        if at == next {
            self.visits.push(Visit { strata: Vec::new(), own: Cells::default() });
            self.sums.iter_mut().for_each(|sums| sums.push(SessionSums::default()));
        }
        let visit = &mut self.visits[at];
        let stratum = row.stratum();
        let known = visit.strata.iter().position(|(known, _)| *known == stratum);
        let known = known.unwrap_or_else(|| {
            visit.strata.push((stratum, [Cells::default(); 2]));
            visit.strata.len() - 1
        });
        let owns = side == Side::Candidate && own_basis == Some(Basis::of(row));
        for tested in Tested::ALL {
            let Some(value) = tested.evidence(row) else { continue };
            let index = tested.index();
            // A stored value is finite by the schema's bounds.
            let _ = visit.strata[known].1[side as usize][index].push(value);
            if owns {
                let _ = visit.own[index].push(value);
            }
            let strata = visit
                .strata
                .iter()
                .map(|(_, [candidate, incumbent])| [&candidate[index], &incumbent[index]]);
            self.sums[index][at] = SessionSums::of(strata);
        }
    }

    /// The estimates of the quantities that `wanted` names.
    pub(super) fn estimates(
        &self,
        frozen: Option<Frozen>,
        wanted: impl Fn(stats::Quantity) -> bool,
    ) -> Estimates {
        Estimates {
            differences: Tested::ALL.map(|tested| {
                let quantity = difference(tested);
                let run = run_effect(quantity, frozen.map(|frozen| frozen.run));
                let sums = self.sums[tested.index()].iter().copied();
                let estimate = || stats::difference_of_sessions(sums, run, Variance::Welch).ok();
                wanted(quantity).then(estimate).flatten()
            }),
            means: Tested::ALL.map(|tested| {
                let quantity = own_mean(tested);
                let run = run_effect(quantity, frozen.map(|frozen| frozen.day));
                let cells = self.visits.iter().map(|visit| &visit.own[tested.index()]);
                let estimate = || stats::blocked_mean(cells, run).ok();
                wanted(quantity).then(estimate).flatten()
            }),
        }
    }

    /// Shots of candidate and incumbent in strata that hold both, by measure.
    pub(super) fn shots(&self) -> [[u32; 2]; Tested::ALL.len()] {
        Tested::ALL.map(|tested| {
            let sums = self.sums[tested.index()].iter();
            sums.fold([0, 0], |[candidate, incumbent], session| {
                let [of_candidate, of_incumbent] = session.shots();
                [candidate + of_candidate, incumbent + of_incumbent]
            })
        })
    }

    /// Whether both clubs have shots in a stratum of a session.
    pub(super) fn meet(&self, session: u32, stratum: &Stratum) -> bool {
        let visit = self.visit_of.get(&session).map(|at| &self.visits[*at]);
        let cells = visit.and_then(|visit| visit.strata.iter().find(|(known, _)| known == stratum));
        cells.is_some_and(|(_, both)| {
            both.iter().all(|cells| cells.iter().any(|cell| !cell.is_empty()))
        })
    }

    /// Shots of the candidate's own means, by measure.
    pub(super) fn own_shots(&self) -> [u32; Tested::ALL.len()] {
        Tested::ALL
            .map(|tested| self.visits.iter().map(|visit| visit.own[tested.index()].n()).sum())
    }

    /// Log evidence that the candidate's carry scatters more; `None` where it cannot be judged.
    pub(super) fn spread(&self) -> Option<f64> {
        let carries = self.sums[Tested::Carry.index()].iter().copied();
        stats::variance_ratio_of_sessions(carries).ok().map(|ratio| ratio.log_e_worse)
    }
}
