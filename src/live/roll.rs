//! The shots of one owner in memory, with what the store keeps of them.

use std::collections::{BTreeMap, BTreeSet};

use hashbrown::HashMap;
use jiff::Timestamp;

use super::{
    LiveError, codec, document,
    head::Head,
    key,
    ledger::Owner,
    overlay::Corrected,
    session::{Session, Span, derived_name, nearest},
};
use crate::{
    bag::{NONE, Row},
    shot::{PlayerId, Sequence},
    store::{Change, Chunks},
};

/// Rows a chunk holds at most: with every value at its longest still less than the store takes as
/// one value.
const CHUNK_ROWS: usize = 32;

/// One owner's rows in sequence order, its sessions and its corrected shots.
#[derive(Debug)]
pub(super) struct Roll {
    owner: Owner,
    rows: Vec<Row>,
    sessions: Vec<Session>,
    session_of: HashMap<String, u32>,
    corrected: BTreeMap<u64, Corrected>,
    head: Head,
    generation: u64,
    /// The last sequence that changed anything here since it is in memory.
    changed_at: Sequence,
    /// The least sequence that each chunk of rows may hold, ascending; the first is 0.
    bounds: Vec<u64>,
    changed: Changed,
}

/// What the store does not have yet.
#[derive(Debug, Default)]
struct Changed {
    head: bool,
    chunks: BTreeSet<u64>,
    sessions: BTreeSet<u32>,
    corrected: BTreeSet<u64>,
}

impl Roll {
    /// Reads a roll back; an owner that nothing is kept of has an empty one.
    pub(super) fn load(owner: Owner, chunks: &dyn Chunks) -> Result<Self, LiveError> {
        let mut roll = Self {
            owner,
            rows: Vec::new(),
            sessions: Vec::new(),
            session_of: HashMap::new(),
            corrected: BTreeMap::new(),
            head: Head::load(owner, chunks)?,
            generation: 0,
            changed_at: Sequence::new(0),
            bounds: Vec::new(),
            changed: Changed::default(),
        };
        for (key, value) in chunks.prefix(&key::rows_of(owner))? {
            let from = key::sequence_in(&key).ok_or(LiveError::Unreadable("a key of rows"))?;
            roll.bounds.push(from);
            roll.rows.extend(codec::unpack(&value)?);
        }
        for (_, session) in document::read_all(&key::sessions_of(owner), chunks)? {
            roll.name_session(session);
        }
        roll.changed.sessions.clear();
        for (key, corrected) in document::read_all(&key::corrections_of(owner), chunks)? {
            let at =
                key::sequence_in(&key).ok_or(LiveError::Unreadable("a key of a correction"))?;
            roll.corrected.insert(at, corrected);
        }
        Ok(roll)
    }

    /// All rows in sequence order.
    pub(super) fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// What last touched it.
    pub(super) fn head(&self) -> Head {
        self.head
    }

    /// Rises whenever an earlier row changed: what was concluded from the rows no longer stands.
    pub(super) fn generation(&self) -> u64 {
        self.generation
    }

    /// Whether the store has everything of it, given what was committed.
    pub(super) fn is_stored(&self, committed: Sequence) -> bool {
        let changed = &self.changed;
        self.changed_at <= committed
            && !changed.head
            && changed.chunks.is_empty()
            && changed.sessions.is_empty()
            && changed.corrected.is_empty()
    }

    /// Index of a shot's row.
    pub(super) fn index_of(&self, sequence: Sequence) -> Option<usize> {
        // Mostly it is the newest that is asked for.
        let last = self.rows.len().checked_sub(1)?;
        if self.rows[last].sequence == sequence {
            return Some(last);
        }
        self.rows.binary_search_by_key(&sequence, |row| row.sequence).ok()
    }

    /// What was corrected of a shot.
    pub(super) fn corrected(&self, sequence: Sequence) -> Option<&Corrected> {
        self.corrected.get(&sequence.get())
    }

    /// A session's name.
    pub(super) fn session(&self, number: u32) -> Option<&Session> {
        self.sessions.get(number as usize)
    }

    /// All sessions' names, by number.
    pub(super) fn session_names(&self) -> Vec<&str> {
        self.sessions.iter().map(|session| session.name.as_str()).collect()
    }

    /// A session's number.
    pub(super) fn session_number(&self, name: &str) -> Option<u32> {
        self.session_of.get(name).copied()
    }

    /// Notes that a frame touched the owner.
    pub(super) fn touch(&mut self, sequence: Sequence) {
        self.head.as_of = self.head.as_of.max(sequence);
        self.changed_at = self.changed_at.max(sequence);
        self.changed.head = true;
    }

