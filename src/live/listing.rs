//! Shots in order, page by page; a page is bounded by the work it takes.

use super::{Live, LiveError, ledger::Owner, lock, read, sieve::Sieve, views::ShotView};
use crate::{
    bag::Row,
    shot::{Flags, Sequence, ShotFilter},
};

/// Shots a page looks at, at most: of every shot, or of each owner that a player or a source narrows
/// the search to.
const WORK: usize = 20_000;

/// Rows a page looks at, at most, for shots with a flag.
const FLAG_WORK: usize = 5_000;

/// Which shots are wanted, and from where on.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotQuestion {
    /// Which shots pass.
    pub filter: ShotFilter,
    /// Only shots with this flag.
    pub flag: Option<Flags>,
    /// Newest first instead of oldest first.
    pub newest_first: bool,
    /// Where the last page ended: only shots beyond it, in the order asked for.
    pub beyond: Option<Sequence>,
    /// The last shot to look at: what the store shows by now.
    pub upto: Sequence,
    /// Shots a page holds at most.
    pub limit: usize,
    /// Shots a page looks at, at most: where it ends before the search does, the next goes on.
    pub work: usize,
}

/// One page of shots.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The shots.
    pub shots: Vec<ShotView>,
    /// Where the next page begins; `None` at the end. A page may be empty and still have one.
    pub next: Option<Sequence>,
    /// The last sequence that touched what the page is about.
    pub as_of: Sequence,
}

impl Live {
    /// One page of the shots that pass.
    ///
    /// # Errors
    /// A state that cannot be read.
    pub fn shots(&self, question: &ShotQuestion) -> Result<Page, LiveError> {
        let _acts = self.question()?;
        let last = question.upto.min(*lock(&self.last));
        let as_of = self.list_as_of(question)?;
        let (shots, next) = match self.owners(&question.filter) {
            Some(owners) => self.page_of(&owners, question)?,
            None => self.page_of_all(question, last)?,
        };
        Ok(Page { shots, next, as_of })
    }

    /// A page from the rolls of a few owners: the first of each are enough to know the first of
    /// all.
    fn page_of(
        &self,
        owners: &[Owner],
        question: &ShotQuestion,
    ) -> Result<(Vec<ShotView>, Option<Sequence>), LiveError> {
        let most = question.rows_a_page();
        let mut found: Vec<(Sequence, Owner)> = Vec::new();
        // Where the search of some owner's rows stopped, the nearest of all: nothing beyond counts.
        let mut stopped: Option<Sequence> = None;
        for owner in owners {
            let slot = self.rolls.get(*owner)?;
            let roll = read(&slot.roll);
            let catalogue = read(&self.catalogue);
            let Some(sieve) = Sieve::of(&question.filter, &catalogue, (*owner, &roll)) else {
                continue;
            };
            let rows = question.in_reach(roll.rows());
            let (looked, end) = question.part(rows);
            if let Some(end) = end {
                stopped = Some(stopped.map_or(end, |known| question.nearer(known, end)));
            }
            let mut passing = |row: &Row| {
                found.push((row.sequence, *owner));
            };
            let passes = |row: &&Row| sieve.passes(row);
            if question.newest_first {
                looked.iter().rev().filter(passes).take(most + 1).for_each(&mut passing);
            } else {
                looked.iter().filter(passes).take(most + 1).for_each(&mut passing);
            }
        }
        found.retain(|(shot, _)| stopped.is_none_or(|end| question.nearer(*shot, end) == *shot));
        found.sort_unstable();
        if question.newest_first {
            found.reverse();
        }
        let mut shots = Vec::new();
        for (at, (shot, owner)) in found.iter().enumerate() {
            if at == most || shots.len() == question.page_size() {
                return Ok((shots, Some(found[at - 1].0)));
            }
            shots.extend(self.view_if(*owner, *shot, question)?);
        }
        Ok((shots, stopped))
    }

