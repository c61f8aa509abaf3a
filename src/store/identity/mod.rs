//! Which identities are stored, and where in the journal.
//!
//! Sources are numbered; the ids of a source lie in pages, in the order of their bytes, so that the ids of one session
//! share a page and a bulk load touches few. The table holds the pages; those in use are kept here, and a page that the
//! table does not have yet is never let go, so that a look-up never misses what is durable.

mod gone;
mod page;

use std::collections::{BTreeMap, HashMap};
use std::ops::Bound::{Included, Unbounded};
use std::sync::Arc;

use bytes::Bytes;
use compact_str::CompactString;
use gone::Gone;
pub(super) use gone::Known;
use page::Page;

use super::error::TableError;
use super::table::{Table, TableChange, Tree};
use crate::shot::{Keyed, Sequence, ShotId, SourceId};

/// Pages that are kept at least, about 1 KB each.
const KEPT_PAGES: usize = 8_192;
/// Bytes of a source's number before the lowest id, in the key of a page.
const NUMBER: usize = 4;

/// The identities of a store.
pub(super) struct Identities {
    table: Arc<dyn Table>,
    sources: HashMap<CompactString, Source>,
    /// Sources that the table does not have yet.
    new_sources: Vec<CompactString>,
    /// Source and lowest id of the pages that changed since the last [`take_changes`](Self::take_changes).
    changed: Vec<(CompactString, CompactString)>,
    /// The table has what happened up to here.
    applied: Sequence,
    /// Pages in memory.
    pages: usize,
    kept_pages: usize,
    /// Pages in memory at which some are let go.
    sweep_at: usize,
    /// Counts look-ups, to tell which pages were not asked for the longest.
    now: u64,
    /// Those whose shots are gone.
    gone: Gone,
}

struct Source {
    number: u32,
    /// Pages in memory, by their lowest id.
    pages: BTreeMap<CompactString, Page>,
}

impl Identities {
    /// The identities in a table that holds all frames up to `applied`.
    pub(super) fn load(table: Arc<dyn Table>, applied: Sequence) -> Result<Self, TableError> {
        let mut sources = HashMap::new();
        for (name, number) in table.prefix(Tree::Sources, &[])? {
            let name = CompactString::from_utf8(&name[..]).map_err(|_| broken("a source"))?;
            let number = number[..].try_into().map_err(|_| broken("a source"))?;
            let number = u32::from_be_bytes(number);
            sources.insert(name, Source { number, pages: BTreeMap::new() });
        }
        let (new_sources, changed) = (Vec::new(), Vec::new());
        let gone = Gone::load(Arc::clone(&table))?;
        Ok(Self {
            table,
            sources,
            new_sources,
            changed,
            applied,
            pages: 0,
            kept_pages: KEPT_PAGES,
            sweep_at: KEPT_PAGES,
            now: 0,
            gone,
        })
    }

    /// The sequence under which an identity is known, durable or not.
    pub(super) fn find(
        &mut self,
        source: &SourceId,
        id: &ShotId,
    ) -> Result<Option<Sequence>, TableError> {
        let now = self.tick();
        let Some(known) = self.sources.get_mut(source.as_str()) else { return Ok(None) };
        let covering = known.covering(&*self.table, id.as_str(), now)?;
        let (found, loaded) = (covering.page.find(id.as_str()).ok(), covering.loaded);
        self.count_loaded(loaded);
        Ok(found)
    }

    /// The sequence that the shot of an identity had whose content is gone.
    pub(super) fn find_gone(
        &self,
        source: &SourceId,
        id: &ShotId,
    ) -> Result<Option<Sequence>, TableError> {
        self.gone.find((source, id))
    }

    /// Enters an identity under a sequence, unless it is known: then where from.
    pub(super) fn claim(
        &mut self,
        (source, id): (&SourceId, &ShotId),
        sequence: Sequence,
    ) -> Result<Option<Known>, TableError> {
        let (name, shot, id) = (source.as_str(), id, id.as_str());
        if !self.sources.contains_key(name) {
            self.add_source(name);
        }
        let now = self.tick();
        let Some(known) = self.sources.get_mut(name) else { return Ok(None) };
        let Covering { lower, page, loaded } = known.covering(&*self.table, id, now)?;
        let at = match page.find(id) {
            Ok(sequence) => {
                self.count_loaded(loaded);
                return Ok(Some(Known::Stored(sequence)));
            }
            Err(at) => at,
        };
        if let Some(gone) = self.gone.find((source, shot))? {
            self.count_loaded(loaded);
            return Ok(Some(Known::Gone(gone)));
        }
        if page.change(sequence) {
            self.changed.push((name.into(), lower.clone()));
        }
        if let Some((lower, right)) = page.insert(at, id, sequence) {
            self.changed.push((name.into(), lower.clone()));
            known.pages.insert(lower, right);
            self.pages += 1;
        }
        self.count_loaded(loaded);
        Ok(None)
    }

    /// Takes an identity back whose frame was not stored.
    pub(super) fn release(&mut self, source: &SourceId, id: &ShotId) -> Result<(), TableError> {
        let now = self.tick();
        let Some(known) = self.sources.get_mut(source.as_str()) else { return Ok(()) };
        known.covering(&*self.table, id.as_str(), now)?.page.remove(id.as_str());
        Ok(())
    }

