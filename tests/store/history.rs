//! Any history of writes, restarts, kills and power cuts: what was acknowledged is there once, in its order, and the
//! fold is the one that a fold from the start gives.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use bytes::Bytes;
use evencarry::shot::{Sequence, ShotId, SourceId};
use evencarry::store::{
    ActError, Batch, Entry, Home, MemoryTables, Projection, ReceiptWanted, ShotOutcome, StoreId,
    Table, TableChange, TableError, Tables, Tree, WriteError,
};
use proptest::prelude::*;

use crate::fault_disk::{Fault, FaultDisk, Work};
use crate::support::{
    REFUSED, Tally, TestStore, act, clock, frames, fresh_fold, open, run, shot, text,
};

type Shot = (u32, u32, u32);
type Identity = (SourceId, ShotId);

#[derive(Clone, Debug)]
enum Step {
    /// Two senders at once.
    Shots(Vec<Shot>, Vec<Shot>),
    Batch(Vec<Shot>),
    Act,
    RefusedAct,
    Restart,
    Kill,
    /// The power fails at this many works of the disk from now, then again during each of these starts.
    PowerCut(u64, Vec<u64>),
    LoseTable,
    SpoilTable,
}

fn shots() -> impl Strategy<Value = Vec<Shot>> {
    prop::collection::vec((0..3_u32, 0..40_u32, prop_oneof![9 => Just(150), 1 => Just(151)]), 0..12)
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let power = (0..12_u64, prop::collection::vec(0..10_u64, 0..3));
    let step = prop_oneof![
        6 => (shots(), shots()).prop_map(|(one, other)| Step::Shots(one, other)),
        3 => shots().prop_map(Step::Batch),
        1 => Just(Step::Act),
        1 => Just(Step::RefusedAct),
        1 => Just(Step::Restart),
        2 => Just(Step::Kill),
        4 => power.prop_map(|(at, again)| Step::PowerCut(at, again)),
        1 => Just(Step::LoseTable),
        1 => Just(Step::SpoilTable),
    ];
    prop::collection::vec(step, 1..25)
}

/// A table that is lost to the process together with its disk.
struct MortalTables {
    inner: MemoryTables,
    disk: FaultDisk,
}

struct MortalTable {
    inner: Arc<dyn Table>,
    disk: FaultDisk,
}

impl Tables for MortalTables {
    fn exists(&self) -> bool {
        self.inner.exists()
    }

    fn open(&self) -> Result<Arc<dyn Table>, TableError> {
        Ok(Arc::new(MortalTable { inner: self.inner.open()?, disk: self.disk.clone() }))
    }

    fn set_aside(&self) -> Result<Option<String>, TableError> {
        self.inner.set_aside()
    }
}

impl Table for MortalTable {
    fn get(&self, tree: Tree, key: &[u8]) -> Result<Option<Bytes>, TableError> {
        self.inner.get(tree, key)
    }

    fn floor(
        &self,
        tree: Tree,
        from: &[u8],
        upto: &[u8],
    ) -> Result<Option<(Bytes, Bytes)>, TableError> {
        self.inner.floor(tree, from, upto)
    }

    fn prefix(&self, tree: Tree, prefix: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        self.inner.prefix(tree, prefix)
    }

    fn commit(&self, changes: &[TableChange]) -> Result<(), TableError> {
        if self.disk.is_dead() {
            return Err(TableError { file: "table".to_owned(), cause: "no power".to_owned() });
        }
        self.inner.commit(changes)
    }

    fn distrust(&self, error: &TableError) {
        panic!("{error}");
    }
}

/// The store under test, and what its senders know.
struct History {
    disk: FaultDisk,
    tables: Arc<MortalTables>,
    store: Option<TestStore>,
    acknowledged: BTreeMap<Identity, (Sequence, Bytes)>,
    attempted: BTreeMap<Identity, BTreeSet<Bytes>>,
    acts: u64,
    unanswered_batch: Vec<Shot>,
}

impl History {
    fn begin(seed: u64) -> Self {
        let disk = FaultDisk::with_seed(seed);
        let tables = MortalTables { inner: MemoryTables::default(), disk: disk.clone() };
        let mut history = Self {
            disk,
            tables: Arc::new(tables),
            store: None,
            acknowledged: BTreeMap::new(),
            attempted: BTreeMap::new(),
            acts: 0,
            unanswered_batch: Vec::new(),
        };
        history.start();
        history
    }

