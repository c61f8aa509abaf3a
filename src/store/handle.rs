//! The store as the rooms above hold it.

use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

use tokio::sync::mpsc::UnboundedSender;
use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot, watch};

use super::archive::{Received, Spool};
use super::error::{ActError, ImportError, ReadError, TableError, WriteError};
use super::frame::{Frame, NewShot, StoredShot};
use super::group::{ActAsk, ActOutcome, Batch, ReceiptWanted, ShotOutcome, ShotsAsk};
use super::health::Health;
use super::import::Imported;
use super::journal::StoreId;
use super::meter::{Figures, Now};
use super::projection::Projection;
use super::shared::Shared;
use super::writer::{Command, GROUP_FRAMES};
use crate::shot::{Act, Sequence, ShotId, SourceId};

/// The most shots in an all-or-nothing batch.
const BATCH_SHOTS: usize = 10_000;
/// The most bytes of text in an all-or-nothing batch, and in any one text.
const BATCH_BYTES: usize = 16 * 1024 * 1024;
/// Shots that stand for themselves go to the writer in parts of at most so many bytes.
const PART_BYTES: usize = 4 * 1024 * 1024;
/// The room in the queue is counted in units of so many bytes.
const QUEUE_UNIT_BYTES: usize = 1_024;
/// What may wait for the writer, in such units: senders beyond it wait for room.
const QUEUE_UNITS: usize = 32 * 1024;
/// What a shot takes in memory beside its text, in bytes.
const SHOT_BYTES: usize = 512;
/// The most frames that one scan returns.
const SCAN_FRAMES: usize = 10_000;

/// A store that is open: cheap to clone, usable from everywhere.
///
/// Reads are short and blocking: most come from memory that the system or sled holds.
pub struct Store<P: Projection> {
    inner: Arc<Inner<P>>,
}

impl<P: Projection> Clone for Store<P> {
    fn clone(&self) -> Self {
        Self { inner: Arc::clone(&self.inner) }
    }
}

struct Inner<P: Projection> {
    shared: Arc<Shared<P>>,
    commands: UnboundedSender<Command<P>>,
    queue: Arc<Semaphore>,
    /// Whether an archive is being received.
    importing: Arc<AtomicBool>,
    writer: Mutex<Option<JoinHandle<()>>>,
}

impl<P: Projection> Store<P> {
    pub(super) fn new(
        shared: Arc<Shared<P>>,
        commands: UnboundedSender<Command<P>>,
        writer: JoinHandle<()>,
    ) -> Self {
        let queue = Arc::new(Semaphore::new(QUEUE_UNITS));
        let writer = Mutex::new(Some(writer));
        let importing = Arc::default();
        Self { inner: Arc::new(Inner { shared, commands, queue, importing, writer }) }
    }

    /// Stores shots; the outcomes come in the order of the shots, when every new one is durable and folded.
    ///
    /// With [`Batch::Each`] a long list goes to the writer in parts: after an error some of its shots may be stored,
    /// and sending it again stores the others.
    ///
    /// # Errors
    /// `Unavailable`, `Full`, `Unreadable`, or `TooLarge` for a batch of more than 10,000 shots or 16 MiB.
    pub async fn append_shots(
        &self,
        shots: Vec<NewShot>,
        batch: Batch,
        wanted: ReceiptWanted,
    ) -> Result<Vec<ShotOutcome<P::Receipt>>, WriteError> {
        let parts = match batch {
            Batch::Each => parts(shots)?,
            Batch::AllOrNothing => vec![one_part(shots)?],
        };
        let mut outcomes = Vec::new();
        for part in parts {
            outcomes.extend(self.append_part(part, batch, wanted).await?);
        }
        Ok(outcomes)
    }

    async fn append_part(
        &self,
        shots: Vec<NewShot>,
        batch: Batch,
        wanted: ReceiptWanted,
    ) -> Result<Vec<ShotOutcome<P::Receipt>>, WriteError> {
        if shots.is_empty() {
            return Ok(Vec::new());
        }
        let room = self.room(shots.iter().map(|shot| shot.size() + SHOT_BYTES).sum()).await?;
        let (reply, answer) = oneshot::channel();
        let ask = ShotsAsk { shots, batch, wanted, reply, room };
        self.send(Command::Shots(ask))?;
        answer.await.map_err(|_| self.closed())?
    }