    /// Lets an identity go whose shot's content goes with the frame `at`; `keyed` stays under the
    /// shot's sequence.
    pub(super) fn bury(
        &mut self,
        (source, id): (&SourceId, &ShotId),
        keyed: Keyed,
        (shot, at): (Sequence, Sequence),
    ) -> Result<(), TableError> {
        let now = self.tick();
        if let Some(known) = self.sources.get_mut(source.as_str()) {
            let Covering { lower, page, loaded } =
                known.covering(&*self.table, id.as_str(), now)?;
            page.remove(id.as_str());
            if page.change(at) {
                self.changed.push((source.as_str().into(), lower.clone()));
            }
            self.count_loaded(loaded);
        }
        self.gone.note(keyed, (shot, at));
        Ok(())
    }

    /// Takes over the keyed hash of an identity whose shot, at this sequence, is gone.
    pub(super) fn note_gone(&mut self, keyed: Keyed, shot: Sequence) {
        self.gone.note(keyed, (shot, shot));
    }

    /// Forgets it again: the frame that said so was not stored.
    pub(super) fn forget_gone(&mut self, keyed: Keyed, shot: Sequence) {
        self.gone.forget(keyed, shot);
    }

    /// What the table needs to hold the same.
    pub(super) fn take_changes(&mut self) -> Vec<TableChange> {
        let mut changes = self.gone.take_changes();
        for name in self.new_sources.drain(..) {
            if let Some(source) = self.sources.get(&name) {
                let value = Bytes::copy_from_slice(&source.number.to_be_bytes());
                let key = Bytes::copy_from_slice(name.as_bytes());
                changes.push(TableChange { tree: Tree::Sources, key, value: Some(value) });
            }
        }
        for (name, lower) in self.changed.drain(..) {
            if let Some(source) = self.sources.get_mut(&name)
                && let Some(page) = source.pages.get_mut(&lower)
            {
                let key = page_key(source.number, &lower).into();
                let value = Some(page.take_encoded());
                changes.push(TableChange { tree: Tree::Identity, key, value });
            }
        }
        changes
    }

    /// The table has all changes up to this frame: pages may be let go.
    pub(super) fn applied(&mut self, upto: Sequence) {
        self.applied = upto;
        self.gone.applied(upto);
        self.sweep();
    }

    fn add_source(&mut self, name: &str) {
        let number = u32::try_from(self.sources.len()).unwrap_or(u32::MAX);
        self.sources.insert(name.into(), Source { number, pages: BTreeMap::new() });
        self.new_sources.push(name.into());
    }

    fn count_loaded(&mut self, loaded: bool) {
        self.pages += usize::from(loaded);
        self.sweep();
    }

    const fn tick(&mut self) -> u64 {
        self.now += 1;
        self.now
    }

    /// Lets pages go that the table has, those that were not asked for the longest.
    fn sweep(&mut self) {
        if self.pages < self.sweep_at {
            return;
        }
        let applied = self.applied;
        let pages = self.sources.values().flat_map(|source| source.pages.values());
        let mut uses: Vec<u64> =
            pages.filter(|page| page.may_go(applied)).map(Page::used_at).collect();
        let stay = self.kept_pages / 2;
        if let Some(go) = uses.len().checked_sub(stay + 1) {
            let (_, &mut newest_to_go, _) = uses.select_nth_unstable(go);
            for source in self.sources.values_mut() {
                let goes = |page: &Page| page.may_go(applied) && page.used_at() <= newest_to_go;
                source.pages.retain(|_, page| !goes(page));
            }
        }
        self.pages = self.sources.values().map(|source| source.pages.len()).sum();
        self.sweep_at = self.kept_pages.max(self.pages + stay);
    }
}

/// The page that holds an id, if any does.
struct Covering<'a> {
    lower: &'a CompactString,
    page: &'a mut Page,
    /// Whether it was not in memory before.
    loaded: bool,
}

impl Source {
    fn covering(
        &mut self,
        table: &dyn Table,
        id: &str,
        now: u64,
    ) -> Result<Covering<'_>, TableError> {
        let upto_id = (Unbounded, Included(id));
        let near = self.pages.range::<str, _>(upto_id).next_back();
        let held = near.is_some_and(|(_, page)| page.reaches(id));
        if !held {
            let (lower, page) = self.load(table, id)?;
            self.pages.insert(lower, page);
        }
        let near = self.pages.range_mut::<str, _>(upto_id).next_back();
        let (lower, page) = near.ok_or_else(|| broken("a page"))?;
        page.use_at(now);
        Ok(Covering { lower, page, loaded: !held })
    }

    fn load(&self, table: &dyn Table, id: &str) -> Result<(CompactString, Page), TableError> {
        let from = self.number.to_be_bytes();
        match table.floor(Tree::Identity, &from, &page_key(self.number, id))? {
            None => Ok((CompactString::default(), Page::default())),
            Some((key, value)) => {
                let lower = key.get(NUMBER..).and_then(|id| CompactString::from_utf8(id).ok());
                lower.zip(Page::decode(&value)).ok_or_else(|| broken("a page"))
            }
        }
    }
}

fn page_key(number: u32, lower: &str) -> Vec<u8> {
    let mut key = Vec::with_capacity(NUMBER + lower.len());
    key.extend_from_slice(&number.to_be_bytes());
    key.extend_from_slice(lower.as_bytes());
    key
}

fn broken(what: &str) -> TableError {
    TableError { file: "identity".to_owned(), cause: format!("{what} cannot be read") }
}

#[cfg(test)]
mod tests;
