//! Players, clubs, bags, balls and sources: ids, the numbers that stand for them, and what is said
//! of them. All of it is in memory.

use std::{
    collections::{BTreeMap, BTreeSet},
    hash::Hash,
    sync::Arc,
};

use hashbrown::HashMap;
use jiff::Timestamp;
use serde::{Deserialize, Serialize, de::DeserializeOwned};

use super::{LiveError, document, key, ledger::Owner};
use crate::{
    bag::{NONE, NamedBall, NamedClub},
    shot::{
        Bag, BagId, Ball, BallId, Club, ClubId, Context, Player, PlayerId, Sequence, Source,
        SourceId,
    },
    store::{Change, Chunks},
};

const PLAYER: u8 = b'P';
const CLUB: u8 = b'C';
const BAG: u8 = b'G';
const BALL: u8 = b'L';
const SOURCE: u8 = b'S';
/// A player who has shots of a source.
const CUSTOMER: u8 = b'O';

/// One thing of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Entry<K, D> {
    /// Its id.
    pub id: K,
    /// What is said of it.
    pub document: D,
    /// The last sequence that changed this.
    pub as_of: Sequence,
    /// Whether it was taken out. Its number is not given away again.
    removed: bool,
}

/// Things of one kind by number and by id.
#[derive(Debug)]
struct Shelf<K, D> {
    entries: Vec<Entry<K, D>>,
    number_of: HashMap<K, u32>,
}

impl<K: Clone + Eq + Hash, D> Shelf<K, D> {
    fn new() -> Self {
        Self { entries: Vec::new(), number_of: HashMap::new() }
    }

    fn number(&self, id: &K) -> Option<u32> {
        self.number_of.get(id).copied()
    }

    fn get(&self, id: &K) -> Option<&Entry<K, D>> {
        self.entries.get(self.number(id)? as usize)
    }

    fn by_number(&self, number: u32) -> Option<&Entry<K, D>> {
        self.entries.get(number as usize)
    }

    fn listed(&self) -> Vec<&Entry<K, D>>
    where
        K: Ord,
    {
        let mut listed: Vec<_> = self.entries.iter().filter(|entry| !entry.removed).collect();
        listed.sort_by(|a, b| a.id.cmp(&b.id));
        listed
    }

    fn restore(&mut self, entry: Entry<K, D>) {
        if !entry.removed {
            let number = u32::try_from(self.entries.len()).unwrap_or(u32::MAX);
            self.number_of.insert(entry.id.clone(), number);
        }
        self.entries.push(entry);
    }

    /// The number of an id, with a bare entry made where there is none, and whether one was made.
    fn ensure(&mut self, id: &K, as_of: Sequence, bare: impl FnOnce(&K) -> D) -> (u32, bool) {
        if let Some(number) = self.number(id) {
            return (number, false);
        }
        let entry = Entry { id: id.clone(), document: bare(id), as_of, removed: false };
        self.restore(entry);
        (u32::try_from(self.entries.len() - 1).unwrap_or(u32::MAX), true)
    }

    fn remove(&mut self, id: &K, as_of: Sequence) -> Option<u32> {
        let number = self.number_of.remove(id)?;
        let entry = &mut self.entries[number as usize];
        (entry.removed, entry.as_of) = (true, as_of);
        Some(number)
    }
}

/// A player's own things.
#[derive(Debug, Default)]
struct Locker {
    clubs: Arc<Vec<NamedClub>>,
    club_as_of: Vec<Sequence>,
    bags: Vec<Entry<BagId, Bag>>,
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
    /// Clubs that its shots without a player name, by the number their rows use.
    pub clubs: Vec<ClubId>,
    /// Shots it has sent.
    pub shots: u64,
}

/// What is said of a ball, and how many shots name it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct BallState {
    /// What is said of it.
    pub document: Ball,
    /// Shots that were sent or inherited with it.
    pub shots: u64,
}

