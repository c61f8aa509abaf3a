//! Sources, and who has shots of them.

use std::collections::BTreeSet;

use super::{CUSTOMER, Catalogue, Entry, SOURCE, SourceState};
use crate::{
    live::ledger::Owner,
    shot::{Sequence, Source, SourceId},
};

impl Catalogue {
    pub(in crate::live) fn source(&self, id: &SourceId) -> Option<&Entry<SourceId, SourceState>> {
        self.sources.get(id)
    }

    pub(in crate::live) fn source_number(&self, id: &SourceId) -> Option<u32> {
        self.sources.number(id)
    }

    pub(in crate::live) fn source_by_number(
        &self,
        number: u32,
    ) -> Option<&Entry<SourceId, SourceState>> {
        self.sources.by_number(number)
    }

    pub(in crate::live) fn sources(&self) -> Vec<&Entry<SourceId, SourceState>> {
        self.sources.listed()
    }

    /// The last sequence that changed a source or took one out.
    pub(in crate::live) fn sources_as_of(&self) -> Sequence {
        self.sources.as_of()
    }

    pub(in crate::live) fn ensure_source(&mut self, id: &SourceId, at: Sequence) -> u32 {
        let (number, made) = self.sources.ensure(id, at, SourceState::bare);
        if made {
            self.change(SOURCE, number);
        }
        number
    }

    /// Changes what is remembered of a source.
    pub(in crate::live) fn edit_source<T>(
        &mut self,
        number: u32,
        edit: impl FnOnce(&mut SourceState) -> T,
    ) -> Option<T> {
        let entry = self.sources.entries.get_mut(number as usize)?;
        let answer = edit(&mut entry.document);
        self.change(SOURCE, number);
        Some(answer)
    }

    /// Replaces what is said of a source; says whether the source is new.
    pub(in crate::live) fn put_source(
        &mut self,
        id: &SourceId,
        document: Source,
        at: Sequence,
    ) -> bool {
        let made = self.source_number(id).is_none();
        let number = self.ensure_source(id, at);
        let entry = &mut self.sources.entries[number as usize];
        (entry.document.document, entry.as_of) = (document, at);
        self.change(SOURCE, number);
        made
    }

    /// Takes a source out, one that nothing is left of, too: its removal is the last word on sources.
    pub(in crate::live) fn remove_source(&mut self, id: &SourceId, at: Sequence) {
        self.ensure_source(id, at);
        if let Some(number) = self.sources.remove(id, at) {
            self.change(SOURCE, number);
        }
    }

    /// Notes that an owner holds shots of a source.
    pub(in crate::live) fn note_customer(&mut self, source: u32, owner: Owner) {
        let code = owner.code();
        if self.customers.entry(source).or_default().insert(code) {
            self.change_part(CUSTOMER, source, code);
        }
    }

    /// Everybody who may hold any shot.
    pub(in crate::live) fn all_customers(&self) -> Vec<Owner> {
        let codes: BTreeSet<u32> = self.customers.values().flatten().copied().collect();
        codes.into_iter().filter_map(Owner::of_code).collect()
    }

    /// Everybody else who may hold shots that were sent as an owner's: of the sources that the owner has
    /// shots of, and of those that named somebody who had been erased.
    pub(in crate::live) fn who_may_hold_shots_of(&self, owner: Owner) -> BTreeSet<Owner> {
        let code = owner.code();
        let named_erased = |source: &u32| {
            self.sources.by_number(*source).is_some_and(|entry| entry.document.named_erased)
        };
        let shared = self.customers.iter();
        let shared = shared.filter(|(source, codes)| codes.contains(&code) || named_erased(source));
        let holders = shared.flat_map(|(_, codes)| codes);
        holders.filter_map(|code| Owner::of_code(*code)).filter(|o| *o != owner).collect()
    }

    /// Everybody who may hold shots of a source.
    pub(in crate::live) fn customers(&self, source: u32) -> Vec<Owner> {
        let codes = self.customers.get(&source).into_iter().flatten();
        codes.filter_map(|code| Owner::of_code(*code)).collect()
    }
}
