//! The one thread that stores: group, identity, sequence, journal, fold, answer, hand over.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Instant;

use jiff::Timestamp;
use tokio::sync::mpsc::UnboundedReceiver;
use tokio::sync::oneshot;

use super::applier::Applier;
use super::archive::Received;
use super::error::{ImportError, ReadError, TableError, WriteError};
use super::frame::{Entry, Frame, NewShot};
use super::group::{ActAsk, Batch, Group, ReceiptWanted, ShotOutcome, ShotsAsk, Verdict, Waiting};
use super::identity::Known;
use super::journal::{AppendError, Appender, Mark};
use super::open::Clock;
use super::panic::panic_message;
use super::projection::Projection;
use super::shared::Shared;
use crate::shot::{Sequence, same_content};

/// A group takes no further shots when it has this many.
pub(super) const GROUP_FRAMES: usize = 1_000;
/// The applier is given what changed when this many frames have gathered, not after each group: the sync of the table
/// slows that of the journal down, and a start folds so few frames in a moment.
const HAND_OVER_FRAMES: u64 = 2_000;
/// The writer waits for the applier when this many frames have not been handed to it.
const MOST_WAITING: u64 = 8_000;

/// What the writer is asked.
pub(super) enum Command<P: Projection> {
    Shots(ShotsAsk<P>),
    Act(ActAsk<P>),
    /// An archive that was received is to be stored.
    Import(Box<Received>, oneshot::Sender<Result<u64, ImportError>>),
    /// The applier has finished a step.
    Nudge,
    Close,
}

pub(super) struct Writer<P: Projection> {
    pub(super) shared: Arc<Shared<P>>,
    pub(super) commands: UnboundedReceiver<Command<P>>,
    pub(super) appender: Appender,
    /// None once it has failed.
    pub(super) applier: Option<Applier>,
    pub(super) clock: Clock,
    /// The last frame that the applier was given.
    pub(super) handed: Sequence,
}

/// Whether the writer goes on after a command.
#[derive(PartialEq, Eq)]
enum Then {
    GoOn,
    Close,
}

impl<P: Projection> Writer<P> {
    /// Works until the store is closed.
    pub(super) fn run(mut self) {
        let shared = Arc::clone(&self.shared);
        let work = catch_unwind(AssertUnwindSafe(|| {
            while let Some(command) = self.commands.blocking_recv() {
                let then = self.store_group(command);
                self.hand_over_if_due();
                if then == Then::Close {
                    break;
                }
            }
            self.finish();
        }));
        if let Err(panic) = work {
            shared.health.refuse(&panic_message(&*panic), &shared.journal.path());
        }
    }

    /// Stores a command and what is queued behind it, up to a full group or the next act.
    fn store_group(&mut self, first: Command<P>) -> Then {
        let mut group = Group::after(self.shared.last());
        let mut next = Some(first);
        let mut then = Then::GoOn;
        while let Some(command) = next {
            match command {
                Command::Nudge => {}
                Command::Shots(ask) => self.admit(&mut group, ask),
                Command::Act(ask) => {
                    self.commit(group);
                    self.act(ask);
                    return then;
                }
                Command::Import(archive, reply) => {
                    self.commit(group);
                    // A caller that no longer waits needs no answer.
                    drop(reply.send(self.import(*archive)));
                    return then;
                }
                Command::Close => {
                    then = Then::Close;
                    break;
                }
            }
            if group.frames.len() >= GROUP_FRAMES {
                break;
            }
            next = self.commands.try_recv().ok();
        }
        self.commit(group);
        then
    }

    /// Enters shots into a group, those that are new.
    fn admit(&self, group: &mut Group<P>, ask: ShotsAsk<P>) {
        let ShotsAsk { shots, batch, wanted, reply, room } = ask;
        // A caller that no longer waits needs no answer.
        if let Some(refusal) = self.shared.health.refusal() {
            drop(reply.send(Err(refusal)));
            return;
        }
        let start = group.frames.len();
        match self.enter(group, shots, batch) {
            Ok(verdicts) => group.waiting.push(Waiting::Shots { verdicts, wanted, reply, room }),
            Err(error) => {
                self.take_back(group, start);
                if let ReadError::Table(error) = &error {
                    self.shared.table.distrust(error);
                    self.shared.health.refuse(&error.cause, &error.file);
                }
                drop(reply.send(Err(error.into())));
            }
        }
    }

