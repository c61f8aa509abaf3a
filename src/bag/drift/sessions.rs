//! Whether a club has moved: session scores against its first sessions, in a running sum.

use std::ops::Range;

use hashbrown::HashMap;

use crate::{
    bag::{Basis, Build, Evidence, Marks, Metric, Row, Tested},
    shot::Measure,
    stats::{
        self, Cell, Cusum, DRIFT_BASELINE_SESSIONS, Deviation, Estimate, RunEffect, SessionScore,
        Side,
    },
};

/// Sessions that a baseline is learnt from.
const BASELINE: usize = DRIFT_BASELINE_SESSIONS as usize;

/// What a club did in one session that has ended.
#[derive(Debug, Clone, Copy)]
pub struct Visited {
    /// The session, by number.
    pub session: u32,
    /// Place of the session's first shot, with whatever club.
    pub first: u32,
    /// The club's carries, yards.
    pub carries: Cell,
    /// Whether some of them were worked out by a device rather than measured.
    pub inferred: bool,
}

/// What a club's scores are held against.
#[derive(Debug, Clone, Copy)]
pub struct Baseline {
    /// Its carry, yards.
    pub carry: Estimate,
    /// The first and the last session that it was learnt from.
    pub sessions: [Visited; 2],
}

/// One session beside the baseline.
#[derive(Debug, Clone, Copy)]
pub struct Scored {
    /// What the club did.
    pub visited: Visited,
    /// What that says beside the player's other clubs.
    pub score: SessionScore,
    /// The sums of the control chart after it, before any restart: longer, shorter.
    pub sums: [f64; 2],
    /// Whether one of them raised an alarm.
    pub alarm: bool,
}

/// An alarm: a club seems to have moved.
#[derive(Debug, Clone)]
pub struct Alarm {
    /// Longer is above.
    pub side: Side,
    /// The sessions since it began, by their places among the scores.
    pub scores: Range<usize>,
    /// What they were held against.
    pub baseline: Baseline,
    /// Place of the first shot after its session: evidence counts from there.
    pub evidence_from: u32,
}

/// One club's drift so far.
#[derive(Debug, Default)]
pub struct ClubDrift {
    /// Sessions since the baseline was last begun, oldest first, until there is one.
    past: Vec<Visited>,
    baseline: Option<Baseline>,
    cusum: Cusum,
    /// Its ended sessions while a baseline stood.
    pub scores: Vec<Scored>,
    /// The alarms, oldest first.
    pub alarms: Vec<Alarm>,
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
            let next = starts[ended + 1].1;
            let visits = self.visits(starts[ended], next, (rows, marks));
            self.read_session(&visits, next);
        }
        self.sessions_read = starts.len().saturating_sub(1);
    }

    /// The drift of one club's build.
    #[must_use]
    pub fn of(&self, build: Build) -> Option<&ClubDrift> {
        self.clubs.get(&build)
    }

    /// What a club's drift rests on: what it is mostly hit from. `None` before its first session has ended.
    #[must_use]
    pub fn basis(&self, build: Build) -> Option<Basis> {
        self.bases.get(&build).copied()
    }

    /// Places from which evidence of either club starts anew, up to and including `place`.
    #[must_use]
    pub fn last_alarm(&self, builds: [Build; 2], place: usize) -> Option<usize> {
        let clubs = builds.iter().filter_map(|build| self.clubs.get(build));
        let places = clubs.flat_map(|club| &club.alarms).map(|alarm| alarm.evidence_from as usize);
        places.filter(|at| *at <= place).max()
    }

    /// What each club did in a session, which begins at its first shot and ended before the shot at
    /// `next`: each on its main surface and ball.
    fn visits(
        &mut self,
        (session, first): (u32, u32),
        next: u32,
        (rows, marks): (&[Row], &Marks),
    ) -> Vec<(Build, Visited)> {
        let arrived = next as usize;
        let stock = Evidence::default();
        let mut visits: Vec<(Build, Visited)> = Vec::new();
        for place in &marks.places()[first as usize..arrived] {
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
            let known = visits.iter().position(|(build, _)| *build == place.build);
            let at = known.unwrap_or_else(|| {
                let carries = Cell::default();
                visits.push((place.build, Visited { session, first, carries, inferred: false }));
                visits.len() - 1
            });
            let visited = &mut visits[at].1;
            // A stored carry is finite by the schema's bounds.
            let _ = visited.carries.push(carry);
            visited.inferred |= Metric::Measured(Measure::Carry).is_inferred(row);
        }
        visits
    }

    fn read_session(&mut self, visits: &[(Build, Visited)], next: u32) {
        let deviations: Vec<(Build, Deviation)> = visits
            .iter()
            .filter_map(|(build, visited)| {
                let baseline = self.clubs.get(build)?.baseline?;
                Some((*build, deviation(&visited.carries, &baseline.carry)))
            })
            .collect();
        for (build, visited) in visits {
            let club = self.clubs.entry(*build).or_default();
            let others = || deviations.iter().filter(|(of, _)| of != build).map(|(_, one)| *one);
            match deviations.iter().find(|(of, _)| of == build) {
                Some((_, own)) => club.score(*visited, (own, others()), next),
                None => club.learn(*visited),
            }
        }
    }
}

impl ClubDrift {
    /// What its sessions are held against; `None` while it is being learnt.
    #[must_use]
    pub fn baseline(&self) -> Option<&Baseline> {
        self.baseline.as_ref()
    }

    /// How many more sessions a baseline takes at least; 0 where there is one.
    #[must_use]
    pub fn sessions_needed(&self) -> usize {
        if self.baseline.is_some() { 0 } else { BASELINE.saturating_sub(self.past.len()).max(1) }
    }

    /// Holds a session against the baseline, which an alarm voids.
    fn score(
        &mut self,
        visited: Visited,
        (own, others): (&Deviation, impl Iterator<Item = Deviation>),
        next: u32,
    ) {
        let Some(baseline) = self.baseline else { return };
        let Ok(score) = stats::session_score(own, others) else { return };
        let Ok(step) = self.cusum.push(score.score) else { return };
        let (sums, alarm) = ([step.up, step.low], step.alarm);
        self.scores.push(Scored { visited, score, sums, alarm });
        if let Some((side, sessions)) = step.begun() {
            let end = self.scores.len();
            let scores = end.saturating_sub(sessions as usize)..end;
            self.alarms.push(Alarm { side, scores, baseline, evidence_from: next });
            self.baseline = None;
        }
    }

    /// Learns a baseline from the first sessions: five, or as many more as it takes to see how much
    /// the club scatters.
    fn learn(&mut self, visited: Visited) {
        self.past.push(visited);
        if self.past.len() < BASELINE {
            return;
        }
        let run = RunEffect::Sd(stats::RUN_SD_CARRY_YD);
        let learnt = stats::blocked_mean(self.past.iter().map(|visited| &visited.carries), run);
        if let Ok(carry) = learnt {
            self.baseline = Some(Baseline { carry, sessions: [self.past[0], visited] });
            self.past.clear();
        }
    }
}

/// What a club is mostly hit from: its drift rests on that alone.
fn main_basis(marks: &Marks, build: Build) -> Option<Basis> {
    marks.basis(build, |_| true)
}

fn deviation(carries: &Cell, baseline: &Estimate) -> Deviation {
    Deviation {
        from_baseline: carries.mean() - baseline.centre,
        n: carries.n(),
        sd: baseline.s,
        baseline_variance: baseline.se * baseline.se,
    }
}
