//! Opens a store: the journal first, then the table after it, then the fold, then the writer.

use std::path::Path;
use std::sync::Arc;

use jiff::Timestamp;
use tokio::sync::mpsc::unbounded_channel;

use super::applier::Applier;
use super::archive::{NAMES, discard_received};
use super::disk::{Disk, MemoryDisk, OsDisk};
use super::error::{OpenError, ReadError, TableError};
use super::frame::Frame;
use super::handle::Store;
use super::identity::{Identities, Known};
use super::journal::{self, Appender, Journal, StoreId, TornTail};
use super::projection::{Chunks, Projection};
use super::shared::{AppliedMark, Shared};
use super::table::{ChunkTree, MemoryTables, SledTables, Tables};
use super::writer::{Command, Writer};
use crate::shot::Sequence;

/// Frames that a replay commits to the table at once.
const REPLAY_STEP: u64 = 5_000;
/// Frames after which the log says how far a replay is.
const REPLAY_PROGRESS: u64 = 100_000;
/// What may lie in a data folder before the first start, beside names that begin with a dot.
const OWN_NAMES: [&str; 5] = ["lock", journal::FOLDER, "sled", "aside", "lost+found"];

/// What the time of day is.
pub type Clock = Arc<dyn Fn() -> Timestamp + Send + Sync>;

/// Is told how far a replay of the journal is: frames that are folded, and how many there are to fold.
pub type Replayed<'a> = &'a dyn Fn(u64, u64);

/// Where a store lives.
pub struct Home {
    /// The disk of the journal.
    pub disk: Arc<dyn Disk>,
    /// The table behind it.
    pub tables: Arc<dyn Tables>,
    /// The time at which frames arrive.
    pub clock: Clock,
    /// The id of the store, if it is new.
    pub new_id: StoreId,
}

impl Home {
    /// A data folder, which is made when it is missing, and locked for this process.
    ///
    /// # Errors
    /// `NotAFolder`, `ReadOnly`, `InUse`, or `Io`.
    pub fn in_folder(folder: &Path, clock: Clock) -> Result<Self, OpenError> {
        let disk = Arc::new(OsDisk::open(folder)?);
        let tables = Arc::new(SledTables::new(folder));
        Ok(Self { disk, tables, clock, new_id: StoreId::random() })
    }

    /// Nothing but memory: the same store, gone with the process.
    #[must_use]
    pub fn in_memory(clock: Clock) -> Self {
        let disk = Arc::new(MemoryDisk::default());
        let tables = Arc::new(MemoryTables::default());
        Self { disk, tables, clock, new_id: StoreId::random() }
    }
}

/// What opening found and did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecoveryReport {
    /// The last durable frame; 0 before the first.
    pub last: Sequence,
    /// What was cut off the end of the journal, if it was torn.
    pub torn: Option<TornTail>,
    /// How the table was brought to where the journal is.
    pub table: TableRecovery,
}

/// How the table was brought to where the journal is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TableRecovery {
    /// It was there.
    Current,
    /// It lacked the last frames.
    CaughtUp {
        /// How many.
        frames: u64,
    },
    /// It was made anew from the whole journal.
    Rebuilt {
        /// What was wrong with the old one.
        reason: String,
        /// Where the old one lies now, if there was one.
        aside: Option<String>,
    },
}

impl<P: Projection> Store<P> {
    /// Opens the store of a home, or makes it there. `make_projection` makes the fold as it stands in the chunks; it is
    /// called again with no chunks when the table has to be made anew.
    ///
    /// # Errors
    /// Each variant of [`OpenError`] says what is wrong, where, and how to mend it.
    pub fn open<F>(home: Home, make_projection: F) -> Result<(Self, RecoveryReport), OpenError>
    where
        F: Fn(Arc<dyn Chunks>) -> Result<P, TableError>,
    {
        Self::open_telling(home, make_projection, &log_progress)
    }

    /// The same; how far a replay is, another is told and not the log.
    ///
    /// # Errors
    /// As for [`open`](Self::open).
    pub fn open_telling<F>(
        home: Home,
        make_projection: F,
        replayed: Replayed<'_>,
    ) -> Result<(Self, RecoveryReport), OpenError>
    where
        F: Fn(Arc<dyn Chunks>) -> Result<P, TableError>,
    {
        prepare(&home)?;
        let opened = Journal::open(Arc::clone(&home.disk), home.new_id)?;
        let (journal, last) = (opened.journal, opened.last);
        let replay =
            Replay { journal: &journal, last, make_projection: &make_projection, replayed };
        let (shared, table) = replay.with_tables(&*home.tables)?;
        if matches!(table, TableRecovery::Rebuilt { .. }) {
            shared.meter.rebuilt();
        }
        let report = RecoveryReport { last, torn: opened.torn, table };
        say(&report);
        Ok((start(shared, opened.appender, home.clock)?, report))
    }

