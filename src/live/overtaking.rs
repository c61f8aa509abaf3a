//! What makes an export wrong that tells only of frames before it.

use std::collections::BTreeMap;

use super::ledger::Owner;
use crate::shot::Sequence;

/// The last frames that this process folded after which earlier ones are told otherwise.
#[derive(Debug, Default)]
pub(super) struct Overtaking {
    /// The last that took content away.
    taken_away: Sequence,
    /// The last by which an owner gave or got shots.
    handed_over: BTreeMap<Owner, Sequence>,
}

impl Overtaking {
    /// Notes that a frame took content away.
    pub(super) fn take_away(&mut self, at: Sequence) {
        self.taken_away = self.taken_away.max(at);
    }

    /// Notes that an owner gave or got shots by a frame.
    pub(super) fn hand_over(&mut self, owner: Owner, at: Sequence) {
        self.handed_over.insert(owner, at);
    }

    /// Whether frames up to `upto` are told otherwise by now: to everybody, or to who is told of one
    /// player alone.
    pub(super) fn is_after(&self, upto: Sequence, player: Option<u32>) -> bool {
        let handed_over = player.and_then(|player| self.handed_over.get(&Owner::Player(player)));
        self.taken_away > upto || handed_over.is_some_and(|at| *at > upto)
    }
}
