//! A player's shots sorted by what may be compared, in one walk over all of them.

use std::cell::RefCell;

use hashbrown::HashMap;

use super::{
    filter::{Basis, Evidence},
    lie_group::LieGroup,
    like_for_like::ShotsOfPair,
    marks::{Build, judged_strike},
    metric::Metric,
    player::Player,
    rate::Rate,
    row::{Row, Stratum, Surface},
};
use crate::{
    shot::Intent,
    stats::{self, Cell, Estimate, Insufficient, RunEffect, Variance},
};

/// Full and part swings of every flight that was meant, of every club's newest build. What a
/// question restricts its evidence to holds, but for the intent: that is asked of the groups.
#[derive(Debug)]
pub(super) struct Survey<'a> {
    rows: &'a [Row],
    groups: Vec<Group>,
    of_club: Vec<Vec<usize>>,
    /// Whether shots were left out for where, with what or when they were hit.
    restricted: bool,
    /// Sums of clubs' shots on one surface with one ball, as far as they were asked for.
    on_basis: RefCell<HashMap<(u32, Job, Basis, Metric), Cell>>,
}

/// One club's shots in one stratum of one session, in order.
#[derive(Debug)]
pub(super) struct Group {
    /// The visit.
    pub session: u32,
    /// Lie, wetness, ball and what was meant.
    pub stratum: Stratum,
    counted: Vec<u32>,
    mishits: Vec<u32>,
    /// Strikes that a screen judged, mishits and all.
    pub judged: usize,
    /// Sums of the counted shots, as far as they were asked for: many candidates ask the same.
    cells: RefCell<Vec<(Metric, Cell)>>,
}

impl Group {
    /// What it was hit from.
    pub(super) fn lie(&self) -> LieGroup {
        LieGroup::of(self.stratum.lie, self.stratum.wet)
    }

    /// The surface and ball that it rests on.
    pub(super) fn basis(&self) -> Basis {
        let Stratum { lie, wet, ball, .. } = self.stratum;
        Basis { surface: Surface::of(lie, wet), ball }
    }

    /// All shots, mishits too.
    pub(super) fn all(&self) -> usize {
        self.counted.len() + self.mishits.len()
    }

    /// Shots that count.
    pub(super) fn shots(&self) -> usize {
        self.counted.len()
    }
}

/// Which of a club's groups a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Job {
    /// From this lie; from all of them without.
    pub lie: Option<LieGroup>,
    /// With this flight in mind.
    pub intent: Intent,
}

impl Job {
    fn holds(self, group: &Group) -> bool {
        group.stratum.intent == self.intent && self.lie.is_none_or(|lie| group.lie() == lie)
    }
}

impl<'a> Survey<'a> {
    /// Sorts all present shots.
    pub(super) fn of(player: Player<'a>, evidence: &Evidence) -> Self {
        let clubs = player.clubs.len();
        let newest: Vec<Build> =
            (0_u32..).take(clubs).map(|club| player.newest_build(club)).collect();
        let mut survey = Self {
            rows: player.rows,
            groups: Vec::new(),
            of_club: vec![Vec::new(); clubs],
            restricted: evidence.is_restricted(),
            on_basis: RefCell::default(),
        };
        let mut known: HashMap<(u32, u32, Stratum), usize> = HashMap::new();
        let arrived = player.marks.places().len();
        for place in player.marks.places() {
            let row = &player.rows[place.row as usize];
            let is_newest = newest.get(row.club as usize) == Some(&place.build);
            if !is_newest || !evidence.admits_any_intent(row) {
                continue;
            }
            let at = survey.group_of(row, &mut known);
            let group = &mut survey.groups[at];
            group.judged += usize::from(judged_strike(row).is_some());
            if place.is_mishit(arrived) {
                group.mishits.push(place.row);
            } else {
                group.counted.push(place.row);
            }
        }
        survey
    }

