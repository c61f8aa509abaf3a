//! How far a trial's hitting order has come, by the shots that were hit, in whatever order; and where
//! they left it.

use std::collections::{BTreeMap, VecDeque};

use serde::Serialize;
use utoipa::ToSchema;

use super::order::{Block, Layout, Order};
use crate::{
    bag::{brief::Brief, player::Player, row::Row, stretches::Stretches},
    shot::{ClubId, Lie, Sequence, Trial},
};

/// Blocks that are told ahead.
const UPCOMING: usize = 5;
/// Departures that are told one by one.
pub const DEPARTURES_TOLD: usize = 100;

/// What is to be hit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Turn {
    /// With this club.
    pub club: ClubId,
    /// So many balls, what was hit of the block already left out.
    pub balls: u32,
    /// From this lie; null where it is left open.
    pub lie: Option<Lie>,
    /// The planned visit, from 1.
    pub visit: usize,
    /// The block's number in the visit, from 1.
    pub block: usize,
    /// Blocks of a visit.
    pub of: usize,
}

/// How a shot left the hitting order. It is noted, and counts like any other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DepartureKind {
    /// Another club of the trial's than it was the turn of.
    OutOfTurn,
    /// A club that is not in the trial.
    NotInTrial,
    /// Another lie than the plan's.
    OtherLie,
    /// Another ball than the plan's.
    OtherBall,
}

/// A shot that left the hitting order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Departure {
    /// The shot.
    pub sequence: Sequence,
    /// How.
    pub kind: DepartureKind,
    /// The club, lie or ball that was planned.
    pub planned: String,
    /// The one that it was hit with or from; null where unstated.
    pub hit: Option<String>,
}

/// Departures of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct DepartureCount {
    /// How they left the order.
    pub kind: DepartureKind,
    /// How many shots did.
    pub shots: usize,
}

/// All departures.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Departures {
    /// How many of each kind there are.
    pub counts: Vec<DepartureCount>,
    /// The newest 100, oldest first.
    pub newest: Vec<Departure>,
}

/// The hitting order along the shots of a trial.
#[derive(Debug)]
pub(super) struct Course<'a> {
    player: Player<'a>,
    trial: &'a Trial,
    order: Order,
    /// The clubs' numbers, the incumbent's first.
    clubs: Vec<u32>,
    /// Balls hit, and balls planned up to the present block, by club and lie.
    hit: Vec<u32>,
    planned: Vec<u32>,
    /// The number of the present block: the first that is not hit to its end.
    at: usize,
    /// How many shots left the order in each way, and the newest of them.
    counts: BTreeMap<DepartureKind, usize>,
    newest: VecDeque<Departure>,
}

