//! Balls.

use std::sync::Arc;

use super::{BALL, BallState, Catalogue, Entry};
use crate::{
    bag::NamedBall,
    shot::{Ball, BallId, Sequence},
};

impl Catalogue {
    /// All balls by number.
    pub(in crate::live) fn ball_list(&self) -> Arc<Vec<NamedBall>> {
        self.ball_list.clone()
    }

    /// The last sequence that changed any ball.
    pub(in crate::live) fn balls_as_of(&self) -> Sequence {
        self.balls_as_of
    }

    pub(in crate::live) fn ball(&self, id: &BallId) -> Option<&Entry<BallId, BallState>> {
        self.balls.get(id)
    }

    pub(in crate::live) fn balls(&self) -> Vec<&Entry<BallId, BallState>> {
        self.balls.listed()
    }

    pub(in crate::live) fn ball_number(&self, id: &BallId) -> Option<u32> {
        self.balls.number(id)
    }

    pub(in crate::live) fn ensure_ball(&mut self, id: &BallId, at: Sequence) -> u32 {
        let (number, made) = self.balls.ensure(id, at, BallState::bare);
        if made {
            self.note_ball(number, at);
        }
        number
    }

    /// Brings the list of balls up to what is said of one.
    fn note_ball(&mut self, number: u32, at: Sequence) {
        self.balls_as_of = at;
        self.change(BALL, number);
        let Some(entry) = self.balls.entries.get(number as usize) else { return };
        let named = NamedBall { id: entry.id.clone(), document: entry.document.document.clone() };
        let list = Arc::make_mut(&mut self.ball_list);
        match list.get_mut(number as usize) {
            Some(ball) => *ball = named,
            None => list.push(named),
        }
    }

    /// Counts a shot that names the ball, as sent or inherited, or since a correction.
    pub(in crate::live) fn count_ball(&mut self, number: u32) {
        if let Some(ball) = self.balls.entries.get_mut(number as usize) {
            ball.document.shots += 1;
            self.change(BALL, number);
        }
    }

    /// Counts a shot no longer that named the ball.
    pub(in crate::live) fn discount_ball(&mut self, number: u32) {
        if let Some(ball) = self.balls.entries.get_mut(number as usize) {
            ball.document.shots = ball.document.shots.saturating_sub(1);
            self.change(BALL, number);
        }
    }

    /// Replaces what is said of a ball; says whether the ball is new.
    pub(in crate::live) fn put_ball(&mut self, id: &BallId, document: Ball, at: Sequence) -> bool {
        let made = self.balls.number(id).is_none();
        let number = self.ensure_ball(id, at);
        let entry = &mut self.balls.entries[number as usize];
        (entry.document.document, entry.as_of) = (document, at);
        self.note_ball(number, at);
        made
    }

    /// Takes a ball out, one that nothing is left of too: its removal is the last word on balls.
    pub(in crate::live) fn remove_ball(&mut self, id: &BallId, at: Sequence) {
        self.ensure_ball(id, at);
        if let Some(number) = self.balls.remove(id, at) {
            self.note_ball(number, at);
        }
    }
}