    /// The strikes of club 0, the first so many good ones and the rest mishits.
    #[cfg(test)]
    pub(super) fn of_strikes(rows: &'a [Row], good: usize, judged: bool) -> Self {
        let mut survey = Self {
            rows,
            groups: Vec::new(),
            of_club: vec![Vec::new()],
            restricted: false,
            on_basis: RefCell::default(),
        };
        let mut known = HashMap::new();
        for (index, row) in (0_u32..).zip(rows) {
            let at = survey.group_of(row, &mut known);
            let group = &mut survey.groups[at];
            group.judged += usize::from(judged);
            let is_good = (index as usize) < good;
            if is_good { &mut group.counted } else { &mut group.mishits }.push(index);
        }
        survey
    }

    fn group_of(&mut self, row: &Row, known: &mut HashMap<(u32, u32, Stratum), usize>) -> usize {
        let stratum = row.stratum();
        // Shots come in runs: mostly it is the club's last group.
        let last = self.of_club[row.club as usize].last().copied();
        let same = |at: &usize| {
            let group = &self.groups[*at];
            group.session == row.session && group.stratum == stratum
        };
        if let Some(at) = last.filter(same) {
            return at;
        }
        let next = self.groups.len();
        let at = *known.entry((row.club, row.session, stratum)).or_insert(next);
        if at == next {
            self.groups.push(Group {
                session: row.session,
                stratum,
                counted: Vec::new(),
                mishits: Vec::new(),
                judged: 0,
                cells: RefCell::default(),
            });
            self.of_club[row.club as usize].push(at);
        }
        at
    }

    /// Before a sentence's "never": what it speaks of, where that is not everything.
    pub(super) fn scope(&self) -> &'static str {
        if self.restricted { ", among the shots that count here," } else { "" }
    }

    /// A club's groups, in the order in which they began.
    pub(super) fn groups(&self, club: u32) -> impl Iterator<Item = &Group> + Clone {
        let own = self.of_club.get(club as usize).map_or(&[][..], Vec::as_slice);
        own.iter().map(|at| &self.groups[*at])
    }

    /// A club's groups that do a job.
    pub(super) fn doing(&self, club: u32, job: Job) -> impl Iterator<Item = &Group> + Clone {
        self.groups(club).filter(move |group| job.holds(group))
    }

    /// The counted shots of a group.
    pub(super) fn counted<'s>(&'s self, group: &'s Group) -> impl Iterator<Item = &'a Row> + Clone {
        let rows = self.rows;
        group.counted.iter().map(move |row| &rows[*row as usize])
    }

    /// The mishits of a group.
    pub(super) fn mishits<'s>(&'s self, group: &'s Group) -> impl Iterator<Item = &'a Row> + Clone {
        let rows = self.rows;
        group.mishits.iter().map(move |row| &rows[*row as usize])
    }

    /// One metric of all counted shots of some groups, in the statistics' unit.
    pub(super) fn cell<'s>(&self, groups: impl Iterator<Item = &'s Group>, metric: Metric) -> Cell {
        let cells = groups.map(|group| self.cell_of(group, metric));
        cells.fold(Cell::default(), |sum, cell| sum.merge(&cell))
    }

    /// One metric of a club's counted shots that do a job from one surface with one ball.
    pub(super) fn cell_on(&self, basis: Basis, (club, job): (u32, Job), metric: Metric) -> Cell {
        let asked = (club, job, basis, metric);
        let known = self.on_basis.borrow().get(&asked).copied();
        known.unwrap_or_else(|| {
            let groups = self.doing(club, job).filter(|group| group.basis() == basis);
            let cell = self.cell(groups, metric);
            self.on_basis.borrow_mut().insert(asked, cell);
            cell
        })
    }

    fn cell_of(&self, group: &Group, metric: Metric) -> Cell {
        let known =
            group.cells.borrow().iter().find(|(of, _)| *of == metric).map(|(_, cell)| *cell);
        known.unwrap_or_else(|| {
            let mut cell = Cell::default();
            for value in self.counted(group).filter_map(|row| metric.evidence(row)) {
                // A stored value is finite by the schema's bounds.
                let _ = cell.push(value);
            }
            group.cells.borrow_mut().push((metric, cell));
            cell
        })
    }

    /// One less another, within sessions and in strata that are alike but for what was meant: two
    /// clubs, or two flights of one club.
    pub(super) fn met(&self, one: (u32, Job), other: (u32, Job)) -> Met<'_> {
        let alike = |a: &Group, b: &Group| {
            let Stratum { lie, wet, ball, .. } = a.stratum;
            a.session == b.session
                && (lie, wet, ball) == (b.stratum.lie, b.stratum.wet, b.stratum.ball)
        };
        let mut pairs: Vec<(&Group, &Group)> = Vec::new();
        let mut of_session: HashMap<u32, Vec<&Group>> = HashMap::new();
        for group in self.doing(other.0, other.1).filter(|group| group.shots() > 0) {
            of_session.entry(group.session).or_default().push(group);
        }
        for group in self.doing(one.0, one.1).filter(|group| group.shots() > 0) {
            let partners = of_session.get(&group.session).into_iter().flatten();
            pairs.extend(partners.filter(|other| alike(group, other)).map(|other| (group, *other)));
        }
        // The strata of a session must follow one another; sessions stay in their order.
        let mut first: HashMap<u32, usize> = HashMap::new();
        for (at, (group, _)) in pairs.iter().enumerate() {
            first.entry(group.session).or_insert(at);
        }
        pairs.sort_by_key(|(group, _)| first.get(&group.session).copied());
        Met { survey: self, pairs }
    }
}

