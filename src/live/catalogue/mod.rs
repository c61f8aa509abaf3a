//! Players, clubs, bags, balls and sources: ids, the numbers that stand for them, and what is said
//! of them. All of it is in memory.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use hashbrown::HashMap;
use jiff::Timestamp;
use serde::{Deserialize, Serialize, de::DeserializeOwned};

use super::{LiveError, document, key};

mod bags;
mod balls;
mod clubs;
mod csv_mappings;
mod erased;
mod players;
mod shelf;
mod sources;
mod touched;
mod trials;

use crate::{
    bag::{NamedBall, NamedClub, TrialRecord},
    shot::{
        Bag, BagId, Ball, BallId, Club, ClubId, Context, CsvMapping, CsvMappingId, Player,
        PlayerId, Sequence, Source, SourceId, TrialId,
    },
    store::{Change, Chunks},
};
pub use bags::BagChange;
use erased::Erased;
pub(super) use shelf::Entry;
use shelf::Shelf;

const PLAYER: u8 = b'P';
const CLUB: u8 = b'C';
const BAG: u8 = b'G';
const BAG_CHANGE: u8 = b'g';
const TRIAL: u8 = b'T';
const BALL: u8 = b'L';
const SOURCE: u8 = b'S';
const CSV_MAPPING: u8 = b'M';
/// A club that shots of a source without a player name.
const WAITING: u8 = b'W';
/// A player who has shots of a source.
const CUSTOMER: u8 = b'O';

/// The keyed hash of a player's id that was erased.
const ERASED: u8 = b'E';

/// A player's own things.
#[derive(Debug, Default)]
struct Locker {
    clubs: Arc<Vec<NamedClub>>,
    number_of: HashMap<ClubId, u32>,
    club_as_of: Vec<Sequence>,
    bags: Vec<Entry<BagId, Bag>>,
    /// What was changed of them, each with the number of its bag.
    bag_changes: Vec<(u32, BagChange)>,
    trials: Vec<Entry<TrialId, TrialRecord>>,
}

impl Locker {
    fn push(&mut self, club: NamedClub, as_of: Sequence) -> u32 {
        let number = u32::try_from(self.clubs.len()).unwrap_or(u32::MAX);
        self.number_of.insert(club.id.clone(), number);
        Arc::make_mut(&mut self.clubs).push(club);
        self.club_as_of.push(as_of);
        number
    }
}

/// Clubs that a source's shots without a player name, by the number their rows use.
#[derive(Debug, Default)]
struct Waiting {
    clubs: Vec<ClubId>,
    number_of: HashMap<ClubId, u32>,
}

impl Waiting {
    fn push(&mut self, club: ClubId) -> u32 {
        let number = u32::try_from(self.clubs.len()).unwrap_or(u32::MAX);
        self.number_of.insert(club.clone(), number);
        self.clubs.push(club);
        number
    }
}

/// What a source is, with what its shots inherit and what is remembered of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct SourceState {
    /// What is said of it.
    pub document: Source,
    /// What its shots inherit from now on.
    pub context: Context,
    /// The last sequence that set the context.
    pub context_as_of: Sequence,
    /// The time of its newest shot, those of a clock that runs ahead apart.
    pub newest: Option<Timestamp>,
    /// Shots it has sent.
    pub shots: u64,
    /// Whether a shot of it named a player who had been erased.
    pub named_erased: bool,
}

/// What is said of a ball, and how many shots name it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct BallState {
    /// What is said of it.
    pub document: Ball,
    /// Shots that were sent or inherited with it, or corrected to it.
    pub shots: u64,
}

impl SourceState {
    /// A source of which nothing was said yet.
    pub(super) fn bare(id: &SourceId) -> Self {
        Self {
            document: Source::bare(id),
            context: Context::default(),
            context_as_of: Sequence::new(0),
            newest: None,
            shots: 0,
            named_erased: false,
        }
    }
}

impl BallState {
    fn bare(id: &BallId) -> Self {
        Self { document: Ball::bare(id), shots: 0 }
    }
}

/// The whole catalogue.
#[derive(Debug)]
pub(super) struct Catalogue {
    players: Shelf<PlayerId, Player>,
    lockers: Vec<Locker>,
    balls: Shelf<BallId, BallState>,
    ball_list: Arc<Vec<NamedBall>>,
    sources: Shelf<SourceId, SourceState>,
    csv_mappings: Shelf<CsvMappingId, CsvMapping>,
    waiting: HashMap<u32, Waiting>,
    customers: BTreeMap<u32, BTreeSet<u32>>,
    balls_as_of: Sequence,
    erased: Erased,
    changed: BTreeSet<(u8, u32, Option<u32>)>,
}

