//! Two clubs judged shot by shot: what evidence stands at every look, and its running maxima.

mod doubt;
mod look;
mod tally;
mod track;
mod verdict;

use super::{
    filter::{Basis, Evidence},
    history::{Frozen, WITH_FLOOR, frozen, frozen_at_opening},
    marks::{Build, OfEarlier, build_of},
    measure::Tested,
    player::Player,
    row::{NONE, Row},
    stretches::Stretches,
};
use crate::{
    shot::Purpose,
    stats::{self, Of, PlayerSd, Quantity, RunEffect, Test},
};

pub use doubt::BeyondDoubt;
pub use look::{Estimates, Maxima};

use doubt::Doubtful;
use tally::Side;
use track::Track;

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

impl PairQuestion {
    /// Whether a test is about a quantity.
    fn asks(&self, quantity: Quantity) -> bool {
        self.tests.iter().any(|test| test.quantity == quantity)
    }

    /// The side of a build, if it is one of the two.
    fn side(&self, build: Build) -> Option<Side> {
        match build {
            _ if build == self.candidate => Some(Side::Candidate),
            _ if build == self.incumbent => Some(Side::Incumbent),
            _ => None,
        }
    }
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
    /// The same without doubtful strikes; `None` where there are none.
    pub beyond_doubt: Option<BeyondDoubt>,
    /// The same if shots that were set aside and mishits counted too; `None` without such shots.
    pub with_all: Option<WithAll>,
}

/// What would stand if shots that were set aside and mishits counted too, over the same looks.
#[derive(Debug, Clone)]
pub struct WithAll {
    /// Estimates of all evidence.
    pub estimates: Estimates,
    /// Running maxima over all looks.
    pub maxima: Maxima,
    /// Fewest shots and sessions among the estimates the tests use.
    pub basis: stats::Basis,
    /// Like-for-like shots of candidate and incumbent by [`Tested::index`].
    pub shots: [[u32; 2]; Tested::ALL.len()],
}

/// A pair's replay: it reads the player's shots in order and remembers what looks have shown.
#[derive(Debug)]
pub struct Pair {
    question: PairQuestion,
    /// Places that were read, and the rows up to them.
    read: usize,
    rows_read: usize,
    evidence_from: usize,
    frozen: Option<Frozen>,
    counted: Track,
    /// Without what is doubtful; `None` as long as nothing is. Its looks begin when the first doubt is
    /// cast.
    beyond_doubt: Option<Track>,
    doubtful: Vec<Doubtful>,
    /// With what is set aside or mishit; `None` as long as that is the same.
    with_all: Option<Track>,
}

impl Pair {
    /// A pair that has read nothing.
    #[must_use]
    pub fn new(question: PairQuestion) -> Self {
        let counted = Track::new(question.tests.len());
        Self {
            question,
            read: 0,
            rows_read: 0,
            evidence_from: 0,
            frozen: None,
            counted,
            beyond_doubt: None,
            doubtful: Vec::new(),
            with_all: None,
        }
    }

    /// What it was asked.
    #[must_use]
    pub fn question(&self) -> &PairQuestion {
        &self.question
    }

    /// Reads the shots that have come since the last call and says what stands.
    pub fn advance(&mut self, player: Player<'_>) -> Standing {
        self.begin(player);
        while self.step(player) {}
        self.standing()
    }

    /// Present shots that were read.
    pub(super) fn places_read(&self) -> usize {
        self.read
    }

    /// Makes ready to read: a trial's evidence begins at its opening.
    pub(super) fn begin(&mut self, player: Player<'_>) {
        let clubs = [self.question.candidate.club, self.question.incumbent.club];
        if self.frozen.is_some() {
            return;
        }
        let Some(opened) = self.question.evidence.stretches.as_ref().map(Stretches::opened) else {
            self.frozen = frozen(player.rows, player.marks, clubs);
            return;
        };
        self.read = player.arrived_before(opened);
        self.rows_read = player.rows.partition_point(|row| row.sequence < opened);
        self.evidence_from = self.read;
        self.frozen = Some(frozen_at_opening(player.rows, player.marks, (clubs, self.read)));
    }

    /// Reads the next present shot, with what was set aside before it; says whether there was one.
    pub(super) fn step(&mut self, player: Player<'_>) -> bool {
        if self.read >= player.arrived(&self.question.evidence) {
            self.read_set_aside(player.rows.len(), player);
            return false;
        }
        let row = player.marks.places()[self.read].row as usize;
        self.read_set_aside(row, player);
        self.read_shot(self.read, player);
        self.read += 1;
        self.rows_read = row + 1;
        true
    }

    fn read_shot(&mut self, place: usize, player: Player<'_>) {
        let seen = player.marks.places()[place];
        if place > 0 && seen.begins_session {
            self.end_session(place, player);
        }
        let club = seen.build.club;
        let of_pair = club == self.question.candidate.club || club == self.question.incumbent.club;
        if !of_pair {
            return;
        }
        if let Some(side) = self.question.side(seen.build) {
            let row = &player.rows[seen.row as usize];
            self.take(place, (side, row), player);
        }
        if self.question.looks == Looks::EveryShot {
            self.look(place + 1);
        }
    }

