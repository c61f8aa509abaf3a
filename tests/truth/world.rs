//! One source and a few clubs over a store in memory.

use std::sync::{
    Arc,
    atomic::{AtomicU32, Ordering},
};

use bytes::Bytes;
use evencarry::{
    bag::{Brief, Comparison, ComparisonQuestion, Filter, PairToFly, Profile, Replacements},
    live::{
        Export, ExportError, LadderWanted, Live, PlaceWanted, Receipt, Refusal, ShotQuestion,
        ShotView,
    },
    shot::{
        Act, Assignment, Bag, BagId, Ball, BallId, Club, ClubId, Context, Correction, Document,
        Keyed, Player, PlayerId, Retirement, Sequence, ShotFilter, ShotSet, Source, SourceId,
        Subject,
    },
    store::{
        ActError, Batch, Chunks, Frame, NewShot, Projection, ReceiptWanted, ShotOutcome, Store,
        TableError,
    },
};
use serde_json::{Value, json};

/// Anything that has a name.
pub(crate) trait Named {
    fn named(text: &str) -> Self;
}

macro_rules! named {
    ($($Name:ident),+) => {$(
        impl Named for $Name {
            fn named(text: &str) -> Self {
                Self::parse(text).unwrap()
            }
        }
    )+};
}

named!(PlayerId, ClubId, BagId, BallId, SourceId);

pub(crate) fn id<N: Named>(text: &str) -> N {
    N::named(text)
}

/// A time of the day on which everything happens.
pub(crate) fn at(time: &str) -> String {
    let seconds = if time.len() == 5 { ":00" } else { "" };
    format!("2026-04-11T{time}{seconds}Z")
}

/// A shot with both speeds measured.
pub(crate) fn struck(ball_speed: f64) -> Value {
    json!({"launch": {"ball_speed_mps": ball_speed, "launch_angle_deg": 16.0},
           "clubhead": {"speed_mps": 37.0}})
}

/// A table that holds nothing.
struct Nothing;

impl Chunks for Nothing {
    fn get(&self, _: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(None)
    }

    fn prefix(&self, _: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(Vec::new())
    }
}

pub(crate) struct World {
    store: Store<Live>,
    shots: AtomicU32,
}

impl World {
    pub(crate) fn new() -> Self {
        let clock = Arc::new(|| "2026-04-20T12:00:00Z".parse().unwrap());
        let store = Store::in_memory(clock, |chunks| Ok(Live::load(chunks, usize::MAX).unwrap()));
        Self { store: store.unwrap(), shots: AtomicU32::new(0) }
    }

    /// Sends a plain shot of Rowan's 5-hybrid with some members replaced; null leaves one out.
    pub(crate) async fn shot(&self, members: Value) -> Receipt {
        let number = self.shots.fetch_add(1, Ordering::Relaxed);
        let mut event = json!({
            "id": format!("{number}"), "source": "bay", "time": at("10:00"),
            "player": "rowan", "club": "5h", "lie": "mat", "flight": {"carry_m": 158.0},
        });
        for (name, value) in members.as_object().unwrap() {
            if value.is_null() {
                event.as_object_mut().unwrap().remove(name);
            } else {
                event[name] = value.clone();
            }
        }
        let shot = NewShot::parse(event.to_string().into()).unwrap();
        let answers = self.store.append_shots(vec![shot], Batch::Each, ReceiptWanted::Yes);
        match answers.await.unwrap().pop().unwrap() {
            ShotOutcome::Stored { receipt, .. } => receipt.unwrap(),
            other => panic!("{other:?}"),
        }
    }

    /// Visits with six shots of the 5-hybrid and of a 4-utility that carries the same, lower and
    /// with less spin; the values are spread evenly about the means.
    pub(crate) async fn visits(&self, visits: u32, of_launch: impl Fn(&str) -> Value) {
        for visit in 1..=visits {
            for shot in 0..6_u32 {
                for (club, launch, spin) in [("5h", 16.8, 5_200.0), ("4u", 13.5, 4_200.0)] {
                    // A fixed pattern of deviations, different for each measure and club.
                    let turn =
                        f64::from((shot * 5 + visit * 3 + u32::from(club == "4u")) % 6) - 2.5;
                    let other = f64::from((shot * 7 + visit) % 6) - 2.5;
                    let mut launch = json!({
                        "ball_speed_mps": 52.0 + turn / 10.0,
                        "launch_angle_deg": launch + other / 2.5,
                        "spin_rate_rpm": spin + turn * 120.0,
                    });
                    for (name, value) in of_launch(club).as_object().unwrap() {
                        launch[name] = value.clone();
                    }
                    self.shot(json!({
                        "club": club, "session": visit.to_string(), "launch": launch,
                        "flight": {"carry_m": 158.0 + other * 2.0, "origin": "tracked"},
                    }))
                    .await;
                }
            }
        }
    }