    fn enter(
        &self,
        group: &mut Group<P>,
        shots: Vec<NewShot>,
        batch: Batch,
    ) -> Result<Vec<Verdict>, ReadError> {
        let start = group.frames.len();
        let arrival = (self.clock)();
        let mut verdicts = Vec::with_capacity(shots.len());
        for shot in shots {
            verdicts.push(self.enter_one(group, shot, arrival)?);
        }
        if batch == Batch::AllOrNothing {
            if verdicts.iter().any(|verdict| matches!(verdict, Verdict::Conflict(_))) {
                self.take_back(group, start);
                let next = group.next();
                for verdict in &mut verdicts {
                    *verdict = withheld(*verdict, next);
                }
            } else {
                join(&mut group.frames[start..]);
            }
        }
        Ok(verdicts)
    }

    fn enter_one(
        &self,
        group: &mut Group<P>,
        NewShot { event, text }: NewShot,
        arrival: Timestamp,
    ) -> Result<Verdict, ReadError> {
        let sequence = group.next();
        let identity = (&event.source, &event.id);
        let known = self.shared.identities().claim(identity, sequence)?;
        let known = match known {
            None => {
                let entry = Entry::Shot { event, text, settled: None };
                group.frames.push((Frame { sequence, arrival, entry }, Mark::Ends));
                return Ok(Verdict::New);
            }
            // What it said is gone: nothing is left to differ from.
            Some(Known::Gone(gone)) => return Ok(Verdict::Duplicate(gone)),
            Some(Known::Stored(stored)) => stored,
        };
        let same = match group.frame(known).map(|frame| &frame.entry) {
            Some(Entry::Shot { text: original, .. }) => same_content(&text, original),
            Some(_) => false,
            None => {
                let original = self.shared.journal.shot(known)?;
                original.is_some_and(|(_, original)| same_content(&text, &original))
            }
        };
        Ok(if same { Verdict::Duplicate(known) } else { Verdict::Conflict(known) })
    }

    /// Takes frames out of a group again, from the `start`th on.
    fn take_back(&self, group: &mut Group<P>, start: usize) {
        let mut identities = self.shared.identities();
        for (frame, _) in group.frames.drain(start..) {
            if let Some((source, id)) = frame.entry.identity()
                && let Err(TableError { file, cause }) = identities.release(source, id)
            {
                self.shared.health.refuse(&cause, &file);
            }
        }
    }

    /// Judges an act and stores it.
    fn act(&mut self, mut ask: ActAsk<P>) {
        let waiting = Waiting::Act(ask.reply);
        if let Some(refusal) = self.shared.health.refusal() {
            return waiting.fail(refusal);
        }
        if let Err(refusal) = self.shared.projection.judge(&mut ask.act, &ask.condition) {
            return waiting.refuse(refusal);
        }
        let mut group = Group::after(self.shared.last());
        let entry = Entry::Act(ask.act);
        let frame = Frame { sequence: group.next(), arrival: (self.clock)(), entry };
        group.frames.push((frame, Mark::Ends));
        group.waiting.push(waiting);
        self.commit(group);
    }

    /// Makes a group durable, folds it and answers.
    fn commit(&mut self, mut group: Group<P>) {
        let since = Instant::now();
        match self.appender.append(&group.frames) {
            Ok(()) => {
                if !group.frames.is_empty() {
                    self.shared.meter.committed(group.frames.len(), since.elapsed());
                }
                self.settle(group);
            }
            Err(error) => {
                self.take_back(&mut group, 0);
                self.note_failure(&error);
                for waiting in group.waiting {
                    waiting.fail(write_error(&error));
                }
            }
        }
    }

    fn note_failure(&self, error: &AppendError) {
        match error {
            AppendError::Full { cause, file } => self.shared.health.fill(cause, file),
            AppendError::Failed { cause, file } => self.shared.health.refuse(cause, file),
        }
    }

