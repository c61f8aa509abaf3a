//! The state of the service is a pure fold over the journal's frames: any acts, cut by any
//! restarts and dropped from memory at any time, give the answers of folding them from the start.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod acts;
mod gone;
mod season;
mod unchanged;

use std::sync::Arc;

use acts::{Step, steps};
use bytes::Bytes;
use evencarry::{
    bag::{
        Brief, Calendar, CarryAir, ComparisonQuestion, Filter, HistoryPart, Mix, Period,
        ProfileQuestion,
    },
    live::{DriftsWanted, LadderWanted, Live, PlaceWanted, ShotQuestion},
    shot::{
        Act, Assignment, ClubId, Correction, Height, Lie, PlayerId, Sequence, Shape, ShotFilter,
        Subject, Swing, Units, zone_of_name,
    },
    store::{
        Batch, Chunks, Frame, Home, MemoryDisk, MemoryTables, NewShot, Projection, ReceiptWanted,
        Store, StoreId, TableError,
    },
};
use proptest::prelude::*;

/// A table that holds nothing: a fold that starts here starts from the start.
struct Nothing;

impl Chunks for Nothing {
    fn get(&self, _: &[u8]) -> Result<Option<Bytes>, TableError> {
        Ok(None)
    }

    fn prefix(&self, _: &[u8]) -> Result<Vec<(Bytes, Bytes)>, TableError> {
        Ok(Vec::new())
    }
}

/// A store in memory that can be closed and opened again.
struct Restartable {
    disk: Arc<MemoryDisk>,
    tables: Arc<MemoryTables>,
    store: Option<Store<Live>>,
}

impl Restartable {
    fn new() -> Self {
        let (disk, tables) = (Arc::new(MemoryDisk::default()), Arc::new(MemoryTables::default()));
        let mut new = Self { disk, tables, store: None };
        new.open();
        new
    }

    fn open(&mut self) {
        let home = Home {
            disk: self.disk.clone(),
            tables: self.tables.clone(),
            clock: Arc::new(|| "2026-04-20T12:00:00Z".parse().unwrap()),
            new_id: StoreId::from_bytes(gone::STORE),
        };
        let live = |chunks| Ok(Live::load(chunks, acts::ROWS_KEPT).unwrap());
        self.store = Some(Store::open(home, live).unwrap().0);
    }

    fn restart(&mut self) {
        let _ = self.store.take().unwrap().close();
        self.open();
    }

    fn store(&self) -> &Store<Live> {
        self.store.as_ref().unwrap()
    }

    async fn take(&mut self, step: Step) {
        match step {
            Step::Restart => self.restart(),
            Step::Ask => drop(answers(self.store().projection())),
            Step::Shots(texts) => {
                let new = |text: String| NewShot::parse(text.into()).unwrap();
                let shots = texts.into_iter().map(new).collect();
                let wanted = ReceiptWanted::Yes;
                self.store().append_shots(shots, Batch::Each, wanted).await.unwrap();
            }
            Step::Assign(assignment) => {
                let Assignment { filter, set, .. } = *assignment;
                let shots = self.store().projection().find(&filter).unwrap();
                let act = Act::Assign { filter: Box::new(filter), shots, set, left: Vec::new() };
                // Refused where it names a player who was erased.
                let _ = self.store().append_act(act).await;
            }
            Step::Retire(retirement) => {
                let filter = Box::new(retirement.filter);
                let shots = self.store().projection().find(&filter).unwrap();
                self.store().append_act(Act::Retire { filter, shots }).await.unwrap();
            }
            Step::Trial(player, which, patch) => {
                let trials = self.store().projection().trials(&player);
                let trials = trials.map(|(trials, _)| trials).unwrap_or_default();
                let Some(trial) = trials.into_iter().nth(which) else { return };
                let trial = trial.id;
                let act = match patch {
                    Some(patch) => Act::ChangeTrial { player, trial, patch },
                    None => Act::Remove(Subject::Trial(player, trial)),
                };
                self.store().append_act(act).await.unwrap();
            }
            Step::Act(act) => {
                // What may not happen leaves no frame; that is the store's to say.
                let _ = self.store().append_act(*act).await;
            }
        }
    }
}