    /// Lets an act happen: judged by the projection after every earlier frame, then stored and folded.
    pub async fn append_act(&self, act: Act) -> ActOutcome<P> {
        self.append_act_if(act, P::Condition::default()).await
    }

    /// The same, if a condition holds when the act's turn comes: nothing can come between the two.
    pub async fn append_act_if(&self, act: Act, condition: P::Condition) -> ActOutcome<P> {
        let _room = self.room(SHOT_BYTES).await?;
        let (reply, answer) = oneshot::channel();
        self.send(Command::Act(ActAsk { act: Box::new(act), condition, reply }))?;
        answer.await.map_err(|_| ActError::Write(self.closed()))?
    }

    /// Begins an import: the archive is received into a file of its own.
    ///
    /// # Errors
    /// `NotEmpty`, `UnderWay`, or no room for the file.
    pub fn begin_import(&self) -> Result<Spool, ImportError> {
        let shared = &self.inner.shared;
        if let Some(refusal) = shared.health.refusal() {
            return Err(refusal.into());
        }
        if self.last() > Sequence::new(0) {
            return Err(ImportError::NotEmpty);
        }
        Spool::begin(shared.journal.disk(), &self.inner.importing)
    }

    /// Stores an archive that was received whole, to its end even if nobody waits for that.
    ///
    /// # Errors
    /// `NotEmpty`, `Unfinished`, or why nothing can be stored.
    pub async fn import(&self, archive: Received) -> Result<Imported, ImportError> {
        let (frames, shots) = (archive.frames, archive.shots);
        let (reply, answer) = oneshot::channel();
        self.send(Command::Import(Box::new(archive), reply))?;
        let left_out = answer.await.map_err(|_| self.closed())??;
        Ok(Imported { frames, shots, left_out })
    }

    async fn room(&self, bytes: usize) -> Result<OwnedSemaphorePermit, WriteError> {
        let units = u32::try_from(bytes.div_ceil(QUEUE_UNIT_BYTES).min(QUEUE_UNITS)).unwrap_or(1);
        let queue = Arc::clone(&self.inner.queue);
        queue.acquire_many_owned(units).await.map_err(|_| self.closed())
    }

    fn send(&self, command: Command<P>) -> Result<(), WriteError> {
        self.inner.commands.send(command).map_err(|_| self.closed())
    }

    /// Why the writer does not answer.
    fn closed(&self) -> WriteError {
        let file = self.inner.shared.journal.path();
        let cause = "the store is closed".to_owned();
        let closed = WriteError::Unavailable { cause, file };
        self.inner.shared.health.refusal().unwrap_or(closed)
    }

    /// Where a shot is stored, if it is.
    pub fn find(&self, source: &SourceId, id: &ShotId) -> Result<Option<Sequence>, TableError> {
        self.inner.shared.find(source, id)
    }

    /// The sequence that a shot had whose content was erased or retired.
    pub fn find_gone(
        &self,
        source: &SourceId,
        id: &ShotId,
    ) -> Result<Option<Sequence>, TableError> {
        self.inner.shared.find_gone(source, id)
    }

    /// One stored shot, verbatim, as the journal has it; none when there is no such frame or it is no
    /// shot. Whether its content may still be shown, the fold alone knows.
    pub fn read(&self, sequence: Sequence) -> Result<Option<StoredShot>, ReadError> {
        if sequence == Sequence::new(0) || sequence > self.last() {
            return Ok(None);
        }
        let shot = self.inner.shared.journal.shot(sequence)?;
        Ok(shot.map(|(arrival, text)| StoredShot { sequence, arrival, text }))
    }