    async fn act(&self, act: Act) -> Result<Receipt, Refusal> {
        match self.store.append_act(act).await {
            Ok((_, receipt)) => Ok(receipt),
            Err(ActError::Refused(refusal)) => Err(refusal),
            Err(other) => panic!("{other}"),
        }
    }

    pub(crate) async fn correct(&self, shot: u64, patch: Value) {
        self.correct_told(shot, patch).await;
    }

    /// The same, and what is told of it.
    pub(crate) async fn correct_told(&self, shot: u64, patch: Value) -> Receipt {
        let patch = Correction::from_json(patch.to_string().as_bytes()).unwrap();
        self.act(Act::Correct { shot: Sequence::new(shot), patch }).await.unwrap()
    }

    /// A fold from the start of some stored frames in another order, as another program might have
    /// stored them.
    pub(crate) fn folded_in_order(&self, order: &[u64]) -> Live {
        let live = Live::load(Arc::new(Nothing), usize::MAX).unwrap();
        for (at, stored) in (1..).zip(order) {
            let frame = self.store.scan(Sequence::new(*stored), 1).unwrap().remove(0);
            live.absorb(&Frame { sequence: Sequence::new(at), ..frame });
        }
        live
    }

    pub(crate) async fn assign(&self, assignment: Value) -> Result<Receipt, Refusal> {
        let Assignment { filter, set, .. } =
            Assignment::from_json(assignment.to_string().as_bytes()).unwrap();
        let shots = self.store.projection().find(&filter)?;
        self.assign_these(filter, shots, set).await
    }

    /// What was found for a filter a while ago is assigned only now.
    pub(crate) async fn assign_these(
        &self,
        filter: ShotFilter,
        shots: ShotSet,
        set: Correction,
    ) -> Result<Receipt, Refusal> {
        self.act(Act::Assign { filter: Box::new(filter), shots, set, left: Vec::new() }).await
    }

    /// The sequences that a filter finds.
    pub(crate) fn find(&self, filter: Value) -> ShotSet {
        self.store.projection().find(&serde_json::from_value(filter).unwrap()).unwrap()
    }

    pub(crate) async fn erase(&self, shot: u64) {
        self.act(Act::EraseShot { shot: Sequence::new(shot) }).await.unwrap();
    }

    pub(crate) async fn erase_player(&self, player: &str) {
        let player = Keyed::of_player(*self.store.store_id().bytes(), &id(player));
        self.act(Act::ErasePlayer { player }).await.unwrap();
    }