    /// Notes that a frame took shots out of the owner's lists, and that no conclusion changes.
    pub(super) fn hide(&mut self, sequence: Sequence) {
        self.head.hidden = self.head.hidden.max(sequence);
        self.changed_at = self.changed_at.max(sequence);
        self.changed.head = true;
    }

    /// Makes all conclusions start anew: something that they rest on has changed.
    pub(super) fn reconsider(&mut self) {
        self.generation += 1;
    }

    /// The session of a name, made where there is none.
    pub(super) fn named_session(&mut self, name: &str) -> u32 {
        match self.session_of.get(name) {
            Some(number) => *number,
            None => self.name_session(Session { name: name.to_owned(), derived: None }),
        }
    }

    /// The derived session that a shot of a source joins, made where there is none near enough.
    pub(super) fn derived_session(&mut self, source: (u32, &str), time: Timestamp) -> u32 {
        if let Some(number) = nearest(&self.sessions, source.0, time) {
            self.widen(number, time);
            return number;
        }
        let name = derived_name(source.1, time);
        self.span_session(&name, source.0, time)
    }

    /// The session of a name that was derived for a shot before, open for others to join.
    pub(super) fn span_session(&mut self, name: &str, source: u32, time: Timestamp) -> u32 {
        let number = self.named_session(name);
        if self.sessions[number as usize].derived.is_none() {
            self.sessions[number as usize].derived = Some(Span { source, from: time, to: time });
            self.changed.sessions.insert(number);
        } else {
            self.widen(number, time);
        }
        number
    }

    fn widen(&mut self, number: u32, time: Timestamp) {
        if let Some(span) = &mut self.sessions[number as usize].derived {
            let before = *span;
            span.widen(time);
            if *span != before {
                self.changed.sessions.insert(number);
            }
        }
    }

    fn name_session(&mut self, session: Session) -> u32 {
        let number = u32::try_from(self.sessions.len()).unwrap_or(NONE - 1);
        self.session_of.insert(session.name.clone(), number);
        self.sessions.push(session);
        self.changed.sessions.insert(number);
        number
    }

    /// Takes in a row that is newer than all others.
    pub(super) fn push(&mut self, row: Row) {
        let sequence = row.sequence.get();
        let last = self.bounds.last().copied();
        let full = last.is_none_or(|from| self.rows_from(from) >= CHUNK_ROWS);
        let chunk = match last {
            Some(from) if !full => from,
            // The first chunk takes any sequence, so that every row has a chunk.
            last => {
                let from = if last.is_none() { 0 } else { sequence };
                self.bounds.push(from);
                from
            }
        };
        self.rows.push(row);
        self.changed.chunks.insert(chunk);
    }

    /// Notes what is known of a shot beside its row.
    pub(super) fn note(&mut self, shot: Sequence, known: Corrected) {
        self.corrected.insert(shot.get(), known);
        self.changed.corrected.insert(shot.get());
    }

    /// Takes in rows at their places, with what was corrected of them.
    pub(super) fn insert(&mut self, rows: Vec<(Row, Option<Corrected>)>) {
        if rows.is_empty() {
            return;
        }
        if self.bounds.is_empty() {
            self.bounds.push(0);
        }
        for (row, corrected) in rows {
            self.change_chunk(row.sequence.get());
            if let Some(corrected) = corrected {
                self.note(row.sequence, corrected);
            }
            self.rows.push(row);
        }
        self.rows.sort_unstable_by_key(|row| row.sequence);
        self.generation += 1;
    }

    /// Takes out the rows of some shots, ascending, with what was corrected of them.
    pub(super) fn remove(&mut self, sequences: &[Sequence]) -> Vec<(Row, Option<Corrected>)> {
        let mut taken = Vec::with_capacity(sequences.len());
        let mut kept = Vec::with_capacity(self.rows.len());
        for row in std::mem::take(&mut self.rows) {
            if sequences.binary_search(&row.sequence).is_ok() {
                let sequence = row.sequence.get();
                self.change_chunk(sequence);
                let corrected = self.corrected.remove(&sequence);
                if corrected.is_some() {
                    self.changed.corrected.insert(sequence);
                }
                taken.push((row, corrected));
            } else {
                kept.push(row);
            }
        }
        self.rows = kept;
        self.generation += 1;
        taken
    }

    /// Takes out the rows of shots that are erased, ascending. A derived visit reaches from then on as
    /// far as the shots that are left, and one without any is joined by nobody.
    pub(super) fn erase(&mut self, sequences: &[Sequence]) -> Vec<(Row, Option<Corrected>)> {
        let taken = self.remove(sequences);
        let left: BTreeSet<u32> = taken.iter().map(|(row, _)| row.session).collect();
        for number in left {
            let Some(session) = self.sessions.get_mut(number as usize) else { continue };
            let Some(source) = session.derived.map(|span| span.source) else { continue };
            let of_visit = |row: &&Row| row.session == number && row.source == source;
            let times = || self.rows.iter().filter(of_visit).map(|row| row.time);
            let reach = times().min().zip(times().max());
            session.derived = reach.map(|(from, to)| Span { source, from, to });
            self.changed.sessions.insert(number);
        }
        taken
    }