/// Every answer there is, as text.
fn answers(live: &Live) -> String {
    let mut text = String::new();
    let mut note = |answer: String| {
        text.push_str(&answer);
        text.push('\n');
    };
    for listed in live.players().items {
        let player = listed.id;
        note(json(&live.clubs(&player).unwrap()));
        let filter = ShotFilter { player: Some(player.clone()), ..ShotFilter::default() };
        let of_player = ShotQuestion { filter, ..ShotQuestion::default() };
        note(json(&live.shots_as_of(&of_player).unwrap()));
        let bags = live.bags(&player).unwrap();
        note(json(&bags));
        for bag in &bags.items {
            note(json(&live.bag_changes(&player, &bag.id).unwrap()));
        }
        note(trials(live, &player));
        note(json(&live.ladder(&player, &LadderWanted::default()).unwrap()));
        note(json(&live.drifts(&player, &DriftsWanted::default()).unwrap()));
        let clubs: Vec<ClubId> =
            live.clubs(&player).unwrap().items.into_iter().map(|club| club.id).collect();
        for club in &clubs {
            note(json(&live.profile(&player, club, profiled(&Filter::default())).unwrap()));
            let to_fly = live.club_to_fly(&player, club, &Filter::default()).unwrap();
            note(format!("{} {:?}", to_fly.as_of(), to_fly.shots()));
            let on_mat = Filter { lie: Some(Lie::Mat), ..Filter::default() };
            note(json(&live.profile(&player, club, &on_mat).unwrap()));
            let taken = ProfileQuestion { air: CarryAir::Reference, ..profiled(&on_mat) };
            note(json(&live.profile(&player, club, taken).unwrap()));
            let since = "2026-04-03T00:00:00Z".parse().ok();
            let lately = Filter { from: since, ..Filter::default() };
            note(json(&live.profile(&player, club, profiled(&lately)).unwrap()));
            let low = lately.with_intent(Height::Low, Shape::Straight, Swing::Full);
            note(json(&live.profile(&player, club, &low).unwrap()));
            note(json(&replacements(live, &player, club, &clubs)));
            for other in clubs.iter().filter(|other| *other != club) {
                note(json(&live.comparison(&player, [club, other], mixed()).unwrap()));
                let (_, to_fly) = live.comparison_to_fly(&player, [club, other], &mixed()).unwrap();
                note(without_numbers_of_balls(&format!("{to_fly:?}")));
            }
        }
    }
    note(json(&live.balls()));
    note(json(&live.sources()));
    note(json(&live.csv_mappings()));
    for newest_first in [false, true] {
        let question = ShotQuestion { newest_first, limit: 1_000, ..ShotQuestion::default() };
        let page = live.shots(&question).unwrap();
        for shot in page.shots {
            note(format!("{shot:?}"));
        }
    }
    text
}

/// A ball's number is the fold's own: what an export tells leaves balls out that nothing has any more, and
/// its fold numbers the others anew.
fn without_numbers_of_balls(text: &str) -> String {
    let mut parts = text.split(" ball: ");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |told, part| {
        told + " ball: _" + part.trim_start_matches(|letter: char| letter.is_ascii_digit())
    })
}

/// Every trial of a player, and how its evidence grew.
fn trials(live: &Live, player: &PlayerId) -> String {
    let listed = live.trials(player).unwrap();
    let mut text = json(&listed);
    for trial in listed.0 {
        text += &json(&live.trial(player, &trial.id, Units::default()).unwrap());
        let part = HistoryPart { after: Sequence::default(), limit: 1_000 };
        let history = live.trial_history(player, &trial.id, part).unwrap();
        text += &json(&(history.criteria, history.items));
    }
    text
}

/// Anything as JSON.
fn json<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap()
}

/// A comparison over a mix of the lies that there are.
fn mixed() -> ComparisonQuestion {
    let mix = Mix::of(vec![(Lie::Mat, 70.0), (Lie::Fairway, 30.0)]);
    ComparisonQuestion { mix, ..ComparisonQuestion::from(&Filter::default()) }
}

/// A profile month by month, where days begin elsewhere than in UTC.
fn profiled(filter: &Filter) -> ProfileQuestion {
    let zone = zone_of_name("Asia/Kathmandu").unwrap();
    let calendar = Some(Calendar { by: Period::Month, zone });
    ProfileQuestion { calendar, ..filter.into() }
}

