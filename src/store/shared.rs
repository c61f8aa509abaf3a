//! What writer, applier and handles share: the readable side of a store.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use bytes::Bytes;
use tokio::sync::watch;

use super::error::{ReadError, TableError};
use super::health::HealthCell;
use super::identity::Identities;
use super::journal::Journal;
use super::meter::Meter;
use super::projection::Projection;
use super::table::{Table, TableChange, Tree};
use crate::shot::{Keyed, Sequence, ShotId, SourceId};

/// The key of the applied mark in the table.
const APPLIED: &[u8] = b"applied";

pub(super) struct Shared<P> {
    pub(super) journal: Arc<Journal>,
    pub(super) table: Arc<dyn Table>,
    pub(super) projection: P,
    pub(super) health: HealthCell,
    pub(super) meter: Meter,
    identities: Mutex<Identities>,
    last: AtomicU64,
    /// The same for whoever waits for more.
    news: watch::Sender<Sequence>,
}

impl<P: Projection> Shared<P> {
    pub(super) fn new(
        journal: Arc<Journal>,
        table: Arc<dyn Table>,
        identities: Identities,
        projection: P,
    ) -> Self {
        let identities = Mutex::new(identities);
        let last = AtomicU64::new(0);
        let news = watch::Sender::new(Sequence::new(0));
        let (health, meter) = (HealthCell::new(), Meter::new());
        Self { journal, table, projection, health, meter, identities, last, news }
    }

    pub(super) fn identities(&self) -> MutexGuard<'_, Identities> {
        self.identities.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The last frame that is durable and folded: nothing later is ever shown.
    pub(super) fn last(&self) -> Sequence {
        Sequence::new(self.last.load(Ordering::Acquire))
    }

    pub(super) fn advance(&self, to: Sequence) {
        self.last.store(to.get(), Ordering::Release);
    }

    /// The same, and wakes whoever waits for it.
    pub(super) fn advance_and_tell(&self, to: Sequence) {
        self.advance(to);
        self.news.send_replace(to);
    }

    /// Tells of every later frame that is shown, at least of the last of several.
    pub(super) fn news(&self) -> watch::Receiver<Sequence> {
        self.news.subscribe()
    }

    /// Where an identity is stored. One that the writer has entered but not made durable is not there yet.
    pub(super) fn find(
        &self,
        source: &SourceId,
        id: &ShotId,
    ) -> Result<Option<Sequence>, TableError> {
        let last = self.last();
        let found = self.identities().find(source, id);
        let found = found.inspect_err(|error| self.table.distrust(error))?;
        Ok(found.filter(|&sequence| sequence <= last))
    }

    /// The sequence that a shot had whose content is gone.
    pub(super) fn find_gone(
        &self,
        source: &SourceId,
        id: &ShotId,
    ) -> Result<Option<Sequence>, TableError> {
        let found = self.identities().find_gone(source, id);
        found.inspect_err(|error| self.table.distrust(error))
    }

    /// Lets the identities go of the shots whose content the frame `at` took away. What is a hole
    /// already has nothing to let go.
    pub(super) fn bury_gone(&self, at: Sequence) -> Result<(), ReadError> {
        let salt = *self.journal.store_id().bytes();
        for shot in self.projection.take_gone() {
            let Some((_, text)) = self.journal.shot(shot)? else { continue };
            let event = crate::shot::parse(&text).map_err(|rejection| ReadError::Unreadable {
                sequence: shot,
                cause: rejection.to_string(),
            })?;
            let identity = (&event.source, &event.id);
            let keyed = Keyed::of_shot(salt, identity);
            self.identities().bury(identity, keyed, (shot, at))?;
        }
        Ok(())
    }

    /// All that the table lacks to stand where the fold stands, with the mark that says so.
    pub(super) fn take_step(&self, upto: Sequence) -> Result<Step, ReadError> {
        let crc = self.journal.checksum(upto)?;
        let mark = AppliedMark { sequence: upto, crc, fold: P::VERSION };
        let mut changes = self.identities().take_changes();
        changes.extend(self.journal.take_place_changes());
        changes.extend(self.projection.take_changes()?.into_iter().map(|change| TableChange {
            tree: Tree::Chunks,
            key: change.key,
            value: change.value,
        }));
        changes.push(mark.change());
        Ok(Step { upto, changes })
    }

    /// Commits a step to the table and tells the projection.
    pub(super) fn commit_step(&self, step: &Step) -> Result<(), TableError> {
        let since = Instant::now();
        self.table.commit(&step.changes)?;
        self.projection.committed(step.upto);
        self.identities().applied(step.upto);
        self.meter.stepped(step.upto, since.elapsed());
        Ok(())
    }
}

/// What the table takes over at once.
pub(super) struct Step {
    pub(super) upto: Sequence,
    changes: Vec<TableChange>,
}

/// The frame up to which the table is complete, the checksum of that frame in the journal, and the version of the fold
/// that made it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct AppliedMark {
    pub(super) sequence: Sequence,
    pub(super) crc: u32,
    pub(super) fold: u32,
}

impl AppliedMark {
    /// The mark in a table; none in one that holds nothing yet.
    pub(super) fn load(table: &dyn Table) -> Result<Option<Self>, TableError> {
        let Some(bytes) = table.get(Tree::Meta, APPLIED)? else { return Ok(None) };
        let parts = bytes.split_first_chunk::<8>();
        let mark = parts.and_then(|(sequence, rest)| {
            let sequence = Sequence::new(u64::from_be_bytes(*sequence));
            let (crc, fold) = rest.split_first_chunk::<4>()?;
            let fold = match fold {
                // The first folds had no version.
                [] => 0,
                fold => u32::from_be_bytes(fold.try_into().ok()?),
            };
            Some(Self { sequence, crc: u32::from_be_bytes(*crc), fold })
        });
        let broken = || TableError { file: "meta".to_owned(), cause: "no applied mark".to_owned() };
        mark.map(Some).ok_or_else(broken)
    }

    fn change(self) -> TableChange {
        let mut value = self.sequence.get().to_be_bytes().to_vec();
        value.extend_from_slice(&self.crc.to_be_bytes());
        value.extend_from_slice(&self.fold.to_be_bytes());
        let key = Bytes::from_static(APPLIED);
        TableChange { tree: Tree::Meta, key, value: Some(value.into()) }
    }
}