    /// A store in memory, for the tests of the rooms above.
    ///
    /// # Errors
    /// Those of `make_projection`.
    pub fn in_memory<F>(clock: Clock, make_projection: F) -> Result<Self, OpenError>
    where
        F: Fn(Arc<dyn Chunks>) -> Result<P, TableError>,
    {
        Ok(Self::open(Home::in_memory(clock), make_projection)?.0)
    }
}

/// Makes sure that the journal has its folder and that nobody else's files are taken for ours.
fn prepare(home: &Home) -> Result<(), OpenError> {
    let disk = &*home.disk;
    let failed = |source| OpenError::io(disk.path(""), source);
    if !Journal::exists(disk)? {
        let names = disk.list("").map_err(failed)?;
        let foreign = names.iter().find(|name| !name.starts_with('.') && !is_own(name));
        if let Some(name) = foreign {
            return Err(OpenError::Foreign { path: disk.path(name) });
        }
        if home.tables.exists() {
            return Err(OpenError::JournalMissing { path: disk.path(journal::FOLDER) });
        }
    }
    discard_received(disk).map_err(failed)?;
    disk.make_folder(journal::FOLDER).and_then(|()| disk.sync_folder("")).map_err(failed)
}

fn is_own(name: &str) -> bool {
    OWN_NAMES.contains(&name) || NAMES.contains(&name)
}

/// Says now and then how far a replay is.
fn log_progress(folded: u64, of: u64) {
    if folded.is_multiple_of(REPLAY_PROGRESS) {
        tracing::info!(folded, of, "folding the journal");
    }
}

fn say(report: &RecoveryReport) {
    if let Some(torn) = &report.torn {
        let TornTail { file, offset, bytes, copy } = torn;
        tracing::warn!(file, offset, bytes, ?copy, "cut a torn tail off the journal");
    }
    tracing::info!(last = report.last.get(), table = ?report.table, "the store is open");
}

fn start<P: Projection>(
    shared: Arc<Shared<P>>,
    appender: Appender,
    clock: Clock,
) -> Result<Store<P>, OpenError> {
    let failed = |source| OpenError::Io { file: "thread".to_owned(), source };
    let (sender, commands) = unbounded_channel();
    let nudges = sender.clone();
    // A writer that is gone needs no nudge.
    let nudge = move || drop(nudges.send(Command::Nudge));
    let applier = Some(Applier::start(Arc::clone(&shared), nudge).map_err(failed)?);
    let handed = shared.last();
    let mut writer =
        Writer { shared: Arc::clone(&shared), commands, appender, applier, clock, handed };
    writer.finish_import().map_err(OpenError::Import)?;
    let thread = std::thread::Builder::new().name("store-writer".to_owned());
    let thread = thread.spawn(move || writer.run()).map_err(failed)?;
    Ok(Store::new(shared, sender, thread))
}

/// Brings table and fold to where the journal is.
struct Replay<'a, F> {
    journal: &'a Arc<Journal>,
    last: Sequence,
    make_projection: &'a F,
    replayed: Replayed<'a>,
}

/// Why a replay did not get to the end.
enum Stop {
    /// The table fails or says other than the journal: without it, it goes on.
    Doubt(TableError),
    /// The journal itself.
    Journal(OpenError),
}

impl From<TableError> for Stop {
    fn from(error: TableError) -> Self {
        Self::Doubt(error)
    }
}

impl From<ReadError> for Stop {
    fn from(error: ReadError) -> Self {
        Self::Journal(match error {
            ReadError::Table(error) => return Self::Doubt(error),
            ReadError::Io { file, source } => OpenError::io(file, source),
            ReadError::Unreadable { sequence, cause } => OpenError::Unreadable { sequence, cause },
            ReadError::Damaged { file, offset } => OpenError::Damaged {
                file,
                bad_offset: offset,
                good_at: "the start of the next segment".to_owned(),
            },
        })
    }
}

type Ready<P> = Arc<Shared<P>>;