impl SourceState {
    fn bare(id: &SourceId) -> Self {
        Self {
            document: Source::bare(id),
            context: Context::default(),
            context_as_of: Sequence::new(0),
            newest: None,
            clubs: Vec::new(),
            shots: 0,
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
    customers: BTreeMap<u32, BTreeSet<u32>>,
    balls_as_of: Sequence,
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
            customers: BTreeMap::new(),
            balls_as_of: Sequence::new(0),
            changed: BTreeSet::new(),
        };
        for (_, player) in all(PLAYER, chunks)? {
            catalogue.players.restore(player);
            catalogue.lockers.push(Locker::default());
        }
        for (numbers, club) in all::<Entry<ClubId, Club>>(CLUB, chunks)? {
            let locker = catalogue.locker(numbers[0])?;
            locker.club_as_of.push(club.as_of);
            let named = NamedClub { id: club.id, document: club.document, removed: club.removed };
            Arc::make_mut(&mut locker.clubs).push(named);
        }
        for (numbers, bag) in all(BAG, chunks)? {
            catalogue.locker(numbers[0])?.bags.push(bag);
        }
        for (_, ball) in all::<Entry<BallId, BallState>>(BALL, chunks)? {
            catalogue.balls_as_of = catalogue.balls_as_of.max(ball.as_of);
            catalogue.balls.restore(ball);
        }
        for (_, source) in all(SOURCE, chunks)? {
            catalogue.sources.restore(source);
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

    // ---- players ----

    pub(super) fn player_number(&self, id: &PlayerId) -> Option<u32> {
        self.players.number(id)
    }

    pub(super) fn player_id(&self, number: u32) -> Option<&PlayerId> {
        self.players.by_number(number).map(|entry| &entry.id)
    }

    pub(super) fn player(&self, id: &PlayerId) -> Option<&Entry<PlayerId, Player>> {
        self.players.get(id)
    }

    pub(super) fn players(&self) -> Vec<&Entry<PlayerId, Player>> {
        self.players.listed()
    }

    pub(super) fn ensure_player(&mut self, id: &PlayerId, as_of: Sequence) -> u32 {
        let (number, made) = self.players.ensure(id, as_of, Player::bare);
        if made {
            self.lockers.push(Locker::default());
            self.change(PLAYER, number);
        }
        number
    }

    /// Replaces what is said of a player; says whether the player is new.
    pub(super) fn put_player(&mut self, id: &PlayerId, document: Player, at: Sequence) -> bool {
        let made = self.player_number(id).is_none();
        let number = self.ensure_player(id, at);
        let entry = &mut self.players.entries[number as usize];
        (entry.document, entry.as_of) = (document, at);
        self.change(PLAYER, number);
        made
    }

    pub(super) fn remove_player(&mut self, id: &PlayerId, at: Sequence) {
        if let Some(number) = self.players.remove(id, at) {
            self.change(PLAYER, number);
        }
    }

    // ---- clubs and bags ----

    /// A player's clubs by number.
    pub(super) fn clubs(&self, player: u32) -> Arc<Vec<NamedClub>> {
        self.lockers.get(player as usize).map(|locker| locker.clubs.clone()).unwrap_or_default()
    }

    pub(super) fn club_number(&self, player: u32, id: &ClubId) -> Option<u32> {
        let clubs = &self.lockers.get(player as usize)?.clubs;
        let number = clubs.iter().position(|club| club.id == *id && !club.removed)?;
        u32::try_from(number).ok()
    }

    /// The number that an owner's rows use for a club, given one where it has none.
    pub(super) fn club_of(&mut self, owner: Owner, id: &ClubId, at: Sequence) -> u32 {
        match owner {
            Owner::Player(player) => self.ensure_club(player, id, at),
            Owner::Source(source) => {
                let number = |state: &mut SourceState| {
                    let known = state.clubs.iter().position(|club| club == id);
                    let number = known.unwrap_or_else(|| {
                        state.clubs.push(id.clone());
                        state.clubs.len() - 1
                    });
                    u32::try_from(number).unwrap_or(NONE)
                };
                self.edit_source(source, number).unwrap_or(NONE)
            }
        }
    }

    /// The club that a number in an owner's rows stands for.
    pub(super) fn club_id(&self, owner: Owner, number: u32) -> Option<ClubId> {
        match owner {
            Owner::Player(player) => {
                let clubs = &self.lockers.get(player as usize)?.clubs;
                clubs.get(number as usize).map(|club| club.id.clone())
            }
            Owner::Source(source) => {
                let state = &self.sources.by_number(source)?.document;
                state.clubs.get(number as usize).cloned()
            }
        }
    }

    /// The number that an owner's rows use for a club, if it has one.
    pub(super) fn known_club(&self, owner: Owner, id: &ClubId) -> Option<u32> {
        match owner {
            Owner::Player(player) => self.club_number(player, id),
            Owner::Source(source) => {
                let clubs = &self.sources.by_number(source)?.document.clubs;
                u32::try_from(clubs.iter().position(|club| club == id)?).ok()
            }
        }
    }

    pub(super) fn club_as_of(&self, player: u32, club: u32) -> Option<Sequence> {
        self.lockers.get(player as usize)?.club_as_of.get(club as usize).copied()
    }

    pub(super) fn ensure_club(&mut self, player: u32, id: &ClubId, at: Sequence) -> u32 {
        if let Some(number) = self.club_number(player, id) {
            return number;
        }
        let Some(locker) = self.lockers.get_mut(player as usize) else { return 0 };
        let clubs = Arc::make_mut(&mut locker.clubs);
        clubs.push(NamedClub { id: id.clone(), document: Club::bare(id), removed: false });
        locker.club_as_of.push(at);
        let number = u32::try_from(clubs.len() - 1).unwrap_or(u32::MAX);
        self.change_part(CLUB, player, number);
        number
    }

    /// Replaces what is said of a club; says whether the club is new.
    pub(super) fn put_club(
        &mut self,
        player: u32,
        (id, document): (&ClubId, Club),
        at: Sequence,
    ) -> bool {
        let made = self.club_number(player, id).is_none();
        let number = self.ensure_club(player, id, at);
        self.edit_club(player, number, at, |club| club.document = document);
        made
    }

    pub(super) fn remove_club(&mut self, player: u32, id: &ClubId, at: Sequence) {
        if let Some(number) = self.club_number(player, id) {
            self.edit_club(player, number, at, |club| club.removed = true);
        }
    }

    fn edit_club(
        &mut self,
        player: u32,
        club: u32,
        at: Sequence,
        edit: impl FnOnce(&mut NamedClub),
    ) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        if let Some(named) = Arc::make_mut(&mut locker.clubs).get_mut(club as usize) {
            edit(named);
            locker.club_as_of[club as usize] = at;
            self.change_part(CLUB, player, club);
        }
    }

    pub(super) fn bags(&self, player: u32) -> Vec<&Entry<BagId, Bag>> {
        let bags = self.lockers.get(player as usize).map(|locker| &locker.bags);
        let mut bags: Vec<_> = bags.into_iter().flatten().filter(|bag| !bag.removed).collect();
        bags.sort_by(|a, b| a.id.cmp(&b.id));
        bags
    }

    pub(super) fn bag(&self, player: u32, id: &BagId) -> Option<&Entry<BagId, Bag>> {
        let bags = &self.lockers.get(player as usize)?.bags;
        bags.iter().find(|bag| bag.id == *id && !bag.removed)
    }

    /// Replaces a bag; says whether it is new.
    pub(super) fn put_bag(
        &mut self,
        player: u32,
        (id, document): (&BagId, Bag),
        at: Sequence,
    ) -> bool {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return false };
        let known = locker.bags.iter().position(|bag| bag.id == *id && !bag.removed);
        let number = known.unwrap_or(locker.bags.len());
        let entry = Entry { id: id.clone(), document, as_of: at, removed: false };
        match locker.bags.get_mut(number) {
            Some(bag) => *bag = entry,
            None => locker.bags.push(entry),
        }
        self.change_part(BAG, player, u32::try_from(number).unwrap_or(u32::MAX));
        known.is_none()
    }

