//! Two clubs like for like: what was gathered within sessions that hold both, and what was left
//! out.

use std::cell::RefCell;

use hashbrown::HashMap;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    dispersion::SpreadRatio,
    filter::Evidence,
    history::{Frozen, frozen},
    lie_group::LieGroup,
    marks::{Build, Place},
    metric::{Interval, Metric},
    pair::run_effect,
    player::Player,
    row::{Row, Stratum},
};
use crate::stats::{self, Cell, Estimate, Insufficient, Of, Variance};

/// Shots of both clubs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct ShotsOfPair {
    /// Of the incumbent.
    pub incumbent: usize,
    /// Of the candidate.
    pub candidate: usize,
}

/// Shots that were left out for one reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct LeftOut {
    /// Why.
    pub reason: Reason,
    /// How many, of both clubs.
    pub shots: usize,
}

/// Why a shot is no evidence for a comparison, in order of judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// It arrived before the trial was opened.
    BeforeOpening,
    /// It arrived while the trial was paused or closed.
    Paused,
    /// The trial had as many shots as it takes.
    TrialFull,
    /// Somebody set it aside.
    SetAside,
    /// It was hit to warm up.
    WarmUp,
    /// It was hit before the club's newest build.
    OlderBuild,
    /// The player meant another flight, or a part swing.
    OtherIntent,
    /// The question asks for another lie, ball or time.
    OutsideFilter,
    /// The strike was a mishit.
    Mishit,
    /// It was hit before the club seemed to have moved.
    BeforeDrift,
    /// The other club was not hit from that lie with that ball in that session.
    NoPartner,
}

/// The like-for-like evidence on a pair, every metric of it.
#[derive(Debug)]
pub struct LikeForLike {
    metrics: Vec<Metric>,
    /// Metrics some of whose values were worked out by a device.
    inferred: Vec<bool>,
    strata: Vec<Meeting>,
    /// The place from which shots are evidence.
    pub(super) from: usize,
    /// The run effects that were frozen when the clubs first met, if they have.
    pub(super) frozen: Option<Frozen>,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
    /// The intervals that were asked for: sentences ask again for what the criteria did.
    intervals: RefCell<Vec<Known>>,
}

/// An interval of one metric, from all lies or from one.
type Known = ((Metric, Option<LieGroup>), Interval);

/// From where on a pair's shots are evidence.
#[derive(Debug, Clone, Copy, Default)]
pub struct Since {
    /// Place among the present shots.
    pub place: usize,
    /// The run effects that were frozen when the clubs first met, if they have.
    pub frozen: Option<Frozen>,
}

/// What both clubs did in one stratum of one session.
#[derive(Debug)]
struct Meeting {
    session: u32,
    lie: LieGroup,
    /// The shots of candidate and incumbent, by index.
    rows: [Vec<u32>; 2],
    /// Their sums, metric by metric.
    cells: Vec<[Cell; 2]>,
}

/// Which two builds are compared, on what evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct PairOfBuilds {
    /// The build that is tried.
    pub candidate: Build,
    /// The build whose place is wanted.
    pub incumbent: Build,
    /// What counts.
    pub evidence: Evidence,
}

/// Where shots belong.
#[derive(Default)]
struct Sorted {
    known: HashMap<(u32, Stratum), usize>,
    /// Shots come in runs: mostly it is where the last one belonged.
    last: Option<((u32, Stratum), usize)>,
}

impl Sorted {
    /// A shot's place among the strata, made where there is none.
    fn stratum_of(&mut self, row: &Row, strata: &mut Vec<Meeting>) -> usize {
        let met = (row.session, row.stratum());
        if let Some((_, at)) = self.last.filter(|(last, _)| *last == met) {
            return at;
        }
        let next = strata.len();
        let at = *self.known.entry(met).or_insert(next);
        if at == next {
            strata.push(Meeting {
                session: row.session,
                lie: LieGroup::of(row.lie, row.wet),
                rows: [Vec::new(), Vec::new()],
                cells: Vec::new(),
            });
        }
        self.last = Some((met, at));
        at
    }
}

impl LikeForLike {
    /// Gathers a pair's evidence from where neither club had moved since, with the run effect that
    /// was frozen when the clubs first met.
    #[must_use]
    pub fn of(player: Player<'_>, pair: &PairOfBuilds, metrics: &[Metric]) -> Self {
        let last = player.marks.places().len().saturating_sub(1);
        let from = player.drift.last_alarm([pair.candidate, pair.incumbent], last).unwrap_or(0);
        let frozen = frozen(player.rows, player.marks, [pair.candidate.club, pair.incumbent.club]);
        Self::gather(player, pair, metrics, Since { place: from, frozen })
    }

