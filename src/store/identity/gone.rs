//! Identities whose shots are gone, by keyed hash.
//!
//! A store that erased nothing knows no salt, and then nothing is hashed and nothing looked up.

use std::collections::BTreeMap;
use std::sync::Arc;

use bytes::Bytes;

use crate::shot::{Keyed, Sequence, ShotId, SourceId};
use crate::store::error::TableError;
use crate::store::table::{Table, TableChange, Tree};

/// How the keys of the salts begin, among what the table says of itself.
const SALT: &[u8] = b"salt/";

/// Where an identity is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::store) enum Known {
    /// Its shot is stored under this sequence.
    Stored(Sequence),
    /// Its shot had this sequence, and its content is gone.
    Gone(Sequence),
}

/// The keyed hashes of a store, and the sequences that their shots had.
pub(super) struct Gone {
    table: Arc<dyn Table>,
    /// Ids of the stores that erased what is not here: this one's, and those that were imported.
    salts: Vec<[u8; 16]>,
    /// What the table may not have yet: the shot's sequence, and that of the frame that says so.
    fresh: BTreeMap<Keyed, (Sequence, Sequence)>,
    /// What the table was not given yet.
    changed: Vec<Keyed>,
}

impl Gone {
    pub(super) fn load(table: Arc<dyn Table>) -> Result<Self, TableError> {
        let salts = table.prefix(Tree::Meta, SALT)?;
        let salts = salts.iter().filter_map(|(key, _)| key.get(SALT.len()..)?.try_into().ok());
        let salts = salts.collect();
        Ok(Self { table, salts, fresh: BTreeMap::new(), changed: Vec::new() })
    }

    /// The sequence that an identity had, if it is gone.
    pub(super) fn find(
        &self,
        identity: (&SourceId, &ShotId),
    ) -> Result<Option<Sequence>, TableError> {
        for salt in &self.salts {
            let keyed = Keyed::of_shot(*salt, identity);
            if let Some((shot, _)) = self.fresh.get(&keyed) {
                return Ok(Some(*shot));
            }
            if let Some(value) = self.table.get(Tree::Gone, &keyed.bytes())? {
                let shot = value[..].try_into().map_err(|_| super::broken("a hash"))?;
                return Ok(Some(Sequence::new(u64::from_be_bytes(shot))));
            }
        }
        Ok(None)
    }

    /// Notes that a shot is gone since the frame `at`.
    pub(super) fn note(&mut self, keyed: Keyed, (shot, at): (Sequence, Sequence)) {
        if !self.salts.contains(&keyed.salt()) {
            self.salts.push(keyed.salt());
        }
        self.fresh.insert(keyed, (shot, at));
        self.changed.push(keyed);
    }

    /// Forgets what a frame said that was not stored.
    pub(super) fn forget(&mut self, keyed: Keyed, shot: Sequence) {
        if self.fresh.get(&keyed).is_some_and(|(_, at)| *at == shot) {
            self.fresh.remove(&keyed);
        }
    }

    /// What the table needs to hold the same.
    pub(super) fn take_changes(&mut self) -> Vec<TableChange> {
        let mut changes = Vec::new();
        for keyed in self.changed.drain(..) {
            let Some((shot, _)) = self.fresh.get(&keyed) else { continue };
            let value = Bytes::copy_from_slice(&shot.get().to_be_bytes());
            let key = Bytes::copy_from_slice(&keyed.bytes());
            changes.push(TableChange { tree: Tree::Gone, key, value: Some(value) });
            let salt = [SALT, &keyed.salt()].concat().into();
            changes.push(TableChange { tree: Tree::Meta, key: salt, value: Some(Bytes::new()) });
        }
        changes
    }

    /// The table has what happened up to here.
    pub(super) fn applied(&mut self, upto: Sequence) {
        self.fresh.retain(|_, (_, at)| *at > upto);
    }
}
