//! Shots in order, page by page; a page is bounded by the work it takes.

use super::{Live, LiveError, ledger::Owner, lock, read, sieve::Sifted, views::ShotView};
use crate::{
    bag::Row,
    shot::{Flags, Sequence, ShotFilter},
};

/// Sequences a page looks at, at most, where no player or source narrows the search.
const WORK: u64 = 20_000;

/// Rows of an owner that a page looks at, at most, for a flag that the shots around tell.
const FLAG_WORK: usize = 20_000;

/// Which shots are wanted, and from where on.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotQuestion {
    /// Which shots pass.
    pub filter: ShotFilter,
    /// Newest first instead of oldest first.
    pub newest_first: bool,
    /// Where the last page ended: only shots beyond it, in the order asked for.
    pub beyond: Option<Sequence>,
    /// The last shot to look at: what the store shows by now.
    pub upto: Sequence,
    /// Shots a page holds at most.
    pub limit: usize,
}

/// One page of shots.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The shots.
    pub shots: Vec<ShotView>,
    /// Where the next page begins; `None` at the end. A page may be empty and still have one.
    pub next: Option<Sequence>,
    /// The last sequence that was folded.
    pub as_of: Sequence,
}

impl Live {
    /// One page of the shots that pass.
    ///
    /// # Errors
    /// A state that cannot be read.
    pub fn shots(&self, question: &ShotQuestion) -> Result<Page, LiveError> {
        let _acts = self.question()?;
        let as_of = question.upto.min(*lock(&self.last));
        let narrow = question.filter.player.is_some() || question.filter.source.is_some();
        let (shots, next) = if narrow {
            self.page_of(&self.owners(&question.filter), question)?
        } else {
            self.page_of_all(question, as_of)?
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
        let most = question.page_size();
        let mut found: Vec<(Sequence, Owner)> = Vec::new();
        let mut ends: Vec<Sequence> = Vec::new();
        for owner in owners {
            self.sift(*owner, &question.filter, |Sifted { rows, passes }| {
                let reach = || question.in_reach(rows);
                let looked_at = reach().take(question.rows_a_page());
                let passing = looked_at.filter(|at| passes(*at)).take(most + 1);
                found.extend(passing.map(|at| (rows[at].sequence, *owner)));
                // The last row that was looked at, where others lie beyond it.
                let mut unseen = reach().skip(question.rows_a_page() - 1);
                let last = unseen.next().filter(|_| unseen.next().is_some());
                ends.extend(last.map(|at| rows[at].sequence));
            })?;
        }
        // What one owner's part of the page may have left out comes on the next.
        let end = if question.newest_first { ends.iter().max() } else { ends.iter().min() };
        found.retain(|(shot, _)| {
            end.is_none_or(|end| if question.newest_first { shot >= end } else { shot <= end })
        });
        found.sort_unstable();
        if question.newest_first {
            found.reverse();
        }
        let next = if found.len() > most { Some(found[most - 1].0) } else { end.copied() };
        found.truncate(most);
        let mut shots = Vec::with_capacity(found.len());
        for (shot, owner) in found {
            shots.extend(self.view_of(owner, shot)?);
        }
        Ok((shots, next))
    }

    /// A page from all shots in order.
    fn page_of_all(
        &self,
        question: &ShotQuestion,
        last: Sequence,
    ) -> Result<(Vec<ShotView>, Option<Sequence>), LiveError> {
        let mut shots = Vec::new();
        let mut at = question.first(last);
        for _ in 0..WORK {
            let Some(sequence) = at.filter(|at| *at >= 1 && *at <= last.get()) else {
                return Ok((shots, None));
            };
            let shot = Sequence::new(sequence);
            let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
            if let Some(owner) = owner
                && self.passes(owner, shot, &question.filter)?
            {
                shots.extend(self.view_of(owner, shot)?);
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
        let passes = self.sift(owner, filter, |Sifted { rows, passes }| {
            rows.binary_search_by_key(&shot, |row| row.sequence).is_ok_and(passes)
        })?;
        Ok(passes.unwrap_or(false))
    }

    fn view_of(&self, owner: Owner, shot: Sequence) -> Result<Option<ShotView>, LiveError> {
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        Ok(self.view(owner, &roll, &mut reading, shot))
    }
}

impl Default for ShotQuestion {
    /// All shots, the oldest first, a hundred a page.
    fn default() -> Self {
        Self {
            filter: ShotFilter::default(),
            newest_first: false,
            beyond: None,
            upto: Sequence::new(u64::MAX),
            limit: 100,
        }
    }
}

impl ShotQuestion {
    /// Indices of the rows beyond the last page that the store shows, in the order asked for.
    fn in_reach(&self, rows: &[Row]) -> Box<dyn Iterator<Item = usize>> {
        let before = |end: Sequence| rows.partition_point(|row| row.sequence < end);
        let upto = |end: Sequence| rows.partition_point(|row| row.sequence <= end);
        let shown = upto(self.upto);
        match self.beyond {
            Some(end) if self.newest_first => Box::new((0..before(end).min(shown)).rev()),
            Some(end) => Box::new(upto(end).min(shown)..shown),
            None if self.newest_first => Box::new((0..shown).rev()),
            None => Box::new(0..shown),
        }
    }

    /// Shots a page holds at most; a page that held none would never end.
    fn page_size(&self) -> usize {
        self.limit.max(1)
    }

    /// Rows of an owner that a page looks at.
    fn rows_a_page(&self) -> usize {
        if self.filter.flag.is_some_and(Flags::are_judged) { FLAG_WORK } else { usize::MAX }
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