    pub(crate) async fn player(&self, player: &str) {
        let document = Player::from_json(br#"{"name": "Somebody"}"#).unwrap();
        self.act(Act::Put(Document::Player { player: id(player), document })).await.unwrap();
    }

    /// The players there are.
    pub(crate) fn players(&self) -> Vec<String> {
        let listed = self.store.projection().players().items.into_iter();
        listed.map(|player| player.id.to_string()).collect()
    }

    /// Begins an export of everything, or of one player's.
    pub(crate) fn export(&self, player: Option<&str>) -> Export {
        self.export_upto(self.last(), player)
    }

    /// The same, of the frames up to one.
    pub(crate) fn export_upto(&self, upto: u64, player: Option<&str>) -> Export {
        let (salt, player) = (*self.store.store_id().bytes(), player.map(id));
        let upto = Sequence::new(upto);
        self.store.projection().export((salt, upto), player.as_ref()).unwrap()
    }

    /// What an export tells of a frame.
    pub(crate) fn told(&self, export: &Export, frame: u64) -> Result<Frame, ExportError> {
        let frame = self.store.scan(Sequence::new(frame), 1).unwrap().remove(0);
        self.store.projection().told(export, frame)
    }

    pub(crate) async fn retire(&self, filter: Value) {
        let text = json!({"filter": filter}).to_string();
        let filter = Box::new(Retirement::from_json(text.as_bytes()).unwrap().filter);
        let shots = self.store.projection().find(&filter).unwrap();
        self.act(Act::Retire { filter, shots }).await.unwrap();
    }

    pub(crate) async fn context(&self, context: Value) {
        let context = Context::from_json(context.to_string().as_bytes()).unwrap();
        self.act(Act::SetContext { source: id("bay"), context }).await.unwrap();
    }

    pub(crate) async fn source(&self, document: Value) {
        let document = Source::from_json(document.to_string().as_bytes()).unwrap();
        self.act(Act::Put(Document::Source { source: id("bay"), document })).await.unwrap();
    }

    pub(crate) async fn club(&self, club: &str, document: Value) {
        let document = Club::from_json(document.to_string().as_bytes()).unwrap();
        let (player, club) = (id("rowan"), id(club));
        self.act(Act::Put(Document::Club { player, club, document })).await.unwrap();
    }

    pub(crate) async fn bag(&self, bag: &str, clubs: &[&str]) {
        let document = json!({"name": bag, "clubs": clubs}).to_string();
        let document = Bag::from_json(document.as_bytes()).unwrap();
        let (player, bag) = (id("rowan"), id(bag));
        self.act(Act::Put(Document::Bag { player, bag, document })).await.unwrap();
    }

    pub(crate) async fn remove_club(&self, club: &str) -> Result<Receipt, Refusal> {
        self.act(Act::Remove(Subject::Club(id("rowan"), id(club)))).await
    }

    pub(crate) async fn ball(&self, ball: &str) {
        let document = Ball::from_json(br#"{"name": "a ball"}"#).unwrap();
        self.act(Act::Put(Document::Ball { ball: id(ball), document })).await.unwrap();
    }

    pub(crate) async fn remove_ball(&self, ball: &str) -> Result<Receipt, Refusal> {
        self.act(Act::Remove(Subject::Ball(id(ball)))).await
    }

    /// Sends plain shots in one go.
    pub(crate) async fn many(&self, shots: u32) {
        let from = self.shots.fetch_add(shots, Ordering::Relaxed);
        let new = |number: u32| {
            let event = json!({
                "id": format!("{number}"), "source": "bay", "time": at("10:00"),
                "player": "rowan", "club": "5h", "flight": {"carry_m": 158.0},
            });
            NewShot::parse(event.to_string().into()).unwrap()
        };
        let shots = (from..from + shots).map(new).collect();
        self.store.append_shots(shots, Batch::Each, ReceiptWanted::No).await.unwrap();
    }

    /// The newest shots of a listing.
    pub(crate) fn newest(&self, limit: usize) -> Vec<Sequence> {
        let upto = self.store.last();
        let question = ShotQuestion { newest_first: true, upto, limit, ..ShotQuestion::default() };
        let page = self.store.projection().shots(&question).unwrap();
        page.shots.iter().map(|shot| shot.sequence).collect()
    }

    pub(crate) fn is_stored(&self, shot: Sequence) -> bool {
        self.store.read(shot).unwrap().is_some()
    }

    pub(crate) fn sees(&self, shot: u64) -> bool {
        self.store.projection().shot(Sequence::new(shot)).unwrap().is_some()
    }

    pub(crate) fn last(&self) -> u64 {
        self.store.last().get()
    }

    pub(crate) fn view(&self, shot: u64) -> ShotView {
        self.store.projection().shot(Sequence::new(shot)).unwrap().unwrap()
    }

    /// The sequences of all pages of a listing, one after the other.
    pub(crate) fn pages(
        &self,
        filter: &Value,
        (limit, work): (usize, usize),
        newest_first: bool,
    ) -> Vec<u64> {
        let filter: ShotFilter = serde_json::from_value(filter.clone()).unwrap();
        let mut question =
            ShotQuestion { filter, newest_first, limit, work, ..ShotQuestion::default() };
        let mut listed = Vec::new();
        loop {
            let page = self.store.projection().shots(&question).unwrap();
            assert!(page.shots.len() <= limit);
            listed.extend(page.shots.iter().map(|shot| shot.sequence.get()));
            assert!(page.next.is_none() || page.next != question.beyond, "no way on");
            question.beyond = page.next;
            if page.next.is_none() {
                return listed;
            }
        }
    }

    pub(crate) fn profile(&self, club: &str, filter: &Filter) -> Profile {
        self.store.projection().profile(&id("rowan"), &id(club), filter).unwrap()
    }

    /// A ladder's `as_of` and its rungs; none before the player is there.
    pub(crate) fn ladder(&self, bag: Option<&str>) -> Option<(u64, usize)> {
        let wanted = LadderWanted { bag: bag.map(id), ..LadderWanted::default() };
        let ladder = self.store.projection().ladder(&id("rowan"), &wanted).ok()?;
        Some((ladder.as_of.get(), ladder.rungs.len()))
    }

    pub(crate) fn comparison(
        &self,
        incumbent: &str,
        candidate: &str,
        filter: &Filter,
    ) -> Comparison {
        let clubs = [&id(incumbent), &id(candidate)];
        self.store.projection().comparison(&id("rowan"), clubs, filter).unwrap()
    }

    /// Two clubs gathered to be flown in weather.
    pub(crate) fn to_fly(&self, incumbent: &str, candidate: &str) -> PairToFly {
        let clubs = [&id(incumbent), &id(candidate)];
        let question = ComparisonQuestion::from(&Filter::default());
        self.store.projection().comparison_to_fly(&id("rowan"), clubs, &question).unwrap().1
    }

    pub(crate) fn replacements(
        &self,
        incumbent: &str,
        candidates: &[&str],
        brief: &Brief,
    ) -> Replacements {
        let wanted = PlaceWanted {
            candidates: candidates.iter().map(|club| id(club)).collect(),
            brief: brief.clone(),
            ..PlaceWanted::of(id(incumbent))
        };
        self.store.projection().replacements(&id("rowan"), &wanted).unwrap()
    }
}
