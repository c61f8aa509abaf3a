//! Acts that take content away.

use evencarry::shot::{Act, Assignment, Document, Keyed, Player, PlayerId, Retirement};
use proptest::prelude::*;
use serde_json::json;

use crate::acts::{FLAGS, PLAYERS, SOURCES, Step, one, shot};

/// The id of whichever store erases.
pub(crate) const STORE: [u8; 16] = [9; 16];

pub(crate) fn erasure() -> impl Strategy<Value = Act> {
    one(&PLAYERS).prop_map(erasure_of)
}

fn erasure_of(player: &str) -> Act {
    let player = PlayerId::parse(player).unwrap();
    Act::ErasePlayer { player: Keyed::of_player(STORE, &player) }
}

pub(crate) fn retirement() -> impl Strategy<Value = Retirement> {
    let which = (prop::option::of(one(&SOURCES)), 1..6_u32, prop::option::of(one(&FLAGS)));
    which.prop_map(|(source, day, flag)| {
        let mut filter = json!({"to": format!("2026-04-{day:02}T00:00:00Z")});
        for (name, value) in [("source", source), ("flag", flag)] {
            if let Some(value) = value {
                filter[name] = json!(value);
            }
        }
        let text = json!({"filter": filter}).to_string();
        Retirement::from_json(text.as_bytes()).unwrap()
    })
}

/// Somebody is erased while a bay goes on sending under the name. Half the time they are put anew at
/// once; what waits is given to them or to another; and perhaps they are erased again.
pub(crate) fn while_a_bay_goes_on() -> impl Strategy<Value = Vec<Step>> {
    let shots = prop::collection::vec(shot(), 0..8);
    let (anew, again) = (any::<bool>(), any::<bool>());
    (one(&PLAYERS), shots, anew, one(&PLAYERS), again).prop_map(
        |(player, shots, anew, to, again)| {
            let act = |act| Step::Act(Box::new(act));
            let erase = act(erasure_of(player));
            let mut steps = vec![erase.clone(), Step::Shots(shots)];
            if anew {
                let document = Player::from_json(br#"{"name": "Somebody"}"#).unwrap();
                let player = PlayerId::parse(player).unwrap();
                steps.push(act(Act::Put(Document::Player { player, document })));
            }
            let text = json!({"filter": {"unassigned": true}, "set": {"player": to}}).to_string();
            steps.push(Step::Assign(Box::new(Assignment::from_json(text.as_bytes()).unwrap())));
            if again {
                steps.push(erase);
            }
            steps
        },
    )
}