    /// Gathers a pair's evidence on some metrics.
    #[must_use]
    pub fn gather(
        player: Player<'_>,
        pair: &PairOfBuilds,
        metrics: &[Metric],
        since: Since,
    ) -> Self {
        let mut gathered = Self {
            metrics: metrics.to_vec(),
            inferred: vec![false; metrics.len()],
            strata: Vec::new(),
            from: since.place,
            frozen: since.frozen,
            left_out: Vec::new(),
            intervals: RefCell::default(),
        };
        let mut reasons: Vec<(Reason, usize)> = Vec::new();
        let mut leave_out = |reason, shots| {
            if shots > 0 {
                match reasons.iter_mut().find(|(known, _)| *known == reason) {
                    Some((_, left)) => *left += shots,
                    None => reasons.push((reason, shots)),
                }
            }
        };
        let absent = player.marks.absent().iter().map(|row| &player.rows[*row as usize]);
        for row in absent.filter(|row| pair.holds(row.club)) {
            let own = if row.set_aside { Reason::SetAside } else { Reason::WarmUp };
            leave_out(pair.evidence.untimely(row).unwrap_or(own), 1);
        }
        let mut sorted = Sorted::default();
        for index in player.marks.of_clubs([pair.candidate.club, pair.incumbent.club]) {
            let place = &player.marks.places()[index];
            let row = &player.rows[place.row as usize];
            if let Some(reason) = pair.reason_against(player, place, index < since.place) {
                leave_out(reason, 1);
            } else {
                let side = usize::from(place.build != pair.candidate);
                let at = sorted.stratum_of(row, &mut gathered.strata);
                gathered.strata[at].rows[side].push(place.row);
            }
        }
        let lonely = |met: &Meeting| met.rows.iter().any(Vec::is_empty);
        let alone = gathered.strata.iter().filter(|met| lonely(met));
        leave_out(Reason::NoPartner, alone.map(|met| met.rows[0].len() + met.rows[1].len()).sum());
        gathered.strata.retain(|met| !lonely(met));
        gathered.sum(player.rows);
        reasons.sort_unstable();
        gathered.left_out =
            reasons.into_iter().map(|(reason, shots)| LeftOut { reason, shots }).collect();
        gathered
    }

    /// Sums the shots of all strata, metric by metric.
    fn sum(&mut self, rows: &[Row]) {
        let mut values: Vec<f64> = Vec::new();
        for met in &mut self.strata {
            for (metric, inferred) in self.metrics.iter().zip(&mut self.inferred) {
                met.cells.push([0, 1].map(|side: usize| {
                    values.clear();
                    for row in met.rows[side].iter().map(|row| &rows[*row as usize]) {
                        if let Some(value) = metric.evidence(row) {
                            values.push(value);
                            *inferred |= metric.is_inferred(row);
                        }
                    }
                    // A stored value is finite by the schema's bounds.
                    Cell::of(&values).unwrap_or_default()
                }));
            }
        }
    }

    /// The difference of one metric, from all lies or from one.
    ///
    /// # Errors
    /// What is missing.
    pub fn difference(
        &self,
        metric: Metric,
        lie: Option<LieGroup>,
    ) -> Result<Estimate, Insufficient> {
        let index = self.index_of(metric).ok_or(Insufficient::NoCommonSession)?;
        let mut sorted: Vec<&Meeting> = self.met(lie).collect();
        // Sessions in the order in which they appear: their numbers have no say in any digit.
        let mut first: HashMap<u32, usize> = HashMap::new();
        for (at, met) in self.strata.iter().enumerate() {
            first.entry(met.session).or_insert(at);
        }
        sorted.sort_by_key(|met| first.get(&met.session));
        let strata = sorted.iter().map(|met| stats::Stratum {
            session: met.session,
            candidate: &met.cells[index][0],
            incumbent: &met.cells[index][1],
        });
        let run = run_effect(metric.quantity(Of::Difference), self.frozen.map(|f| f.run));
        stats::blocked_difference(strata, run, Variance::Welch)
    }

    /// The same with its ends, SI.
    #[must_use]
    pub fn interval(&self, metric: Metric, lie: Option<LieGroup>) -> Interval {
        // The only lie is all lies.
        let lie = lie.filter(|lie| self.strata.iter().any(|met| met.lie != *lie));
        let known = |all: &[Known]| all.iter().find(|(of, _)| *of == (metric, lie)).map(|of| of.1);
        if let Some(known) = known(&self.intervals.borrow()) {
            return known;
        }
        let difference = self.difference(metric, lie).ok();
        let interval = difference.and_then(|estimate| metric.interval(&estimate)).map_or(
            Interval::UNKNOWN,
            |interval| Interval { inferred: self.is_inferred(metric), ..interval },
        );
        self.intervals.borrow_mut().push(((metric, lie), interval));
        interval
    }