    /// Takes out everything.
    pub(super) fn clear(&mut self) -> Vec<(Row, Option<Corrected>)> {
        let all: Vec<Sequence> = self.rows.iter().map(|row| row.sequence).collect();
        let taken = self.remove(&all);
        self.changed.sessions.extend((0_u32..).zip(&self.sessions).map(|(number, _)| number));
        self.sessions.clear();
        self.session_of.clear();
        taken
    }

    /// Lets the content of a shot go, and all that was said of it; its row stays as it is, so that no
    /// conclusion and no answer changes. What was corrected of it is given back.
    pub(super) fn retire(&mut self, shot: Sequence, at: Sequence) -> Option<Corrected> {
        let index = self.index_of(shot)?;
        self.rows[index].retired = true;
        self.change_chunk(shot.get());
        self.hide(at);
        let corrected = self.corrected.remove(&shot.get());
        self.changed.corrected.extend(corrected.is_some().then_some(shot.get()));
        corrected
    }

    /// Shots that were sent or inherited as a player's, and are another's by a correction, or wait since
    /// the player had been erased; ascending.
    pub(super) fn sent_as(&self, player: &PlayerId) -> Vec<Sequence> {
        let of_player = |corrected: &Corrected| corrected.sent_as() == Some(player);
        let shots = self.corrected.iter().filter(|(_, corrected)| of_player(corrected));
        shots.map(|(shot, _)| Sequence::new(*shot)).collect()
    }

    /// Changes a row where it stands, with what is now corrected of it.
    pub(super) fn amend(&mut self, row: Row, corrected: Option<Corrected>) {
        let Some(index) = self.index_of(row.sequence) else { return };
        let sequence = row.sequence.get();
        self.change_chunk(sequence);
        self.changed.corrected.insert(sequence);
        match corrected {
            Some(corrected) => self.corrected.insert(sequence, corrected),
            None => self.corrected.remove(&sequence),
        };
        self.rows[index] = row;
        self.generation += 1;
    }

    fn rows_from(&self, from: u64) -> usize {
        self.rows.len() - self.rows.partition_point(|row| row.sequence.get() < from)
    }

    fn change_chunk(&mut self, sequence: u64) {
        let after = self.bounds.partition_point(|from| *from <= sequence);
        if let Some(from) = self.bounds.get(after.saturating_sub(1)) {
            self.changed.chunks.insert(*from);
        }
    }

    /// Everything that changed, for the store.
    pub(super) fn take_changes(&mut self, changes: &mut Vec<Change>) {
        let changed = std::mem::take(&mut self.changed);
        if changed.head {
            document::write(&key::head(self.owner), &self.head, changes);
        }
        for number in changed.sessions {
            let key = key::session(self.owner, number);
            match self.sessions.get(number as usize) {
                Some(session) => document::write(&key, session, changes),
                None => document::remove(&key, changes),
            }
        }
        for sequence in changed.corrected {
            let key = key::correction(self.owner, Sequence::new(sequence));
            match self.corrected.get(&sequence) {
                Some(corrected) => document::write(&key, corrected, changes),
                None => document::remove(&key, changes),
            }
        }
        for from in changed.chunks {
            self.take_chunk(from, changes);
        }
    }

    /// Writes one chunk, in several where it has grown too long.
    fn take_chunk(&mut self, from: u64, changes: &mut Vec<Change>) {
        let at = self.bounds.partition_point(|bound| *bound < from);
        let until = self.bounds.get(at + 1).copied().unwrap_or(u64::MAX);
        let start = self.rows.partition_point(|row| row.sequence.get() < from);
        let end = self.rows.partition_point(|row| row.sequence.get() < until);
        let rows = &self.rows[start..end];
        if rows.is_empty() && at > 0 {
            self.bounds.remove(at);
            changes.push(Change { key: key::rows(self.owner, from), value: None });
            return;
        }
        let mut more = Vec::new();
        for (index, part) in rows.chunks(CHUNK_ROWS).enumerate() {
            let bound = if index == 0 { from } else { part[0].sequence.get() };
            more.extend((index > 0).then_some(bound));
            let value = codec::pack(part).into();
            changes.push(Change { key: key::rows(self.owner, bound), value: Some(value) });
        }
        if rows.is_empty() {
            let value = codec::pack(&[]).into();
            changes.push(Change { key: key::rows(self.owner, from), value: Some(value) });
        }
        let tail = self.bounds.split_off(at + 1);
        self.bounds.extend(more);
        self.bounds.extend(tail);
    }
}