    /// A page from all shots in order.
    fn page_of_all(
        &self,
        question: &ShotQuestion,
        last: Sequence,
    ) -> Result<(Vec<ShotView>, Option<Sequence>), LiveError> {
        let mut shots = Vec::new();
        let mut at = question.first(last);
        for _ in 0..question.work.max(1) {
            let Some(sequence) = at.filter(|at| *at >= 1 && *at <= last.get()) else {
                return Ok((shots, None));
            };
            let shot = Sequence::new(sequence);
            let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
            if let Some(owner) = owner
                && self.passes(owner, shot, &question.filter)?
            {
                shots.extend(self.view_if(owner, shot, question)?);
            }
            at = question.after(sequence);
            if shots.len() == question.page_size() {
                let more = at.is_some_and(|at| at >= 1 && at <= last.get());
                return Ok((shots, more.then_some(shot)));
            }
        }
        Ok((shots, at.map(|at| question.before(at))))
    }

    fn passes(&self, owner: Owner, shot: Sequence, filter: &ShotFilter) -> Result<bool, LiveError> {
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let catalogue = read(&self.catalogue);
        let sieve = Sieve::of(filter, &catalogue, (owner, &roll));
        let row = roll.index_of(shot).map(|index| &roll.rows()[index]);
        Ok(sieve.zip(row).is_some_and(|(sieve, row)| sieve.passes(row)))
    }

    fn view_if(
        &self,
        owner: Owner,
        shot: Sequence,
        question: &ShotQuestion,
    ) -> Result<Option<ShotView>, LiveError> {
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        reading.mark(&roll, &self.clubs_of(owner));
        let view = self.view(owner, &roll, reading.marks(), shot);
        Ok(view.filter(|view| question.flag.is_none_or(|flag| view.flags.intersects(flag))))
    }
}

impl Default for ShotQuestion {
    /// All shots, the oldest first, a hundred a page.
    fn default() -> Self {
        Self {
            filter: ShotFilter::default(),
            flag: None,
            newest_first: false,
            beyond: None,
            upto: Sequence::new(u64::MAX),
            limit: 100,
            work: WORK,
        }
    }
}

impl ShotQuestion {
    /// The rows beyond the last page that the store shows, in sequence order.
    fn in_reach<'a>(&self, rows: &'a [Row]) -> &'a [Row] {
        let before = |end: Sequence| rows.partition_point(|row| row.sequence < end);
        let upto = |end: Sequence| rows.partition_point(|row| row.sequence <= end);
        let shown = upto(self.upto);
        match self.beyond {
            Some(end) if self.newest_first => &rows[..before(end).min(shown)],
            Some(end) => &rows[upto(end).min(shown)..shown],
            None => &rows[..shown],
        }
    }

    /// The rows that one page looks at, and the last of them where there are more.
    fn part<'a>(&self, rows: &'a [Row]) -> (&'a [Row], Option<Sequence>) {
        let most = self.work.max(1);
        if rows.len() <= most {
            return (rows, None);
        }
        if self.newest_first {
            let looked = &rows[rows.len() - most..];
            (looked, looked.first().map(|row| row.sequence))
        } else {
            let looked = &rows[..most];
            (looked, looked.last().map(|row| row.sequence))
        }
    }

    /// Which of two comes first in the order asked for.
    fn nearer(&self, one: Sequence, other: Sequence) -> Sequence {
        if self.newest_first { one.max(other) } else { one.min(other) }
    }

    /// Shots a page holds at most; a page that held none would never end.
    fn page_size(&self) -> usize {
        self.limit.max(1)
    }

    /// Rows a page looks at: as many as it may hold, more where flags are told only by looking.
    fn rows_a_page(&self) -> usize {
        if self.flag.is_some() { FLAG_WORK } else { self.page_size() }
    }

    fn first(&self, last: Sequence) -> Option<u64> {
        match (self.beyond, self.newest_first) {
            (Some(end), true) => end.get().checked_sub(1),
            (Some(end), false) => end.get().checked_add(1),
            (None, true) => Some(last.get()),
            (None, false) => Some(1),
        }
    }

    fn after(&self, sequence: u64) -> Option<u64> {
        if self.newest_first { sequence.checked_sub(1) } else { sequence.checked_add(1) }
    }

    /// The end of a page whose next would begin at `sequence`.
    fn before(&self, sequence: u64) -> Sequence {
        let end =
            if self.newest_first { sequence.saturating_add(1) } else { sequence.saturating_sub(1) };
        Sequence::new(end)
    }
}