    /// The candidate's spread of one metric over the incumbent's.
    #[must_use]
    pub fn spread(&self, metric: Metric, lie: Option<LieGroup>) -> SpreadRatio {
        let ratio = self.index_of(metric).and_then(|index| {
            let both = || {
                let cells = self.met(lie).map(move |met| &met.cells[index]);
                cells
                    .filter(|[candidate, incumbent]| !candidate.is_empty() && !incumbent.is_empty())
            };
            let (candidate, incumbent) = (both().map(|met| &met[0]), both().map(|met| &met[1]));
            stats::log_variance_ratio(candidate, incumbent).ok()
        });
        SpreadRatio::of(metric, ratio)
    }

    /// One metric of candidate and incumbent over all their shots, in the statistics' unit.
    pub(super) fn cells(&self, metric: Metric, lie: Option<LieGroup>) -> [Cell; 2] {
        let index = self.index_of(metric);
        self.met(lie)
            .filter_map(|met| met.cells.get(index?))
            .fold([Cell::default(); 2], |[candidate, incumbent], met| {
                [candidate.merge(&met[0]), incumbent.merge(&met[1])]
            })
    }

    /// Indices of the shots of the candidate (side 0) or the incumbent.
    pub(super) fn rows(&self, side: usize) -> impl Iterator<Item = u32> {
        self.strata.iter().flat_map(move |met| met.rows[side].iter().copied())
    }

    /// The first shot of each session and stratum that holds both clubs, by index.
    pub(super) fn meetings(&self) -> impl Iterator<Item = u32> {
        self.strata.iter().filter_map(|met| met.rows[0].first().copied())
    }

    fn met(&self, lie: Option<LieGroup>) -> impl Iterator<Item = &Meeting> {
        self.strata.iter().filter(move |met| lie.is_none_or(|lie| met.lie == lie))
    }

    /// Whether some of a metric's values were worked out by a device rather than measured.
    #[must_use]
    pub fn is_inferred(&self, metric: Metric) -> bool {
        self.index_of(metric).is_some_and(|index| self.inferred[index])
    }

    /// Shots that count, by club, from all lies or from one.
    #[must_use]
    pub fn shots(&self, lie: Option<LieGroup>) -> ShotsOfPair {
        self.met(lie).fold(ShotsOfPair::default(), |sum, met| ShotsOfPair {
            candidate: sum.candidate + met.rows[0].len(),
            incumbent: sum.incumbent + met.rows[1].len(),
        })
    }

    /// Sessions that hold both clubs.
    #[must_use]
    pub fn sessions(&self, lie: Option<LieGroup>) -> usize {
        super::profile::distinct(self.met(lie).map(|met| met.session))
    }

    /// Whether a metric was measured with both clubs at all.
    pub(super) fn has(&self, metric: Metric) -> bool {
        self.index_of(metric).is_some_and(|index| {
            self.strata.iter().any(|met| met.cells[index].iter().all(|cell| !cell.is_empty()))
        })
    }

    fn index_of(&self, metric: Metric) -> Option<usize> {
        self.metrics.iter().position(|known| *known == metric)
    }
}

impl Evidence {
    /// Why a shot is none of a trial's, if this is a trial's evidence and it is none.
    fn untimely(&self, row: &Row) -> Option<Reason> {
        let stretches = self.stretches.as_ref().filter(|all| !all.hold(row.sequence))?;
        Some(match row.sequence {
            early if early < stretches.opened() => Reason::BeforeOpening,
            late if stretches.is_beyond(late) => Reason::TrialFull,
            _ => Reason::Paused,
        })
    }
}

impl PairOfBuilds {
    fn holds(&self, club: u32) -> bool {
        club == self.candidate.club || club == self.incumbent.club
    }

    fn reason_against(&self, player: Player<'_>, place: &Place, drifted: bool) -> Option<Reason> {
        let row = &player.rows[place.row as usize];
        if let Some(untimely) = self.evidence.untimely(row) {
            Some(untimely)
        } else if place.build != self.candidate && place.build != self.incumbent {
            Some(Reason::OlderBuild)
        } else if row.intent != self.evidence.intent {
            Some(Reason::OtherIntent)
        } else if !self.evidence.admits(row) {
            Some(Reason::OutsideFilter)
        } else if place.is_mishit(player.arrived(&self.evidence)) {
            Some(Reason::Mishit)
        } else if drifted {
            Some(Reason::BeforeDrift)
        } else {
            None
        }
    }
}
