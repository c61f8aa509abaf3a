//! Events, a fold that notices everything, and a runtime.

use std::collections::BTreeMap;
use std::future::Future;
use std::sync::{Arc, Mutex};

use bytes::Bytes;
use evencarry::shot::{self, Act, Correction, Sequence, ShotId, SourceId};
use evencarry::store::{
    Batch, Change, Chunks, Clock, Entry, Frame, Home, NewShot, OpenError, Projection,
    ReceiptWanted, RecoveryReport, ShotOutcome, Store, TableError, WriteError,
};
use jiff::Timestamp;

pub(crate) fn clock() -> Clock {
    Arc::new(|| Timestamp::new(1_775_900_000, 120_000_000).unwrap())
}

pub(crate) fn text(source: u32, id: u32, carry_m: u32) -> Bytes {
    let text = format!(
        r#"{{"id": "{id:06}", "source": "bay-{source}", "time": "2026-04-11T10:15:04.120+02:00", "flight": {{"carry_m": {carry_m}.50, "origin": "tracked"}}}}"#
    );
    text.into()
}

pub(crate) fn shot(source: u32, id: u32, carry_m: u32) -> NewShot {
    NewShot::parse(text(source, id, carry_m)).unwrap()
}

pub(crate) fn identity(source: u32, id: u32) -> (SourceId, ShotId) {
    let event = shot::parse(&text(source, id, 100)).unwrap();
    (event.source, event.id)
}

/// An act; the fold refuses it when its reason says so.
pub(crate) fn act(reason: &str) -> Act {
    let patch = format!(r#"{{"set_aside": {{"reason": "{reason}"}}}}"#);
    let patch = Correction::from_json(patch.as_bytes()).unwrap();
    Act::Correct { shot: Sequence::new(1), patch }
}

pub(crate) const REFUSED: &str = "to be refused";

/// What the fold knows of one source: how many frames, and a hash over all of them in their order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Sum {
    pub(crate) frames: u64,
    pub(crate) hash: u64,
    pub(crate) last: u64,
}

impl Sum {
    fn take(&mut self, sequence: Sequence, bytes: &[u8]) {
        let seed = u64::from(crc32c::crc32c(bytes)) ^ sequence.get();
        self.hash = self.hash.wrapping_mul(0x100_0000_01B3).wrapping_add(seed);
        self.frames += 1;
        self.last = sequence.get();
    }

    fn bytes(self) -> Bytes {
        [self.frames, self.hash, self.last].iter().flat_map(|n| n.to_be_bytes()).collect()
    }

    fn from_bytes(bytes: &[u8]) -> Self {
        let number = |at: usize| u64::from_be_bytes(bytes[at..at + 8].try_into().unwrap());
        Self { frames: number(0), hash: number(8), last: number(16) }
    }
}

/// Sums by source, acts under a name of their own.
#[derive(Default)]
pub(crate) struct Tally {
    sums: Mutex<Sums>,
    gone: Mutex<Vec<Sequence>>,
}

#[derive(Default)]
struct Sums {
    by_source: BTreeMap<String, Sum>,
    changed: BTreeMap<String, Sum>,
    committed: u64,
}

impl Tally {
    pub(crate) fn load(chunks: &dyn Chunks) -> Result<Self, TableError> {
        let tally = Self::default();
        for (key, value) in chunks.prefix(b"sum/")? {
            assert_eq!(chunks.get(&key)?.as_ref(), Some(&value));
            let name = String::from_utf8(key[4..].to_vec()).unwrap();
            tally.sums.lock().unwrap().by_source.insert(name, Sum::from_bytes(&value));
        }
        Ok(tally)
    }

    pub(crate) fn sums(&self) -> BTreeMap<String, Sum> {
        self.sums.lock().unwrap().by_source.clone()
    }

    pub(crate) fn committed(&self) -> u64 {
        self.sums.lock().unwrap().committed
    }
}

impl Projection for Tally {
    type Receipt = u64;
    type Refusal = String;
    type Condition = ();

    const VERSION: u32 = 7;