    fn home(&self) -> Home {
        Home {
            disk: Arc::new(self.disk.clone()),
            tables: Arc::clone(&self.tables) as Arc<dyn Tables>,
            clock: clock(),
            new_id: StoreId::from_bytes([7; 16]),
        }
    }

    fn store(&self) -> &TestStore {
        self.store.as_ref().unwrap()
    }

    fn start(&mut self) {
        self.store = Some(open(self.home()).unwrap().0);
        self.check();
    }

    fn take(&mut self, step: Step) {
        match step {
            Step::Shots(one, other) => self.send_each(&one, &other),
            Step::Batch(shots) => self.send_batch(&shots),
            Step::Act => match run(self.store().append_act(act("a reason"))) {
                Ok(_) => self.acts += 1,
                Err(ActError::Write(_)) => {}
                Err(ActError::Refused(why)) => panic!("refused: {why}"),
            },
            Step::RefusedAct => {
                let refused = run(self.store().append_act(act(REFUSED)));
                assert!(
                    matches!(refused, Err(ActError::Refused(_)))
                        || self.disk.is_dead() && matches!(refused, Err(ActError::Write(_)))
                );
            }
            Step::Restart => {
                let _ = self.store.take().unwrap().close();
                self.start_after_death(false, &[]);
            }
            Step::Kill => {
                self.disk.kill();
                self.start_after_death(false, &[]);
            }
            Step::PowerCut(at, again) => {
                self.disk.fail(Work::Any, at, Fault::Power);
                self.send_each(&[(0, 1, 150), (1, 39, 150)], &[(2, 7, 150), (2, 8, 150)]);
                self.send_batch(&[(0, 50, 150), (0, 51, 150), (1, 52, 150)]);
                self.start_after_death(true, &again);
            }
            Step::LoseTable => {
                drop(self.store.take());
                self.tables.set_aside().unwrap();
                self.start();
            }
            Step::SpoilTable => {
                drop(self.store.take());
                let mut value = self.acknowledged.len().to_be_bytes().to_vec();
                value.extend_from_slice(&[1, 2, 3, 4]);
                value.extend_from_slice(&Tally::VERSION.to_be_bytes());
                let key = Bytes::from_static(b"applied");
                let change = TableChange { tree: Tree::Meta, key, value: Some(value.into()) };
                self.tables.inner.open().unwrap().commit(&[change]).unwrap();
                self.start();
            }
        }
        if self.store.is_some() && self.disk.is_dead() {
            self.start_after_death(true, &[]);
        }
    }

    fn start_after_death(&mut self, power_was_cut: bool, again: &[u64]) {
        drop(self.store.take());
        let lights_on = |disk: &FaultDisk| {
            if power_was_cut && disk.is_dead() { disk.power_back() } else { disk.revive() }
        };
        lights_on(&self.disk);
        for &at in again {
            self.disk.fail(Work::Any, at, Fault::Power);
            drop(open(self.home()));
            lights_on(&self.disk);
        }
        self.start();
    }

    fn send_each(&mut self, one: &[Shot], other: &[Shot]) {
        self.attempt(one);
        self.attempt(other);
        let store = self.store();
        let send = |list: &[Shot]| {
            let shots = list.iter().map(|&(source, id, carry)| shot(source, id, carry)).collect();
            store.append_shots(shots, Batch::Each, ReceiptWanted::No)
        };
        let (to_one, to_other) = run(async { tokio::join!(send(one), send(other)) });
        let answers = [(one, to_one), (other, to_other)];
        let told: Vec<(Shot, ShotOutcome<u64>)> = answers
            .into_iter()
            .filter_map(|(sent, answer)| Some((sent, self.answered(answer)?)))
            .flat_map(|(sent, outcomes)| sent.iter().copied().zip(outcomes).collect::<Vec<_>>())
            .collect();
        self.learn(&told);
    }