/// The share of judged strikes of some groups that were mishits.
pub(super) fn mishit_rate<'s>(groups: impl Iterator<Item = &'s Group>) -> Rate {
    let (judged, mishits) = groups.fold((0, 0), |(judged, mishits), group| {
        (judged + group.judged, mishits + group.mishits.len())
    });
    Rate::of(mishits, judged)
}

/// Groups that met: of the one, and of the other.
#[derive(Debug)]
pub(super) struct Met<'s> {
    survey: &'s Survey<'s>,
    pairs: Vec<(&'s Group, &'s Group)>,
}

impl Met<'_> {
    /// The one less the other in one metric.
    pub(super) fn difference(
        &self,
        metric: Metric,
        run: RunEffect,
    ) -> Result<Estimate, Insufficient> {
        let cell = |group| self.survey.cell_of(group, metric);
        let cells: Vec<(u32, [Cell; 2])> =
            self.pairs.iter().map(|(one, other)| (one.session, [cell(one), cell(other)])).collect();
        let strata = cells.iter().map(|(session, [one, other])| stats::Stratum {
            session: *session,
            candidate: one,
            incumbent: other,
        });
        stats::blocked_difference(strata, run, Variance::Welch)
    }

    /// Whether some of the values were worked out by a device rather than measured.
    pub(super) fn is_inferred(&self, metric: Metric) -> bool {
        let rows = self
            .pairs
            .iter()
            .flat_map(|(one, other)| self.survey.counted(one).chain(self.survey.counted(other)));
        rows.filter(|row| metric.value(row).is_some()).any(|row| metric.is_inferred(row))
    }

    /// Shots of the one, as the candidate's, and of the other.
    pub(super) fn shots(&self) -> ShotsOfPair {
        self.pairs.iter().fold(ShotsOfPair::default(), |sum, (one, other)| ShotsOfPair {
            candidate: sum.candidate + one.shots(),
            incumbent: sum.incumbent + other.shots(),
        })
    }

    /// Visits in which they met.
    pub(super) fn sessions(&self) -> usize {
        super::profile::distinct(self.pairs.iter().map(|(one, _)| one.session))
    }
}