    /// Counts a shot of one of the two builds, if it counts; it may make earlier ones of its club
    /// known as mishits.
    fn take(&mut self, place: usize, (side, row): (Side, &Row), player: Player<'_>) {
        let seen = player.marks.places()[place];
        let admitted = place >= self.evidence_from && self.question.evidence.admits(row);
        let mishit = seen.is_mishit(place + 1);
        if seen.of_earlier == OfEarlier::Mishits || (admitted && mishit) {
            self.tell_apart();
        }
        if let Some(all) = self.with_all.as_mut().filter(|_| admitted) {
            all.add(side, row, &self.question);
        }
        if seen.of_earlier != OfEarlier::Nothing {
            self.recount(place, player);
        } else if admitted && !mishit {
            self.counted.add(side, row, &self.question);
            if let Some(sure) = &mut self.beyond_doubt {
                sure.add(side, row, &self.question);
            }
        }
    }

    /// From here on what counts and what would with everything are not the same.
    fn tell_apart(&mut self) {
        self.with_all.get_or_insert_with(|| self.counted.clone());
    }

    /// Reads what was set aside among the rows before `until`.
    fn read_set_aside(&mut self, until: usize, player: Player<'_>) {
        for index in self.rows_read..until {
            let row = &player.rows[index];
            let Some(side) = self.side_of_set_aside(row, player) else { continue };
            self.tell_apart();
            if let Some(all) = &mut self.with_all {
                all.add(side, row, &self.question);
                if self.question.looks == Looks::EveryShot {
                    let in_force = self.frozen.filter(|frozen| self.read >= frozen.since);
                    all.look(&self.question, in_force);
                }
            }
        }
        self.rows_read = self.rows_read.max(until);
    }

    /// The side of a shot that would count if it were not set aside.
    fn side_of_set_aside(&self, row: &Row, player: Player<'_>) -> Option<Side> {
        let would_count = row.set_aside
            && row.club != NONE
            && row.session != NONE
            && row.purpose != Purpose::WarmUp
            && self.question.evidence.admits(row);
        let side = would_count.then(|| self.question.side(build_of(row, player.clubs)));
        side.flatten()
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
            self.counted = Track::new(self.question.tests.len());
            self.recount(place.saturating_sub(1), player);
            if self.with_all.take().is_some() {
                self.with_all = Some(self.recounted_with_all(place, player));
            }
        }
    }

    /// Fills the cells anew from the shots up to and including `place`.
    fn recount(&mut self, place: usize, player: Player<'_>) {
        self.counted.empty();
        self.doubtful.clear();
        for earlier in self.evidence_from..=place {
            if let Some((side, row)) = self.counts_by(place, earlier, player) {
                self.counted.add(side, row, &self.question);
                if player.marks.places()[earlier].is_doubtful(place + 1) {
                    let doubt = self.doubt(side, row);
                    self.doubtful.push(doubt);
                }
            }
        }
        self.beyond_doubt =
            (!self.doubtful.is_empty()).then(|| self.replayed_beyond_doubt(place, player));
    }

    /// Everything that would count, from where evidence begins up to but without `place`.
    fn recounted_with_all(&self, place: usize, player: Player<'_>) -> Track {
        let mut all = Track::new(self.question.tests.len());
        let row_of = |place: usize| player.marks.places()[place].row as usize;
        for row in &player.rows[row_of(self.evidence_from)..row_of(place)] {
            let present = row.is_present() && self.question.evidence.admits(row);
            let side = present.then(|| self.question.side(build_of(row, player.clubs))).flatten();
            if let Some(side) = side.or_else(|| self.side_of_set_aside(row, player)) {
                all.add(side, row, &self.question);
            }
        }
        all
    }

    /// Looks at the evidence when `arrived` present shots have arrived.
    fn look(&mut self, arrived: usize) {
        let frozen = self.frozen.filter(|frozen| arrived >= frozen.since);
        let others = [&mut self.beyond_doubt, &mut self.with_all];
        for track in others.into_iter().flatten().chain([&mut self.counted]) {
            track.look(&self.question, frozen);
        }
    }

    /// What stands after the shots that were read.
    pub(super) fn standing(&self) -> Standing {
        let frozen = self.frozen.filter(|frozen| self.read >= frozen.since);
        let present = self.counted.present(&self.question, frozen);
        let shots = self.counted.tally.shots();
        let with_all = self.with_all.as_ref().map(|all| {
            let with_all = all.present(&self.question, frozen);
            WithAll {
                basis: with_all.estimates.basis(&self.question.tests),
                estimates: with_all.estimates,
                maxima: with_all.maxima,
                shots: all.tally.shots(),
            }
        });
        let beyond_doubt =
            self.beyond_doubt.as_ref().map(|sure| self.standing_beyond_doubt(sure, frozen));
        // Those that were hit alone are no evidence.
        let beyond_doubt = beyond_doubt.filter(|sure| sure.doubtful != [0, 0]);
        Standing {
            basis: present.estimates.basis(&self.question.tests),
            estimates: present.estimates,
            maxima: present.maxima,
            beyond_doubt,
            own_shots: self.counted.tally.own_shots(),
            frozen,
            evidence_from: self.evidence_from,
            with_all: with_all.filter(|all| all.shots != shots),
            shots,
        }
    }
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