    fn judge(&self, act: &mut Act, (): &()) -> Result<(), String> {
        let said = serde_json::to_string(act).unwrap();
        if said.contains(REFUSED) { Err(REFUSED.to_owned()) } else { Ok(()) }
    }

    fn apply(&self, frame: &Frame) -> u64 {
        if let Entry::Act(act) = &frame.entry
            && let Act::EraseShot { shot } = **act
        {
            self.gone.lock().unwrap().push(shot);
        }
        let mut sums = self.sums.lock().unwrap();
        let (name, bytes) = match &frame.entry {
            Entry::Shot { event, text, .. } => (event.source.as_str().to_owned(), text.to_vec()),
            Entry::Act(act) => ("acts".to_owned(), serde_json::to_vec(act).unwrap()),
            Entry::Retired(shot) => ("retired".to_owned(), serde_json::to_vec(shot).unwrap()),
            Entry::Hole(hole) => ("holes".to_owned(), serde_json::to_vec(hole).unwrap()),
        };
        let sum = sums.by_source.entry(name.clone()).or_default();
        assert!(sum.last < frame.sequence.get(), "frame {} came out of order", frame.sequence);
        sum.take(frame.sequence, &bytes);
        let sum = *sum;
        sums.changed.insert(name, sum);
        sum.frames
    }

    fn take_gone(&self) -> Vec<Sequence> {
        std::mem::take(&mut self.gone.lock().unwrap())
    }

    fn take_changes(&self) -> Result<Vec<Change>, TableError> {
        let changed = std::mem::take(&mut self.sums.lock().unwrap().changed);
        let change = |(name, sum): (String, Sum)| Change {
            key: format!("sum/{name}").into(),
            value: Some(sum.bytes()),
        };
        Ok(changed.into_iter().map(change).collect())
    }

    fn committed(&self, upto: Sequence) {
        self.sums.lock().unwrap().committed = upto.get();
    }
}

pub type TestStore = Store<Tally>;

pub(crate) fn open(home: Home) -> Result<(TestStore, RecoveryReport), OpenError> {
    Store::open(home, |chunks| Tally::load(&*chunks))
}

pub(crate) fn memory_store() -> TestStore {
    Store::in_memory(clock(), |chunks| Tally::load(&*chunks)).unwrap()
}

/// Runs a future to its end.
pub(crate) fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().build().unwrap().block_on(future)
}

pub type Outcomes = Result<Vec<ShotOutcome<u64>>, WriteError>;

pub(crate) fn send(store: &TestStore, shots: Vec<NewShot>) -> Outcomes {
    run(store.append_shots(shots, Batch::Each, ReceiptWanted::No))
}

pub(crate) fn send_batch(store: &TestStore, shots: Vec<NewShot>) -> Outcomes {
    run(store.append_shots(shots, Batch::AllOrNothing, ReceiptWanted::No))
}

pub(crate) fn stored(sequence: u64) -> ShotOutcome<u64> {
    ShotOutcome::Stored { sequence: Sequence::new(sequence), receipt: None }
}

pub(crate) fn duplicate(sequence: u64) -> ShotOutcome<u64> {
    ShotOutcome::Duplicate { sequence: Sequence::new(sequence) }
}

pub(crate) fn conflict(sequence: u64) -> ShotOutcome<u64> {
    ShotOutcome::Conflict { sequence: Some(Sequence::new(sequence)) }
}

/// All frames, in parts, as a reader of a large journal takes them.
pub(crate) fn frames(store: &TestStore) -> Vec<Frame> {
    let mut all: Vec<Frame> = Vec::new();
    loop {
        let part = store.scan(Sequence::new(all.len() as u64 + 1), 7).unwrap();
        if part.is_empty() {
            return all;
        }
        all.extend(part);
    }
}

/// What a fold of these frames from the start ends in.
pub(crate) fn fresh_fold(frames: &[Frame]) -> BTreeMap<String, Sum> {
    let tally = Tally::default();
    for frame in frames {
        tally.absorb(frame);
    }
    tally.sums()
}