    /// Frames from `from` on in the order of the journal: at most `limit`, and never more than 10,000.
    pub fn scan(&self, from: Sequence, limit: usize) -> Result<Vec<Frame>, ReadError> {
        let from = from.max(Sequence::new(1));
        let most = limit.min(SCAN_FRAMES);
        let upto = Sequence::new(from.get().saturating_add(most as u64) - 1).min(self.last());
        let mut walk = self.inner.shared.journal.walk(from, upto);
        let mut frames = Vec::new();
        while let Some(frame) = walk.next()? {
            frames.push(frame);
        }
        Ok(frames)
    }

    /// Reads the whole journal and checks every frame; how many there are.
    pub fn verify(&self) -> Result<u64, ReadError> {
        let mut walk = self.inner.shared.journal.walk(Sequence::new(1), self.last());
        let mut count = 0;
        while walk.next()?.is_some() {
            count += 1;
        }
        Ok(count)
    }

    /// The last frame that is durable and folded; 0 before the first.
    #[must_use]
    pub fn last(&self) -> Sequence {
        self.inner.shared.last()
    }

    /// The same for whoever waits for more: it changes when later frames are durable and folded, and
    /// may pass over all but the last of several.
    #[must_use]
    pub fn news(&self) -> watch::Receiver<Sequence> {
        self.inner.shared.news()
    }

    /// The identity of this store.
    #[must_use]
    pub fn store_id(&self) -> StoreId {
        self.inner.shared.journal.store_id()
    }

    /// Whether writes are taken.
    #[must_use]
    pub fn health(&self) -> Health {
        self.inner.shared.health.get()
    }

    /// How the store stands, and what it did since it was opened.
    #[must_use]
    pub fn figures(&self) -> Figures {
        let Inner { shared, queue, .. } = &*self.inner;
        // Read first: the table is never ahead of the fold.
        let applied = shared.meter.applied();
        let last = self.last();
        let waiting = QUEUE_UNITS.saturating_sub(queue.available_permits());
        shared.meter.read(Now {
            last,
            health: self.health(),
            queue_bytes: (waiting * QUEUE_UNIT_BYTES) as u64,
            unapplied_frames: last.get().saturating_sub(applied.get()),
        })
    }

    /// The fold.
    #[must_use]
    pub fn projection(&self) -> &P {
        &self.inner.shared.projection
    }

    /// Stores what is queued, brings the table to where the journal is, and ends the writer, for all clones. Blocks
    /// until that is done; returns the health as it was before. The folder is free for another process when all clones
    /// are gone; dropping the last one does the same as closing.
    #[must_use]
    pub fn close(self) -> Health {
        let health = self.health();
        self.inner.stop();
        health
    }
}

impl<P: Projection> Inner<P> {
    fn stop(&self) {
        // A writer that is gone needs no word.
        drop(self.commands.send(Command::Close));
        let mut writer = self.writer.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(writer) = writer.take() {
            // A panic there has become the health.
            drop(writer.join());
        }
    }
}

impl<P: Projection> Drop for Inner<P> {
    fn drop(&mut self) {
        self.stop();
    }
}

fn one_part(shots: Vec<NewShot>) -> Result<Vec<NewShot>, WriteError> {
    let bytes: usize = shots.iter().map(NewShot::size).sum();
    if shots.len() > BATCH_SHOTS {
        return Err(WriteError::TooLarge { what: "shots in a batch", most: BATCH_SHOTS });
    }
    if bytes > BATCH_BYTES {
        return Err(WriteError::TooLarge { what: "bytes in a batch", most: BATCH_BYTES });
    }
    Ok(shots)
}

/// Splits shots into parts that one group can take.
fn parts(shots: Vec<NewShot>) -> Result<Vec<Vec<NewShot>>, WriteError> {
    let mut parts: Vec<Vec<NewShot>> = Vec::new();
    let mut bytes = PART_BYTES;
    for shot in shots {
        if shot.size() > BATCH_BYTES {
            return Err(WriteError::TooLarge { what: "bytes in a shot", most: BATCH_BYTES });
        }
        match parts.last_mut() {
            Some(part) if part.len() < GROUP_FRAMES && bytes + shot.size() <= PART_BYTES => {
                bytes += shot.size();
                part.push(shot);
            }
            _ => {
                bytes = shot.size();
                parts.push(vec![shot]);
            }
        }
    }
    Ok(parts)
}