    pub(super) fn remove_bag(&mut self, player: u32, id: &BagId, at: Sequence) {
        let Some(locker) = self.lockers.get_mut(player as usize) else { return };
        let known = locker.bags.iter().position(|bag| bag.id == *id && !bag.removed);
        if let Some(number) = known {
            let bag = &mut locker.bags[number];
            (bag.removed, bag.as_of) = (true, at);
            self.change_part(BAG, player, u32::try_from(number).unwrap_or(u32::MAX));
        }
    }

    // ---- balls ----

    /// All balls by number.
    pub(super) fn ball_list(&self) -> Arc<Vec<NamedBall>> {
        self.ball_list.clone()
    }

    /// The last sequence that changed any ball.
    pub(super) fn balls_as_of(&self) -> Sequence {
        self.balls_as_of
    }

    pub(super) fn ball(&self, id: &BallId) -> Option<&Entry<BallId, BallState>> {
        self.balls.get(id)
    }

    pub(super) fn balls(&self) -> Vec<&Entry<BallId, BallState>> {
        self.balls.listed()
    }

    pub(super) fn ball_number(&self, id: &BallId) -> Option<u32> {
        self.balls.number(id)
    }

    pub(super) fn ensure_ball(&mut self, id: &BallId, at: Sequence) -> u32 {
        let (number, made) = self.balls.ensure(id, at, BallState::bare);
        if made {
            self.balls_as_of = at;
            self.list_balls();
            self.change(BALL, number);
        }
        number
    }

