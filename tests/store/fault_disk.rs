//! A disk in memory that fails on demand and forgets what was not synced, sector by sector, by a seed.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::time::Duration;

use evencarry::store::{Disk, DiskFile};

const SECTOR: usize = 512;

/// What is to go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// The power fails: this and every later operation does nothing, a write leaves a part.
    Power,
    /// A write leaves its first half and says so.
    ShortWrite,
    /// The operation fails and does nothing.
    Error(io::ErrorKind),
}

/// What can go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Work {
    Any,
    Write,
    Sync,
    Allocate,
    Create,
}

#[derive(Default)]
struct State {
    files: Vec<Content>,
    names: BTreeMap<String, usize>,
    durable_names: BTreeMap<String, usize>,
    fault: Option<(Work, u64, Fault)>,
    dead: bool,
    random: u64,
    /// Syncs wait, and whether one does.
    holds: bool,
    is_waiting: bool,
}

#[derive(Clone, Default)]
struct Content {
    now: Vec<u8>,
    durable: Vec<u8>,
    unsynced: BTreeSet<usize>,
}

impl Content {
    fn touch(&mut self, from: usize, to: usize) {
        self.unsynced.extend(from / SECTOR..to.div_ceil(SECTOR));
    }

    fn write(&mut self, bytes: &[u8], offset: usize) {
        let end = offset + bytes.len();
        self.now.resize(self.now.len().max(end), 0);
        self.now[offset..end].copy_from_slice(bytes);
        self.touch(offset, end);
    }

    /// Makes a sector as it is now durable.
    fn keep(&mut self, sector: usize) {
        let start = sector * SECTOR;
        let end = (start + SECTOR).min(self.now.len());
        if start < end {
            self.durable.resize(self.durable.len().max(end), 0);
            self.durable[start..end].copy_from_slice(&self.now[start..end]);
        }
    }
}

#[derive(Clone, Default)]
pub(crate) struct FaultDisk(Arc<(Mutex<State>, Condvar)>);

impl FaultDisk {
    pub(crate) fn with_seed(seed: u64) -> Self {
        let disk = Self::default();
        disk.state().random = seed;
        disk
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.0.lock().unwrap()
    }

    /// From now on syncs wait.
    pub(crate) fn hold_syncs(&self) {
        self.state().holds = true;
    }

    /// Returns when a sync waits.
    pub(crate) fn until_a_sync_waits(&self) {
        let deadline = Duration::from_secs(20);
        let waits = self.0.1.wait_timeout_while(self.state(), deadline, |state| !state.is_waiting);
        assert!(!waits.unwrap().1.timed_out(), "no sync came");
    }

    pub(crate) fn let_syncs_go(&self) {
        self.state().holds = false;
        self.0.1.notify_all();
    }

    fn wait_while_held(&self) {
        let mut state = self.state();
        state.is_waiting = state.holds;
        self.0.1.notify_all();
        drop(self.0.1.wait_while(state, |state| state.holds).unwrap());
    }

    /// The `nth` work of a kind from now on goes wrong (0 is the next).
    pub(crate) fn fail(&self, work: Work, nth: u64, fault: Fault) {
        self.state().fault = Some((work, nth, fault));
    }

    pub(crate) fn is_dead(&self) -> bool {
        self.state().dead
    }

    /// The process is gone: nothing more reaches the disk, what the system held stays.
    pub(crate) fn kill(&self) {
        self.state().dead = true;
    }

    /// Works again after a kill.
    pub(crate) fn revive(&self) {
        let mut state = self.state();
        state.dead = false;
        state.fault = None;
    }

    /// Works again after a power cut: of what was not synced, every sector and the names are kept or lost by chance.
    pub(crate) fn power_back(&self) {
        let mut state = self.state();
        if state.draw() {
            state.names = state.durable_names.clone();
        } else {
            state.durable_names = state.names.clone();
        }
        let mut files = std::mem::take(&mut state.files);
        for file in &mut files {
            for sector in std::mem::take(&mut file.unsynced) {
                if state.draw() {
                    file.keep(sector);
                }
            }
            file.now.clone_from(&file.durable);
        }
        state.files = files;
        drop(state);
        self.revive();
    }

    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        let state = self.state();
        state.files[state.names[name]].now.clone()
    }

    /// Changes a file behind everyone's back.
    pub(crate) fn set_bytes(&self, name: &str, bytes: &[u8]) {
        let mut state = self.state();
        let at = state.names[name];
        let content =
            Content { now: bytes.to_vec(), durable: bytes.to_vec(), ..Content::default() };
        state.files[at] = content;
    }

    pub(crate) fn flip_bit(&self, name: &str, byte: usize, bit: usize) {
        let mut bytes = self.bytes(name);
        bytes[byte] ^= 1 << bit;
        self.set_bytes(name, &bytes);
    }

    pub(crate) fn names(&self, folder: &str) -> Vec<String> {
        self.list(folder).unwrap()
    }
}