    fn send_batch(&mut self, sent: &[Shot]) {
        let fresh = |&(source, id, _): &Shot| {
            !self.attempted.contains_key(&crate::support::identity(source, id))
        };
        self.unanswered_batch = sent.iter().copied().filter(fresh).collect();
        self.attempt(sent);
        let shots = sent.iter().map(|&(source, id, carry)| shot(source, id, carry)).collect();
        let answer = run(self.store().append_shots(shots, Batch::AllOrNothing, ReceiptWanted::No));
        let Some(outcomes) = self.answered(answer) else { return };
        self.unanswered_batch.clear();
        let conflicts =
            outcomes.iter().any(|outcome| matches!(outcome, ShotOutcome::Conflict { .. }));
        let stored = outcomes.iter().any(|outcome| matches!(outcome, ShotOutcome::Stored { .. }));
        assert!(!(conflicts && stored), "{outcomes:?}");
        let told: Vec<_> = sent.iter().copied().zip(outcomes).collect();
        self.learn(&told);
    }

    fn attempt(&mut self, shots: &[Shot]) {
        for &(source, id, carry) in shots {
            let texts = self.attempted.entry(crate::support::identity(source, id)).or_default();
            texts.insert(text(source, id, carry));
        }
    }

    fn answered<T>(&self, answer: Result<T, WriteError>) -> Option<T> {
        match answer {
            Ok(outcomes) => Some(outcomes),
            Err(error) => {
                assert!(self.disk.is_dead(), "refused without a cause: {error}");
                None
            }
        }
    }

    /// Takes note of what was acknowledged, and checks that it agrees with what was before.
    fn learn(&mut self, told: &[(Shot, ShotOutcome<u64>)]) {
        for ((source, id, carry), outcome) in told {
            if let ShotOutcome::Stored { sequence, .. } = outcome {
                let value = (*sequence, text(*source, *id, *carry));
                let key = crate::support::identity(*source, *id);
                assert_eq!(self.acknowledged.insert(key, value), None, "stored twice");
            }
        }
        for ((source, id, carry), outcome) in told {
            let key = crate::support::identity(*source, *id);
            match outcome {
                ShotOutcome::Duplicate { sequence } => {
                    let same = (*sequence, text(*source, *id, *carry));
                    assert_eq!(self.acknowledged.get(&key), Some(&same));
                }
                ShotOutcome::Conflict { sequence: Some(sequence) } => {
                    let (held, held_text) = &self.acknowledged[&key];
                    assert_eq!(held, sequence);
                    assert_ne!(held_text, &text(*source, *id, *carry));
                }
                _ => {}
            }
        }
    }

    /// Compares everything that the store shows with what its senders know.
    fn check(&mut self) {
        let frames = frames(self.store());
        let mut shown = BTreeMap::new();
        let mut acts = 0;
        for (nth, frame) in (1..).zip(&frames) {
            assert_eq!(frame.sequence, Sequence::new(nth));
            match &frame.entry {
                Entry::Act(_) => acts += 1,
                Entry::Retired(_) | Entry::Hole(_) => panic!("nothing was retired or erased"),
                Entry::Shot { event, text, .. } => {
                    let key = (event.source.clone(), event.id.clone());
                    assert!(self.attempted[&key].contains(text), "a text that nobody sent");
                    let before = shown.insert(key, (frame.sequence, text.clone()));
                    assert_eq!(before, None, "an identity twice");
                }
            }
        }
        assert!(acts >= self.acts, "an act is lost");
        self.acts = acts;
        for (key, held) in &self.acknowledged {
            assert_eq!(shown.get(key), Some(held), "an acknowledged shot is lost or moved");
        }
        let of_batch = self.unanswered_batch.drain(..);
        let present: BTreeSet<bool> = of_batch
            .map(|(source, id, _)| shown.contains_key(&crate::support::identity(source, id)))
            .collect();
        assert!(present.len() < 2, "a part of a batch");
        for key in self.attempted.keys() {
            let found = self.store().find(&key.0, &key.1).unwrap();
            assert_eq!(found, shown.get(key).map(|(sequence, _)| *sequence));
        }
        for (sequence, text) in shown.values() {
            assert_eq!(&self.store().read(*sequence).unwrap().unwrap().text, text);
        }
        assert_eq!(self.store().projection().sums(), fresh_fold(&frames));
        self.acknowledged = shown;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 192, max_shrink_iters: 400, ..ProptestConfig::default() })]
    #[test]
    fn nothing_acknowledged_is_lost_doubled_or_moved(seed: u64, steps in steps()) {
        let mut history = History::begin(seed);
        for step in steps {
            history.take(step);
        }
        history.check();
        history.take(Step::Restart);
    }
}