    /// Counts a shot that names the ball.
    pub(super) fn count_ball(&mut self, number: u32) {
        if let Some(ball) = self.balls.entries.get_mut(number as usize) {
            ball.document.shots += 1;
            self.change(BALL, number);
        }
    }

    /// Replaces what is said of a ball; says whether the ball is new.
    pub(super) fn put_ball(&mut self, id: &BallId, document: Ball, at: Sequence) -> bool {
        let made = self.balls.number(id).is_none();
        let number = self.ensure_ball(id, at);
        let entry = &mut self.balls.entries[number as usize];
        (entry.document.document, entry.as_of, self.balls_as_of) = (document, at, at);
        self.list_balls();
        self.change(BALL, number);
        made
    }

    pub(super) fn remove_ball(&mut self, id: &BallId, at: Sequence) {
        if let Some(number) = self.balls.remove(id, at) {
            self.balls_as_of = at;
            self.list_balls();
            self.change(BALL, number);
        }
    }

    // ---- sources ----

    pub(super) fn source(&self, id: &SourceId) -> Option<&Entry<SourceId, SourceState>> {
        self.sources.get(id)
    }

    pub(super) fn source_number(&self, id: &SourceId) -> Option<u32> {
        self.sources.number(id)
    }

    pub(super) fn source_by_number(&self, number: u32) -> Option<&Entry<SourceId, SourceState>> {
        self.sources.by_number(number)
    }

    pub(super) fn sources(&self) -> Vec<&Entry<SourceId, SourceState>> {
        self.sources.listed()
    }

    pub(super) fn ensure_source(&mut self, id: &SourceId, at: Sequence) -> u32 {
        let (number, made) = self.sources.ensure(id, at, SourceState::bare);
        if made {
            self.change(SOURCE, number);
        }
        number
    }

    /// Changes what is remembered of a source.
    pub(super) fn edit_source<T>(
        &mut self,
        number: u32,
        edit: impl FnOnce(&mut SourceState) -> T,
    ) -> Option<T> {
        let entry = self.sources.entries.get_mut(number as usize)?;
        let answer = edit(&mut entry.document);
        self.change(SOURCE, number);
        Some(answer)
    }

    /// Replaces what is said of a source; says whether the source is new.
    pub(super) fn put_source(&mut self, id: &SourceId, document: Source, at: Sequence) -> bool {
        let made = self.source_number(id).is_none();
        let number = self.ensure_source(id, at);
        let entry = &mut self.sources.entries[number as usize];
        (entry.document.document, entry.as_of) = (document, at);
        self.change(SOURCE, number);
        made
    }

    pub(super) fn remove_source(&mut self, id: &SourceId, at: Sequence) {
        if let Some(number) = self.sources.remove(id, at) {
            self.change(SOURCE, number);
        }
    }

    /// Notes that an owner holds shots of a source.
    pub(super) fn note_customer(&mut self, source: u32, owner: Owner) {
        let code = owner.code();
        if self.customers.entry(source).or_default().insert(code) {
            self.change_part(CUSTOMER, source, code);
        }
    }

    /// Everybody who may hold shots of a source.
    pub(super) fn customers(&self, source: u32) -> Vec<Owner> {
        let codes = self.customers.get(&source).into_iter().flatten();
        codes.filter_map(|code| Owner::of_code(*code)).collect()
    }

    // ---- the store ----

    /// Everything that changed, for the store.
    pub(super) fn take_changes(&mut self, changes: &mut Vec<Change>) {
        for (kind, number, part) in std::mem::take(&mut self.changed) {
            let key = key::thing(kind, number, part);
            let (number, part) = (number as usize, part.unwrap_or_default() as usize);
            match kind {
                PLAYER => write(&key, self.players.entries.get(number), changes),
                BALL => write(&key, self.balls.entries.get(number), changes),
                SOURCE => write(&key, self.sources.entries.get(number), changes),
                CUSTOMER => document::write(&key, &(), changes),
                BAG => {
                    let bag = self.lockers[number].bags.get(part);
                    write(&key, bag, changes);
                }
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
    if let Some(entry) = entry {
        document::write(key, entry, changes);
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
