//! What the parts cost by themselves, each against the least that could do anything like it: the
//! parse of an event, its fold, and the store's groups.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod disk;
mod events;
mod report;
mod sent;

use std::{collections::HashMap, hint::black_box, io::Write, sync::Arc, time::Duration};

use bytes::Bytes;
use evencarry::{
    live::{Live, ROWS_KEPT},
    shot::{self, Event, Measures, Sequence},
    store::{
        Batch, Chunks, Entry, Frame, Home, NewShot, Projection, ReceiptWanted, Store, TableError,
    },
};
use events::Bay;
use jiff::Timestamp;
use report::{Figure, Size};
use sent::Sent;

const BAYS: u64 = 8;
/// Shots after which the writer hands on what changed, in a bulk load.
const STEP: usize = 1_000;

fn main() {
    let size = Size::asked();
    let shots = size.of(100_000, 2_000);
    let mut bays: Vec<Bay> = (0..BAYS).map(Bay::new).collect();
    let text = events::lines(&mut bays, shots);
    let lines: Vec<Bytes> =
        text.lines().map(|line| Bytes::copy_from_slice(line.as_bytes())).collect();
    let bytes = text.len() / shots;
    report::title(&format!("the rooms by themselves: {shots} events of {bytes} bytes"));
    parse(size, &lines);
    fold(size, &lines);
    for (shots, groups) in [(1, 4_000), (16, 2_000), (64, 1_000), (1_000, 100)] {
        store(size, shots, size.of(groups, 2));
    }
    println!("  load average after: {}", report::load());
}

fn nanos(wall: Duration, count: usize) -> f64 {
    wall.as_secs_f64() * 1e9 / count as f64
}

fn parse(size: Size, lines: &[Bytes]) {
    let [mut ours, mut typed] = <[Figure; 2]>::default();
    for _ in 0..size.of(9, 1) {
        let (wall, ()) = report::timed(|| {
            for line in lines {
                black_box(serde_json::from_slice::<Sent<'_>>(line).unwrap());
            }
        });
        typed.add(nanos(wall, lines.len()));
        let (wall, ()) = report::timed(|| {
            for line in lines {
                black_box(shot::parse(line).unwrap());
            }
        });
        ours.add(nanos(wall, lines.len()));
    }
    report::line("parse into a bare struct (serde)", &typed, "ns an event");
    report::line("parse and check", &ours, "ns an event");
    report::line("parse and check / bare struct", &ours.over(&typed), "x");
}

/// A table that holds nothing yet.
struct Nothing;

impl Chunks for Nothing {
    fn get(&self, _: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(None)
    }

    fn prefix(&self, _: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(Vec::new())
    }
}

fn fold(size: Size, lines: &[Bytes]) {
    let frames: Vec<Frame> =
        (1..).zip(lines).map(|(sequence, line)| frame(sequence, line)).collect();
    let [mut bare, mut absorbed, mut applied, mut taken] = <[Figure; 4]>::default();
    for _ in 0..size.of(5, 1) {
        let (wall, _) = report::timed(|| push_each(&frames));
        bare.add(nanos(wall, frames.len()));
        let live = Live::load(Arc::new(Nothing), ROWS_KEPT).unwrap();
        let (mut absorbing, mut taking) = (Duration::ZERO, Duration::ZERO);
        for step in frames.chunks(STEP) {
            absorbing += report::timed(|| step.iter().for_each(|frame| live.absorb(frame))).0;
            taking += report::timed(|| black_box(live.take_changes())).0;
        }
        absorbed.add(nanos(absorbing, frames.len()));
        taken.add(nanos(taking, frames.len()));
        let live = Live::load(Arc::new(Nothing), ROWS_KEPT).unwrap();
        let (wall, ()) = report::timed(|| {
            for frame in &frames {
                drop(black_box(live.apply(frame)));
            }
        });
        applied.add(nanos(wall, frames.len()));
    }
    report::line("push measures to a vector a club", &bare, "ns a shot");
    report::line("fold (absorb)", &absorbed, "ns a shot");
    report::line("fold with a receipt (apply)", &applied, "ns a shot");
    report::line("changes taken each 1,000", &taken, "ns a shot");
    report::line("fold / push", &absorbed.over(&bare), "x");
}

fn frame(sequence: u64, line: &Bytes) -> Frame {
    let event = shot::parse(line).unwrap();
    let arrival = event.time;
    let entry = Entry::Shot { event, text: line.clone(), settled: None };
    Frame { sequence: Sequence::new(sequence), arrival, entry }
}

type Clubs = HashMap<(String, String), Vec<(Timestamp, Measures)>>;

fn push_each(frames: &[Frame]) -> Clubs {
    let mut clubs = Clubs::new();
    for frame in frames {
        let Entry::Shot { event, .. } = &frame.entry else { continue };
        let Event { time, measures, .. } = event;
        let [player, club] =
            [event.player.as_ref().unwrap().as_str(), event.club.as_ref().unwrap().as_str()];
        let key = (player.to_owned(), club.to_owned());
        clubs.entry(key).or_default().push((*time, *measures));
    }
    clubs
}

/// Groups one after the other, each acknowledged before the next.
fn store(size: Size, shots: usize, groups: usize) {
    let [mut ours, mut bare] = <[Figure; 2]>::default();
    for _ in 0..size.of(5, 1) {
        let batches = batches(shots, groups);
        bare.add(groups as f64 / append_bare(&batches).as_secs_f64());
        ours.add(groups as f64 / append(batches).as_secs_f64());
    }
    report::line(&format!("append and fdatasync alone, {shots} a group"), &bare, "groups/s");
    report::line(&format!("the store, {shots} a group"), &ours, "groups/s");
    report::line("  the store / alone", &ours.over(&bare), "x");
}

fn batches(shots: usize, groups: usize) -> Vec<Vec<NewShot>> {
    let mut bays: Vec<Bay> = (0..BAYS).map(Bay::new).collect();
    let text = events::lines(&mut bays, groups * shots);
    let parsed = |line: &str| NewShot::parse(Bytes::copy_from_slice(line.as_bytes())).unwrap();
    let all: Vec<&str> = text.lines().collect();
    all.chunks(shots).map(|group| group.iter().map(|line| parsed(line)).collect()).collect()
}

fn append_bare(batches: &[Vec<NewShot>]) -> Duration {
    let folder = tempfile::TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let blocks: Vec<Vec<u8>> = batches.iter().map(|batch| vec![b'x'; 700 * batch.len()]).collect();
    let bytes = blocks.iter().map(Vec::len).sum();
    let mut file = disk::preallocated(&folder.path().join("log"), bytes);
    let append = || {
        for block in &blocks {
            file.write_all(block).unwrap();
            file.sync_data().unwrap();
        }
    };
    report::timed(append).0
}

fn append(batches: Vec<Vec<NewShot>>) -> Duration {
    let folder = tempfile::TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let home = Home::in_folder(folder.path(), Arc::new(Timestamp::now)).unwrap();
    let (store, _) =
        Store::open(home, |chunks| Ok(Live::load(chunks, ROWS_KEPT).unwrap())).unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let (wall, ()) = report::timed(|| {
        runtime.block_on(async {
            for batch in batches {
                store.append_shots(batch, Batch::Each, ReceiptWanted::No).await.unwrap();
            }
        });
    });
    drop(store.close());
    wall
}