impl<'a> Course<'a> {
    /// The course of a trial whose clubs have these numbers, after all shots so far.
    pub(super) fn of(
        player: Player<'a>,
        (trial, clubs): (&'a Trial, Vec<u32>),
        stretches: &Stretches,
    ) -> Self {
        let layout = Layout {
            clubs: clubs.len(),
            lies: trial.lies.len(),
            visit_shots: trial.visit_shots,
            block_shots: trial.block_shots,
        };
        let keys = clubs.len() * trial.lies.len().max(1);
        let mut course = Self {
            player,
            trial,
            order: Order::new(layout, stretches.opened().get()),
            clubs,
            hit: vec![0; keys],
            planned: vec![0; keys],
            at: 0,
            counts: BTreeMap::new(),
            newest: VecDeque::new(),
        };
        let first = player.rows.partition_point(|row| row.sequence < stretches.opened());
        // A low one or a part swing among them is no shot of the plan.
        let intent = Brief::from(&trial.brief).filter.intent;
        let planned = |row: &&Row| row.is_present() && row.intent == intent;
        for row in player.rows[first..].iter().filter(planned) {
            if stretches.hold(row.sequence) {
                course.take(row);
            }
        }
        course
    }

    /// How the blocks follow one another.
    pub(super) fn order(&self) -> &Order {
        &self.order
    }

    /// What is to be hit next, and then: the present block first.
    pub(super) fn turns(&self) -> Vec<Turn> {
        let mut planned = self.planned.clone();
        let mut turns = Vec::with_capacity(UPCOMING + 1);
        let mut at = self.at;
        while turns.len() <= UPCOMING {
            let block = self.order.block(at);
            let balls = self.balls_left(block, &planned);
            planned[self.key(block.club, block.lie)] += self.order.block_shots();
            at += 1;
            if balls > 0 {
                turns.push(self.turn(block, balls));
            }
        }
        turns
    }

    /// Where shots left the order.
    pub(super) fn departures(&self) -> Departures {
        let count =
            |(kind, shots): (&DepartureKind, &usize)| DepartureCount { kind: *kind, shots: *shots };
        Departures {
            counts: self.counts.iter().map(count).collect(),
            newest: self.newest.iter().cloned().collect(),
        }
    }

    /// Takes a shot, whichever it is: a block counts what was hit of it, in turn or not.
    fn take(&mut self, row: &Row) {
        let due = self.order.block(self.at);
        let club = self.clubs.iter().position(|club| *club == row.club);
        let lie = self.lie_of(row);
        let id = |club: u32| self.player.clubs.get(club as usize).map(|club| club.id.to_string());
        let due_club = id(self.clubs[due.club]).unwrap_or_default();
        let mut left = |kind, planned: String, hit: Option<String>| {
            *self.counts.entry(kind).or_default() += 1;
            if self.newest.len() == DEPARTURES_TOLD {
                self.newest.pop_front();
            }
            self.newest.push_back(Departure { sequence: row.sequence, kind, planned, hit });
        };
        match club {
            None => left(DepartureKind::NotInTrial, due_club, id(row.club)),
            Some(club) if club != due.club => {
                left(DepartureKind::OutOfTurn, due_club, id(row.club));
            }
            Some(_) if lie != Some(due.lie) => {
                let planned = self.trial.lies.get(due.lie).map(Lie::to_string).unwrap_or_default();
                left(DepartureKind::OtherLie, planned, row.lie.map(|lie| lie.to_string()));
            }
            Some(_) => {}
        }
        let ball = self.player.ball_id(row.ball);
        if let Some(planned) = self.trial.ball.as_ref().filter(|planned| ball != Some(planned))
            && club.is_some()
        {
            left(DepartureKind::OtherBall, planned.to_string(), ball.map(ToString::to_string));
        }
        if let Some((club, lie)) = club.zip(lie) {
            let key = self.key(club, lie);
            self.hit[key] += 1;
        }
        while self.balls_left(self.order.block(self.at), &self.planned) == 0 {
            let done = self.order.block(self.at);
            let key = self.key(done.club, done.lie);
            self.planned[key] += self.order.block_shots();
            self.at += 1;
        }
    }

    /// The place of a shot's lie among the planned ones; where none is planned, any will do.
    fn lie_of(&self, row: &Row) -> Option<usize> {
        if self.trial.lies.is_empty() {
            return Some(0);
        }
        self.trial.lies.iter().position(|lie| Some(*lie) == row.lie)
    }

    fn key(&self, club: usize, lie: usize) -> usize {
        club * self.trial.lies.len().max(1) + lie
    }

    /// Balls of a block that are not hit yet, where so many were planned before it.
    fn balls_left(&self, block: Block, planned: &[u32]) -> u32 {
        let key = self.key(block.club, block.lie);
        let block_shots = self.order.block_shots();
        (planned[key] + block_shots).saturating_sub(self.hit[key]).min(block_shots)
    }

    fn turn(&self, block: Block, balls: u32) -> Turn {
        let clubs: Vec<&ClubId> = self.trial.clubs().collect();
        Turn {
            club: clubs[block.club].clone(),
            balls,
            lie: self.trial.lies.get(block.lie).copied(),
            visit: block.visit,
            block: block.number,
            of: self.order.blocks_a_visit(),
        }
    }
}