impl State {
    /// A coin.
    fn draw(&mut self) -> bool {
        self.random = self.random.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.random ^ (self.random >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        (mixed ^ (mixed >> 27)) >> 63 == 1
    }

    /// The fault that strikes this work, if any does.
    fn strike(&mut self, work: Work) -> io::Result<Option<Fault>> {
        if self.dead {
            return Err(io::Error::other("the power is gone"));
        }
        let Some((on, left, fault)) = &mut self.fault else { return Ok(None) };
        if *on != Work::Any && *on != work {
            return Ok(None);
        }
        if *left > 0 {
            *left -= 1;
            return Ok(None);
        }
        let fault = *fault;
        self.fault = None;
        self.dead = fault == Fault::Power;
        Ok(Some(fault))
    }

    fn work(&mut self, work: Work) -> io::Result<()> {
        match self.strike(work)? {
            None => Ok(()),
            Some(Fault::Error(kind)) => Err(kind.into()),
            Some(_) => Err(io::Error::other("the power is gone")),
        }
    }
}

impl Disk for FaultDisk {
    fn create(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let mut state = self.state();
        state.work(Work::Create)?;
        state.files.push(Content::default());
        let at = state.files.len() - 1;
        state.names.insert(name.to_owned(), at);
        Ok(Arc::new(FaultFile { disk: self.clone(), at }))
    }

    fn open(&self, name: &str) -> io::Result<Arc<dyn DiskFile>> {
        let at = *self.state().names.get(name).ok_or(io::ErrorKind::NotFound)?;
        Ok(Arc::new(FaultFile { disk: self.clone(), at }))
    }

    fn list(&self, folder: &str) -> io::Result<Vec<String>> {
        let state = self.state();
        let names = state.names.keys().filter_map(|name| match folder {
            "" => name.split('/').next(),
            _ => name.strip_prefix(folder)?.strip_prefix('/'),
        });
        let mut names: Vec<String> = names.map(str::to_owned).collect();
        names.dedup();
        Ok(names)
    }

    fn make_folder(&self, _folder: &str) -> io::Result<()> {
        self.state().work(Work::Create)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        let mut state = self.state();
        state.work(Work::Any)?;
        let at = state.names.remove(from).ok_or(io::ErrorKind::NotFound)?;
        state.names.insert(to.to_owned(), at);
        Ok(())
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        let mut state = self.state();
        state.work(Work::Any)?;
        state.names.remove(name).map(drop).ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn sync_folder(&self, _folder: &str) -> io::Result<()> {
        let mut state = self.state();
        state.work(Work::Any)?;
        state.durable_names = state.names.clone();
        Ok(())
    }

    fn path(&self, name: &str) -> String {
        format!("fault:{name}")
    }
}

struct FaultFile {
    disk: FaultDisk,
    at: usize,
}

impl FaultFile {
    fn with<T>(&self, work: impl FnOnce(&mut Content) -> T) -> T {
        work(&mut self.disk.state().files[self.at])
    }
}

impl DiskFile for FaultFile {
    fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        let offset = usize::try_from(offset).unwrap();
        Ok(self.with(|content| {
            let rest = content.now.get(offset..).unwrap_or_default();
            let count = rest.len().min(buffer.len());
            buffer[..count].copy_from_slice(&rest[..count]);
            count
        }))
    }

    fn write_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        let strike = self.disk.state().strike(Work::Write)?;
        let offset = usize::try_from(offset).unwrap();
        match strike {
            Some(Fault::Error(kind)) => Err(kind.into()),
            Some(Fault::ShortWrite | Fault::Power) => {
                self.with(|content| content.write(&bytes[..bytes.len() / 2], offset));
                Err(io::Error::other("a part was written"))
            }
            None => {
                self.with(|content| content.write(bytes, offset));
                Ok(())
            }
        }
    }

    fn allocate(&self, offset: u64, length: u64) -> io::Result<()> {
        self.disk.state().work(Work::Allocate)?;
        // A smaller step than asked for keeps the tests quick; the file still grows before it is written.
        let end = usize::try_from(offset + length.min(64 * 1024)).unwrap();
        self.with(|content| {
            let before = content.now.len();
            content.now.resize(before.max(end), 0);
            content.touch(before, end);
        });
        Ok(())
    }

    fn truncate(&self, length: u64) -> io::Result<()> {
        self.disk.state().work(Work::Write)?;
        let length = usize::try_from(length).unwrap();
        self.with(|content| {
            // What is cut off reads as zeros should it come back, as after a fresh allocation.
            let before = content.now.len();
            content.now[length..].fill(0);
            content.touch(length, before);
        });
        Ok(())
    }

    fn sync_data(&self) -> io::Result<()> {
        self.disk.wait_while_held();
        let failed = self.disk.state().work(Work::Sync);
        self.with(|content| {
            // After a failed sync the system takes the pages for clean: the next sync does not write them.
            let unsynced = std::mem::take(&mut content.unsynced);
            if failed.is_ok() {
                for sector in unsynced {
                    content.keep(sector);
                }
            }
        });
        failed
    }

    fn length(&self) -> io::Result<u64> {
        Ok(self.with(|content| content.now.len() as u64))
    }
}