    /// Folds durable frames and answers those who wait, after all of them.
    fn settle(&mut self, group: Group<P>) {
        let last = group.next().get() - 1;
        if !group.frames.is_empty() {
            self.shared.health.stored();
        }
        let shared = Arc::clone(&self.shared);
        let projection = &shared.projection;
        let mut frames = group.frames.into_iter().map(|(frame, _)| frame);
        let mut answers: Vec<Box<dyn FnOnce()>> = Vec::with_capacity(group.waiting.len());
        for waiting in group.waiting {
            match waiting {
                Waiting::Shots { verdicts, wanted, reply, room } => {
                    let counted = |verdict: &Verdict| self.shared.meter.shot(*verdict);
                    let outcomes = verdicts.into_iter().inspect(counted);
                    let outcomes =
                        outcomes.map(|verdict| fold(projection, verdict, wanted, &mut frames));
                    let outcomes = outcomes.collect();
                    answers.push(Box::new(move || {
                        drop(reply.send(Ok(outcomes)));
                        drop(room);
                    }));
                }
                Waiting::Act(reply) => {
                    if let Some(frame) = frames.next() {
                        if let Entry::Act(act) = &frame.entry {
                            self.shared.meter.act(act);
                        }
                        let receipt = projection.apply(&frame);
                        if let Err(error) = shared.bury_gone(frame.sequence) {
                            // The next start does it from the journal.
                            self.lose_applier(&error);
                        }
                        let answer = Ok((frame.sequence, receipt));
                        answers.push(Box::new(move || drop(reply.send(answer))));
                    }
                }
            }
        }
        self.shared.advance_and_tell(Sequence::new(last));
        for answer in answers {
            answer();
        }
    }

    /// Gives the applier what changed when there is enough of it and it is idle; waits for it when too much has gathered.
    pub(super) fn hand_over_if_due(&mut self) {
        let waiting = self.shared.last().get() - self.handed.get();
        if waiting >= HAND_OVER_FRAMES
            && let Err(error) = self.hand_over(waiting)
        {
            self.lose_applier(&error);
        }
    }

    /// A table that fails takes nothing more: the next start brings it after the journal, or makes it anew.
    fn lose_applier(&mut self, error: &ReadError) {
        self.applier = None;
        self.shared.health.refuse(&error.to_string(), &self.shared.journal.path());
    }

    fn hand_over(&mut self, waiting: u64) -> Result<(), ReadError> {
        let Some(applier) = &mut self.applier else { return Ok(()) };
        if waiting >= MOST_WAITING {
            applier.wait()?;
        }
        if applier.is_idle()? {
            let upto = self.shared.last();
            applier.begin(self.shared.take_step(upto)?)?;
            self.handed = upto;
        }
        Ok(())
    }

    /// Brings the table to where the journal is, and ends.
    fn finish(&mut self) {
        self.commands.close();
        while let Some(applier) = &mut self.applier {
            let waited = applier.wait().map_err(ReadError::from);
            if waited.is_ok() && self.handed == self.shared.last() {
                self.applier = None;
            } else if let Err(error) = waited.and_then(|()| self.hand_over(0)) {
                self.lose_applier(&error);
            }
        }
        self.shared.health.close(self.shared.journal.path());
    }
}

/// The verdict on a shot of a batch that was taken back; what it stood against may be gone as well.
fn withheld(verdict: Verdict, taken_back_from: Sequence) -> Verdict {
    match verdict {
        Verdict::Conflict(with) if with >= taken_back_from => Verdict::ConflictInBatch,
        Verdict::Duplicate(of) if of >= taken_back_from => Verdict::Withheld,
        Verdict::New => Verdict::Withheld,
        other => other,
    }
}

/// Joins the frames of an all-or-nothing batch.
fn join(frames: &mut [(Frame, Mark)]) {
    if let Some((_, others)) = frames.split_last_mut() {
        for (_, mark) in others {
            *mark = Mark::Joined;
        }
    }
}

/// Folds the frame of a shot, if it has one, and says what became of it.
fn fold<P: Projection>(
    projection: &P,
    verdict: Verdict,
    wanted: ReceiptWanted,
    frames: &mut impl Iterator<Item = Frame>,
) -> ShotOutcome<P::Receipt> {
    match verdict {
        Verdict::Duplicate(sequence) => ShotOutcome::Duplicate { sequence },
        Verdict::Conflict(sequence) => ShotOutcome::Conflict { sequence: Some(sequence) },
        Verdict::ConflictInBatch => ShotOutcome::Conflict { sequence: None },
        Verdict::Withheld => ShotOutcome::Withheld,
        Verdict::New => frames.next().map_or(ShotOutcome::Withheld, |frame| {
            let receipt = match wanted {
                ReceiptWanted::Yes => Some(projection.apply(&frame)),
                ReceiptWanted::No => {
                    projection.absorb(&frame);
                    None
                }
            };
            ShotOutcome::Stored { sequence: frame.sequence, receipt }
        }),
    }
}

pub(super) fn write_error(error: &AppendError) -> WriteError {
    match error {
        AppendError::Full { cause, file } => {
            WriteError::Full { cause: cause.clone(), file: file.clone() }
        }
        AppendError::Failed { cause, file } => {
            WriteError::Unavailable { cause: cause.clone(), file: file.clone() }
        }
    }
}
