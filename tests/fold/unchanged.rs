//! What has not been touched has not changed: as long as the sequence that an answer is as of stays, so
//! does every byte of the answer. A client that shows the tag of an answer is told on this ground alone
//! that it has it already.

use std::collections::BTreeMap;

use evencarry::{
    bag::Filter,
    live::{DriftsWanted, LadderWanted, Live, ShotQuestion},
    shot::{ClubId, PlayerId, Sequence, ShotFilter, Units},
};
use proptest::prelude::*;

use crate::{Restartable, acts::steps, json, mixed, profiled, replacements, trials};

/// Every question that has a tag, with the sequence that its answer is as of, and the answer.
fn asked(live: &Live, upto: Sequence) -> BTreeMap<String, (Sequence, String)> {
    let mut all = BTreeMap::new();
    let list = |filter: ShotFilter| {
        let question = ShotQuestion { filter, upto, limit: 1_000, ..ShotQuestion::default() };
        let page = live.shots(&question).unwrap();
        let as_of = live.shots_as_of(&question).unwrap();
        assert_eq!(as_of, page.as_of);
        (as_of, format!("{:?}", page.shots))
    };
    all.insert(String::from("all shots"), list(ShotFilter::default()));
    for player in live.players().items.into_iter().map(|listed| listed.id) {
        let filter = ShotFilter { player: Some(player.clone()), ..ShotFilter::default() };
        all.insert(format!("shots of {player}"), list(filter));
        all.insert(format!("clubs of {player}"), of_player(live, &player));
        let (trials, as_of) = live.trials(&player).unwrap();
        all.insert(format!("trials of {player}"), (as_of, json(&trials)));
    }
    all
}

fn of_player(live: &Live, player: &PlayerId) -> (Sequence, String) {
    let as_of = live.player_as_of(player).unwrap();
    let clubs: Vec<ClubId> =
        live.clubs(player).unwrap().items.into_iter().map(|club| club.id).collect();
    let ladder = live.ladder(player, &LadderWanted::default()).unwrap();
    assert_eq!(ladder.as_of, as_of);
    for trial in live.trials(player).unwrap().0 {
        assert_eq!(live.trial(player, &trial.id, Units::default()).unwrap().as_of, as_of);
    }
    let mut text = json(&ladder) + &trials(live, player);
    text += &json(&live.drifts(player, &DriftsWanted::default()).unwrap());
    for club in &clubs {
        text += &json(&live.profile(player, club, profiled(&Filter::default())).unwrap());
        let to_fly = live.club_to_fly(player, club, &Filter::default()).unwrap();
        assert_eq!(to_fly.as_of(), as_of);
        let shots = format!("{:?}", to_fly.shots());
        text += &shots;
        text += &json(&replacements(live, player, club, &clubs));
        for other in clubs.iter().filter(|other| *other != club) {
            let (compared, to_fly) =
                live.comparison_to_fly(player, [club, other], &mixed()).unwrap();
            assert_eq!(to_fly.as_of(), as_of);
            let told = format!("{}{to_fly:?}", json(&compared));
            text += &told;
        }
    }
    (as_of, text)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn an_answer_whose_sequence_stays_stays_byte_by_byte(steps in steps()) {
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let mut kept = Restartable::new();
        let mut before = BTreeMap::new();
        for step in steps {
            runtime.block_on(kept.take(step));
            let now = asked(kept.store().projection(), kept.store().last());
            for (question, (as_of, answer)) in &now {
                if let Some((then, known)) = before.get(question).filter(|(then, _)| then == as_of) {
                    prop_assert_eq!(answer, known, "{} as of {}", question, then);
                }
            }
            before = now;
        }
    }
}
