//! The trade's rule that this program is for: loft does not tell which club replaces another,
//! shots do. Common practice, no source.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod doubt;
mod golfer;
mod other_club;

use std::sync::Arc;

use evencarry::{
    bag::{CriterionState, Ladder, Replacements, VerdictWord},
    live::{LadderWanted, Live, PlaceWanted},
    shot::{Act, Club, ClubId, Document, Player, PlayerId},
    store::{Batch, NewShot, ReceiptWanted, Store},
};
use serde_json::json;

/// Metres in a yard, from the definition.
const YARD: f64 = 0.9144;

/// What a club does in the mean: carry in yards, launch in degrees, spin in rpm.
#[derive(Clone, Copy)]
struct Flight(f64, f64, f64);

/// The trusted club flies high; the stronger one carries the same, lower and with less spin.
const WEAKER: (&str, Flight) = ("weaker", Flight(187.0, 15.6, 4_700.0));
const STRONGER: (&str, Flight) = ("stronger", Flight(188.0, 12.6, 3_700.0));

/// Small deviates with mean 0 and sd 1, from a linear congruential generator with the constants of
/// Knuth's MMIX: twelve uniforms, summed.
struct Deviates(u64);

impl Deviates {
    fn next(&mut self) -> f64 {
        let mut sum = -6.0;
        for _ in 0..12 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            sum += f64::from(u32::try_from(self.0 >> 32).unwrap()) / f64::from(u32::MAX);
        }
        sum
    }
}

struct Range {
    store: Store<Live>,
    player: PlayerId,
}

impl Range {
    /// Sixteen visits with six shots of each club, hit in turn.
    async fn with_shots() -> Self {
        let clock = Arc::new(|| "2026-10-01T12:00:00Z".parse().unwrap());
        let live = |chunks| Ok(Live::load(chunks, usize::MAX).unwrap());
        let store = Store::in_memory(clock, live).unwrap();
        let mut deviates = Deviates(7);
        let mut shots = Vec::new();
        for visit in 1..=16 {
            for shot in 0..6 {
                for (club, flight) in [WEAKER, STRONGER] {
                    shots.push(event(visit, shot, club, flight, &mut deviates));
                }
            }
        }
        store.append_shots(shots, Batch::Each, ReceiptWanted::No).await.unwrap();
        Self { store, player: PlayerId::parse("rowan").unwrap() }
    }

    async fn stamp(&self, weaker_deg: f64, stronger_deg: f64) {
        let player = self.player.clone();
        let document = Player::from_json(br#"{"name": "Rowan"}"#).unwrap();
        let act = Act::Put(Document::Player { player, document });
        self.store.append_act(act).await.unwrap();
        for (club, loft) in [("weaker", weaker_deg), ("stronger", stronger_deg)] {
            let document = json!({"name": club, "kind": "hybrid", "loft_deg": loft}).to_string();
            let document = Club::from_json(document.as_bytes()).unwrap();
            let (player, club) = (self.player.clone(), ClubId::parse(club).unwrap());
            let act = Act::Put(Document::Club { player, club, document });
            self.store.append_act(act).await.unwrap();
        }
    }

    fn replacements(&self) -> Replacements {
        let wanted = PlaceWanted::of(ClubId::parse("weaker").unwrap());
        self.store.projection().replacements(&self.player, &wanted).unwrap()
    }

    fn ladder(&self) -> Ladder {
        self.store.projection().ladder(&self.player, &LadderWanted::default()).unwrap()
    }
}

fn event(
    visit: u32,
    shot: u32,
    club: &str,
    Flight(carry_yd, launch, spin): Flight,
    deviates: &mut Deviates,
) -> NewShot {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let text = json!({
        "id": format!("{visit}-{shot}-{club}"), "source": "bay-1", "player": "rowan", "club": club,
        "time": format!("2026-09-{visit:02}T10:{:02}:00Z", shot * 3),
        "lie": "mat", "ball": "range-b",
        "launch": {
            "ball_speed_mps": tenth(deviates.next().mul_add(0.5, 60.0)),
            "launch_angle_deg": tenth(deviates.next().mul_add(1.1, launch)),
            "spin_rate_rpm": deviates.next().mul_add(300.0, spin).round(),
        },
        "flight": {"carry_m": tenth(deviates.next().mul_add(5.5, carry_yd) * YARD), "origin": "tracked"},
    });
    NewShot::parse(text.to_string().into()).unwrap()
}

fn ids(clubs: &[ClubId]) -> Vec<&str> {
    clubs.iter().map(ClubId::as_str).collect()
}

#[tokio::test]
async fn two_clubs_two_degrees_apart_that_carry_the_same_are_a_replacement_pair_by_their_shots() {
    let range = Range::with_shots().await;
    range.stamp(21.0, 19.0).await;
    let ladder = range.ladder();
    for rung in &ladder.rungs {
        let carry = rung.metrics.0[0].1.centre.unwrap() / YARD;
        assert!((185.0..=190.0).contains(&carry), "{} carries {carry} yd", rung.club);
    }
    let replacements = range.replacements();
    let [candidate] = replacements.candidates.as_slice() else {
        panic!("the one neighbour is judged: {replacements:?}");
    };
    assert_eq!(candidate.club.as_str(), "stronger");
    assert_eq!(candidate.verdict, VerdictWord::Replaces, "{candidate:#?}");
    assert!(candidate.family.holds);
    let proven = candidate.criteria.iter().filter(|c| c.state == CriterionState::Met).count();
    assert_eq!(proven, 5, "carry, launch, spin, and two of not too low");
    let [inversion] = ladder.inversions.as_slice() else {
        panic!("the ladder says that loft and carry disagree: {ladder:?}");
    };
    assert_eq!(ids(&inversion.clubs), ["stronger", "weaker"]);
    assert!(inversion.loft_deg[0] < inversion.loft_deg[1]);
}

#[tokio::test]
async fn lofts_swapped_in_the_catalogue_change_the_ladders_case_and_no_verdict() {
    let range = Range::with_shots().await;
    range.stamp(21.0, 19.0).await;
    let by_shots = range.replacements();
    range.stamp(19.0, 21.0).await;
    let swapped = range.replacements();
    let verdicts = |answer: &Replacements| -> Vec<_> {
        answer
            .candidates
            .iter()
            .map(|one| (one.club.clone(), one.verdict, one.criteria.clone()))
            .collect()
    };
    assert_eq!(verdicts(&swapped), verdicts(&by_shots));
    let ladder = range.ladder();
    assert_eq!(ids(&ladder.inversions[0].clubs), ["weaker", "stronger"]);
}