impl Catalogue {
    /// Reads the catalogue back.
    pub(super) fn load(chunks: &dyn Chunks) -> Result<Self, LiveError> {
        let mut catalogue = Self {
            players: Shelf::new(),
            lockers: Vec::new(),
            balls: Shelf::new(),
            ball_list: Arc::default(),
            sources: Shelf::new(),
            csv_mappings: Shelf::new(),
            waiting: HashMap::new(),
            customers: BTreeMap::new(),
            balls_as_of: Sequence::new(0),
            erased: Erased::default(),
            changed: BTreeSet::new(),
        };
        for (_, erasure) in all(ERASED, chunks)? {
            catalogue.erased.push(erasure);
        }
        for (_, player) in all(PLAYER, chunks)? {
            catalogue.players.restore(player);
            catalogue.lockers.push(Locker::default());
        }
        for (numbers, club) in all::<Entry<ClubId, Club>>(CLUB, chunks)? {
            let locker = catalogue.locker(numbers[0])?;
            let as_of = club.as_of;
            let named = NamedClub { id: club.id, document: club.document, removed: club.removed };
            locker.push(named, as_of);
        }
        for (numbers, bag) in all(BAG, chunks)? {
            catalogue.locker(numbers[0])?.bags.push(bag);
        }
        for (numbers, change) in all(BAG_CHANGE, chunks)? {
            catalogue.locker(numbers[0])?.bag_changes.push(change);
        }
        for (numbers, trial) in all(TRIAL, chunks)? {
            catalogue.locker(numbers[0])?.trials.push(trial);
        }
        for (_, ball) in all::<Entry<BallId, BallState>>(BALL, chunks)? {
            catalogue.balls_as_of = catalogue.balls_as_of.max(ball.as_of);
            catalogue.balls.restore(ball);
        }
        for (_, source) in all(SOURCE, chunks)? {
            catalogue.sources.restore(source);
        }
        for (_, mapping) in all(CSV_MAPPING, chunks)? {
            catalogue.csv_mappings.restore(mapping);
        }
        for (numbers, club) in all(WAITING, chunks)? {
            catalogue.waiting.entry(numbers[0]).or_default().push(club);
        }
        for (numbers, ()) in all(CUSTOMER, chunks)? {
            catalogue.customers.entry(numbers[0]).or_default().insert(numbers[1]);
        }
        catalogue.list_balls();
        Ok(catalogue)
    }

    fn locker(&mut self, player: u32) -> Result<&mut Locker, LiveError> {
        self.lockers.get_mut(player as usize).ok_or(LiveError::Unreadable("a player's things"))
    }

    fn list_balls(&mut self) {
        let named = |entry: &Entry<BallId, BallState>| NamedBall {
            id: entry.id.clone(),
            document: entry.document.document.clone(),
        };
        self.ball_list = Arc::new(self.balls.entries.iter().map(named).collect());
    }

    fn change(&mut self, kind: u8, number: u32) {
        self.changed.insert((kind, number, None));
    }

    fn change_part(&mut self, kind: u8, number: u32, part: u32) {
        self.changed.insert((kind, number, Some(part)));
    }

    /// Everything that changed, for the store.
    pub(super) fn take_changes(&mut self, changes: &mut Vec<Change>) {
        for (kind, number, part) in std::mem::take(&mut self.changed) {
            let key = key::thing(kind, number, part);
            let (number, part) = (number as usize, part.unwrap_or_default() as usize);
            match kind {
                PLAYER => write(&key, self.players.entries.get(number), changes),
                BALL => write(&key, self.balls.entries.get(number), changes),
                SOURCE => write(&key, self.sources.entries.get(number), changes),
                CSV_MAPPING => write(&key, self.csv_mappings.entries.get(number), changes),
                ERASED => write(&key, self.erased.get(number), changes),
                CUSTOMER => document::write(&key, &(), changes),
                WAITING => {
                    let id = u32::try_from(number).ok().and_then(|n| self.waiting.get(&n));
                    write(&key, id.and_then(|waiting| waiting.clubs.get(part)), changes);
                }
                BAG => write(&key, self.lockers[number].bags.get(part), changes),
                TRIAL => write(&key, self.lockers[number].trials.get(part), changes),
                BAG_CHANGE => write(&key, self.lockers[number].bag_changes.get(part), changes),
                _ => {
                    let locker = &self.lockers[number];
                    let entry = locker.clubs.get(part).map(|club| Entry {
                        id: club.id.clone(),
                        document: club.document.clone(),
                        as_of: locker.club_as_of[part],
                        removed: club.removed,
                    });
                    write(&key, entry.as_ref(), changes);
                }
            }
        }
    }
}

fn write<T: Serialize>(key: &bytes::Bytes, entry: Option<&T>, changes: &mut Vec<Change>) {
    match entry {
        Some(entry) => document::write(key, entry, changes),
        None => document::remove(key, changes),
    }
}

/// All things of one kind in the order of their numbers.
fn all<T: DeserializeOwned>(
    kind: u8,
    chunks: &dyn Chunks,
) -> Result<Vec<(Vec<u32>, T)>, LiveError> {
    let documents = document::read_all(&key::kind(kind), chunks)?;
    let numbers = |key: &[u8]| {
        key[1..]
            .chunks_exact(4)
            .map(|number| u32::from_be_bytes([number[0], number[1], number[2], number[3]]))
            .collect()
    };
    Ok(documents.into_iter().map(|(key, document)| (numbers(&key), document)).collect())
}