fn replacements(
    live: &Live,
    player: &PlayerId,
    incumbent: &ClubId,
    clubs: &[ClubId],
) -> [evencarry::bag::Replacements; 4] {
    let others: Vec<ClubId> = clubs.iter().filter(|club| *club != incumbent).cloned().collect();
    let usual = Brief { must_carry_m: Some(150.0), ..Brief::default() };
    let slot = Brief {
        slot_low_m: Some(140.0),
        slot_high_m: Some(165.0),
        carry_kept_in_wind_by_m: Some(5.0),
        launch_floor_computed: true,
        ..Brief::default()
    };
    let asked = [
        (Vec::new(), &usual, None),
        (others.clone(), &usual, None),
        (others.clone(), &slot, None),
        (others, &slot, Some(CarryAir::Reference)),
    ];
    asked.map(|(candidates, brief, air)| {
        let wanted = PlaceWanted {
            candidates,
            brief: brief.clone(),
            air,
            bag: live.bags(player).unwrap().items.into_iter().next().map(|bag| bag.id),
            mix: mixed().mix,
            ..PlaceWanted::of(incumbent.clone())
        };
        live.replacements(player, &wanted).unwrap()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn any_acts_and_any_restarts_give_the_answers_of_a_fresh_fold(steps in steps()) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let mut kept = Restartable::new();
        runtime.block_on(async {
            for step in steps {
                kept.take(step).await;
            }
        });
        let expected = answers(&fresh_fold(kept.store()));
        prop_assert_eq!(&answers(kept.store().projection()), &expected);
        kept.restart();
        prop_assert_eq!(&answers(kept.store().projection()), &expected);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]

    #[test]
    fn what_an_export_tells_folds_to_the_same_answers(steps in steps()) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let mut kept = Restartable::new();
        runtime.block_on(async {
            for step in steps {
                kept.take(step).await;
            }
        });
        let told = told_fold(kept.store());
        prop_assert_eq!(answers(&told), answers(kept.store().projection()));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn an_export_of_one_player_names_no_other(steps in steps()) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let mut kept = Restartable::new();
        runtime.block_on(async {
            for step in steps {
                kept.take(step).await;
            }
        });
        for [player, other] in [acts::PLAYERS, [acts::PLAYERS[1], acts::PLAYERS[0]]] {
            for frame in told(kept.store(), Some(player)) {
                let text = format!("{frame:?}");
                prop_assert!(!text.contains(other), "of {}: {}", player, text);
            }
        }
    }
}

/// What an export tells of each frame, of everything or of one player's; nothing of nobody's.
fn told(store: &Store<Live>, player: Option<&str>) -> Vec<Frame> {
    let live = store.projection();
    let player = player.map(|player| PlayerId::parse(player).unwrap());
    let Ok(export) = live.export((gone::STORE, store.last()), player.as_ref()) else {
        return Vec::new();
    };
    let mut told = Vec::new();
    let mut next = Sequence::new(1);
    while next <= store.last() {
        for frame in store.scan(next, 10_000).unwrap() {
            next = Sequence::new(frame.sequence.get() + 1);
            told.push(live.told(&export, frame).unwrap());
        }
    }
    told
}

/// A fold of what an export of everything tells of each frame.
fn told_fold(store: &Store<Live>) -> Live {
    let fresh = Live::load(Arc::new(Nothing), usize::MAX).unwrap();
    for frame in told(store, None) {
        fresh.absorb(&frame);
    }
    fresh
}

/// A fold of all frames of a store from the start.
fn fresh_fold(store: &Store<Live>) -> Live {
    let fresh = Live::load(Arc::new(Nothing), usize::MAX).unwrap();
    let mut next = Sequence::new(1);
    while next <= store.last() {
        for frame in store.scan(next, 10_000).unwrap() {
            next = Sequence::new(frame.sequence.get() + 1);
            fresh.absorb(&frame);
        }
    }
    fresh
}

#[test]
fn an_owner_that_was_dropped_from_memory_comes_back_as_it_was() {
    let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
    let mut kept = Restartable::new();
    let players = ["ann", "bo", "cy", "di", "ed", "flo"];
    runtime.block_on(async {
        for round in 0..12_u32 {
            let player = players[round as usize % players.len()];
            let shots =
                (0..700).map(|shot| acts::plain_shot(player, round * 1_000 + shot)).collect();
            kept.take(Step::Shots(shots)).await;
            // A shot of a player who may have been dropped meanwhile.
            let old = Sequence::new(1 + 350 * u64::from(round));
            let patch = Correction::from_json(br#"{"lie": "sand"}"#).unwrap();
            kept.take(Step::Act(Box::new(Act::Correct { shot: old, patch }))).await;
        }
    });
    let held = kept.store().projection().rows_in_memory();
    assert!(held < 12 * 700, "nothing was dropped: {held} rows are in memory");
    let expected = answers(&fresh_fold(kept.store()));
    assert_eq!(answers(kept.store().projection()), expected);
    kept.restart();
    assert_eq!(answers(kept.store().projection()), expected);
}