impl<P, F> Replay<'_, F>
where
    P: Projection,
    F: Fn(Arc<dyn Chunks>) -> Result<P, TableError>,
{
    /// With the table that is there, or else with a new one.
    fn with_tables(&self, tables: &dyn Tables) -> Result<(Ready<P>, TableRecovery), OpenError> {
        let missing = !tables.exists() && self.last > Sequence::new(0);
        let doubt = match self.with_table(tables) {
            Ok((shared, _)) if missing => {
                let reason = "it was missing".to_owned();
                return Ok((shared, TableRecovery::Rebuilt { reason, aside: None }));
            }
            Ok((shared, 0)) => return Ok((shared, TableRecovery::Current)),
            Ok((shared, frames)) => return Ok((shared, TableRecovery::CaughtUp { frames })),
            Err(Stop::Journal(error)) => return Err(error),
            Err(Stop::Doubt(doubt)) => doubt,
        };
        let reason = doubt.to_string();
        let aside = tables.set_aside()?;
        tracing::warn!(reason, ?aside, "the table is made anew from the journal");
        match self.with_table(tables) {
            Ok((shared, _)) => Ok((shared, TableRecovery::Rebuilt { reason, aside })),
            Err(Stop::Journal(error)) => Err(error),
            Err(Stop::Doubt(error)) => Err(OpenError::Table(error)),
        }
    }

    /// With the table that opens now; how many frames it lacked.
    fn with_table(&self, tables: &dyn Tables) -> Result<(Ready<P>, u64), Stop> {
        let existed = tables.exists();
        let table = tables.open()?;
        let applied = match AppliedMark::load(&*table)? {
            Some(mark) => self.agreed(mark)?,
            None if existed && self.last > Sequence::new(0) => {
                return Err(disagreement("it has no mark".to_owned()).into());
            }
            None => Sequence::new(0),
        };
        self.journal.load_places(&*table)?;
        self.journal.check_seams(applied)?;
        let identities = Identities::load(Arc::clone(&table), applied)?;
        let projection = (self.make_projection)(Arc::new(ChunkTree(Arc::clone(&table))))?;
        let journal = Arc::clone(self.journal);
        let shared = Arc::new(Shared::new(journal, table, identities, projection));
        shared.advance(applied);
        shared.meter.stands_at(applied);
        self.fold_after(applied, &shared)?;
        Ok((shared, self.last.get() - applied.get()))
    }

    /// The frame up to which a table says that it is complete, if the journal agrees.
    fn agreed(&self, mark: AppliedMark) -> Result<Sequence, Stop> {
        let no = |why: &str| disagreement(format!("its mark at frame {} {why}", mark.sequence));
        if mark.sequence == Sequence::new(0) {
            return Err(no("was never set by a store").into());
        }
        if mark.sequence > self.last {
            return Err(no("is ahead of the journal").into());
        }
        if mark.fold != P::VERSION {
            let by = format!(
                "was made by version {} of the fold, and this is {}",
                mark.fold,
                P::VERSION
            );
            return Err(no(&by).into());
        }
        if self.journal.checksum(mark.sequence)? != mark.crc {
            return Err(no("belongs to another frame than the journal's").into());
        }
        Ok(mark.sequence)
    }

    /// Folds what comes after a frame, and commits it to the table in steps.
    fn fold_after(&self, applied: Sequence, shared: &Shared<P>) -> Result<(), Stop> {
        let mut walk = self.journal.walk(Sequence::new(applied.get() + 1), self.last);
        while let Some(frame) = walk.next_noting_place()? {
            claim(shared, &frame)?;
            shared.projection.absorb(&frame);
            shared.bury_gone(frame.sequence)?;
            shared.advance(frame.sequence);
            let nth = frame.sequence.get() - applied.get();
            if nth.is_multiple_of(REPLAY_STEP) || frame.sequence == self.last {
                shared.commit_step(&shared.take_step(frame.sequence)?)?;
                (self.replayed)(nth, self.last.get() - applied.get());
            }
        }
        Ok(())
    }
}

fn claim<P: Projection>(shared: &Shared<P>, frame: &Frame) -> Result<(), TableError> {
    if let Some(keyed) = frame.entry.keyed() {
        shared.identities().note_gone(keyed, frame.sequence);
    }
    let Some(identity) = frame.entry.identity() else { return Ok(()) };
    match shared.identities().claim(identity, frame.sequence)? {
        None => Ok(()),
        Some(Known::Stored(held)) if held == frame.sequence => Ok(()),
        Some(held) => {
            let held = format!("it holds the identity of frame {} as {held:?}", frame.sequence);
            Err(disagreement(held))
        }
    }
}

/// What the table says other than the journal.
fn disagreement(cause: String) -> TableError {
    TableError { file: "table".to_owned(), cause }
}
