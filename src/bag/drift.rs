//! Whether a club has moved: session scores against its first sessions, in a running sum.

use hashbrown::HashMap;

use super::{
    filter::{Basis, Evidence},
    marks::{Build, Marks},
    measure::Tested,
    row::Row,
};
use crate::stats::{self, Cell, Cusum, DRIFT_BASELINE_SESSIONS, Deviation, Estimate, RunEffect};

/// Sessions that a baseline is learnt from.
const BASELINE: usize = DRIFT_BASELINE_SESSIONS as usize;

/// One club's drift so far.
#[derive(Debug, Default)]
pub struct ClubDrift {
    /// Sessions since the baseline was last begun, oldest first, at most the baseline's number.
    past: Vec<Cell>,
    baseline: Option<Estimate>,
    cusum: Cusum,
    /// Scores of its ended sessions, once a baseline stood.
    pub scores: Vec<f64>,
    /// Places of the first shots after the sessions that raised an alarm: evidence counts from
    /// there.
    pub alarms: Vec<u32>,
}

/// Every club's drift over the sessions that have ended.
///
/// A session has ended when one not seen before begins; its score uses what had arrived by then.
#[derive(Debug, Default)]
pub struct Drift {
    /// How often it started anew; what was concluded from it before no longer stands.
    pub epoch: u32,
    sessions_read: usize,
    clubs: HashMap<Build, ClubDrift>,
    bases: HashMap<Build, Basis>,
}

impl Drift {
    /// Reads the sessions that have ended since the last call; starts anew where a club's main
    /// surface or ball has become another one.
    pub fn extend(&mut self, rows: &[Row], marks: &Marks) {
        if self.bases.iter().any(|(build, basis)| main_basis(marks, *build) != Some(*basis)) {
            *self = Self { epoch: self.epoch + 1, ..Self::default() };
        }
        let starts = marks.starts();
        for ended in self.sessions_read..starts.len().saturating_sub(1) {
            let (session, first) = starts[ended];
            let next = starts[ended + 1].1;
            let cells = self.session_cells(session, first as usize..next as usize, rows, marks);
            self.read_session(&cells, next);
        }
        self.sessions_read = starts.len().saturating_sub(1);
    }

    /// The drift of one club's build.
    #[must_use]
    pub fn of(&self, build: Build) -> Option<&ClubDrift> {
        self.clubs.get(&build)
    }

    /// Places from which evidence of either club starts anew, up to and including `place`.
    #[must_use]
    pub fn last_alarm(&self, builds: [Build; 2], place: usize) -> Option<usize> {
        let alarms = builds.iter().filter_map(|build| self.clubs.get(build));
        alarms.flat_map(|club| &club.alarms).map(|at| *at as usize).filter(|at| *at <= place).max()
    }

    /// Carries of one session by club, each on its main surface and ball.
    fn session_cells(
        &mut self,
        session: u32,
        places: std::ops::Range<usize>,
        rows: &[Row],
        marks: &Marks,
    ) -> Vec<(Build, Cell)> {
        let arrived = places.end;
        let stock = Evidence::default();
        let mut cells: Vec<(Build, Cell)> = Vec::new();
        for place in &marks.places()[places] {
            let row = &rows[place.row as usize];
            if row.session != session || place.is_mishit(arrived) || !stock.admits(row) {
                continue;
            }
            let Some(basis) = main_basis(marks, place.build) else { continue };
            self.bases.entry(place.build).or_insert(basis);
            let Some(carry) = Tested::Carry.evidence(row).filter(|_| Basis::of(row) == basis)
            else {
                continue;
            };
            let known = cells.iter().position(|(build, _)| *build == place.build);
            let at = known.unwrap_or_else(|| {
                cells.push((place.build, Cell::default()));
                cells.len() - 1
            });
            // A stored carry is finite by the schema's bounds.
            let _ = cells[at].1.push(carry);
        }
        cells
    }

    fn read_session(&mut self, cells: &[(Build, Cell)], next: u32) {
        let deviations: Vec<(Build, Deviation)> = cells
            .iter()
            .filter_map(|(build, cell)| {
                let baseline = self.clubs.get(build)?.baseline?;
                Some((*build, deviation(cell, &baseline)))
            })
            .collect();
        for (build, cell) in cells {
            self.clubs.entry(*build).or_default().past.push(*cell);
        }
        for (build, own) in &deviations {
            let others: Vec<Deviation> =
                deviations.iter().filter(|(b, _)| b != build).map(|(_, other)| *other).collect();
            if let Some(club) = self.clubs.get_mut(build) {
                club.score(own, others, next);
            }
        }
        for (build, _) in cells {
            if let Some(club) = self.clubs.get_mut(build) {
                club.learn();
            }
        }
    }
}

impl ClubDrift {
    fn score(&mut self, own: &Deviation, others: Vec<Deviation>, next: u32) {
        let Ok(score) = stats::session_score(own, others) else { return };
        self.scores.push(score);
        if self.cusum.push(score).is_ok_and(|step| step.alarm) {
            self.alarms.push(next);
            self.past.clear();
        }
    }

    /// Forgets a baseline that an alarm voided; learns one from the first sessions.
    fn learn(&mut self) {
        if self.baseline.is_some() {
            if self.past.is_empty() {
                self.baseline = None;
            }
        } else if self.past.len() >= BASELINE {
            let first = &self.past[..BASELINE];
            let run = RunEffect::Sd(stats::RUN_SD_CARRY_YD);
            self.baseline = stats::blocked_mean(first.iter(), run).ok();
        }
        // Only the baseline's sessions are ever read again.
        self.past.truncate(BASELINE);
    }
}

/// What a club is mostly hit from: its drift rests on that alone.
fn main_basis(marks: &Marks, build: Build) -> Option<Basis> {
    marks.basis(build, |_| true)
}

fn deviation(cell: &Cell, baseline: &Estimate) -> Deviation {
    Deviation {
        from_baseline: cell.mean() - baseline.centre,
        n: cell.n(),
        sd: baseline.s,
        baseline_variance: baseline.se * baseline.se,
    }
}
