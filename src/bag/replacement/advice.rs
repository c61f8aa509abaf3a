//! What to hit on the next visit: a plan that fits one, and no more balls than a body likes.

use serde::Serialize;
use utoipa::ToSchema;

use crate::{
    bag::{Build, Evidence, Player, Stratum},
    shot::{BallId, ClubId, Height, Intent, Lie, Shape, Swing},
};

/// Balls of one visit at most, warm-up apart. Common practice, no source; and by own simulation many
/// short visits prove more than few long ones.
pub(super) const BALLS_AT_MOST: u32 = 30;
/// Balls of a club in a row: often enough in turn that tiring and wind meet all clubs alike.
const BLOCK: u32 = 5;
/// Candidates that share a visit at most.
const CANDIDATES_AT_MOST: usize = 3;

/// What to hit on the next visit.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Advice {
    /// Balls in all, warm-up apart.
    pub balls: u32,
    /// No visit is advised more balls than this.
    pub at_most: u32,
    /// What to hit them from: where most of the like-for-like shots are from. Null where unstated.
    pub lie: Option<Lie>,
    /// Whether with a wet ball or face.
    pub wet: bool,
    /// The ball to hit; null where unstated.
    pub ball: Option<BallId>,
    /// The clubs in turn; each visit begins at the other end.
    pub order: Vec<AdvisedBlock>,
    /// The same in a sentence.
    pub words: String,
}

/// Balls in a row with one club.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AdvisedBlock {
    /// The club.
    pub club: ClubId,
    /// How many.
    pub balls: u32,
}

/// A candidate whose verdict more shots may bring.
#[derive(Debug, Clone, Copy)]
pub(super) struct Waiting {
    /// The club.
    pub(super) build: Build,
    /// Whether it hardly will.
    pub(super) unlikely: bool,
    /// Shots of each club that are thought to be needed; `None` where that cannot be said.
    pub(super) needed: Option<u32>,
    /// Visits that hold both clubs so far.
    pub(super) sessions: usize,
}

/// Shares the next visit among the incumbent and the most promising candidates, which come in the
/// order of their rank; `None` where no verdict waits for shots.
#[must_use]
pub(super) fn advice(
    player: Player<'_>,
    incumbent: Build,
    (open, evidence): (&[Waiting], &Evidence),
) -> Option<Advice> {
    let promising = promising(open);
    let builds: Vec<Build> =
        [incumbent].into_iter().chain(promising.iter().map(|one| one.build)).collect();
    let odd_visit = promising.iter().map(|one| one.sessions).max()? % 2 == 1;
    let once = promising.iter().all(|one| one.needed.is_some_and(|needed| needed <= BLOCK));
    let order = order(&builds, odd_visit, once);
    let stratum = usual_stratum(player, &builds, evidence);
    let lie = stratum.map_or(evidence.lie, |stratum| stratum.lie);
    let ball = stratum.map(|stratum| stratum.ball).or(evidence.ball);
    let wet = stratum.is_some_and(|stratum| stratum.wet);
    let named = |build: &Build| player.clubs.get(build.club as usize);
    let clubs: Vec<&str> =
        order.iter().filter_map(named).map(|club| club.document.name.as_str()).collect();
    let ball_name = ball.and_then(|ball| player.balls.get(ball as usize));
    let balls = BLOCK * u32::try_from(order.len()).ok()?;
    let hit = Hit { lie, wet, intent: evidence.intent };
    let with = ball_name.map_or_else(String::new, |ball| format!(" with {}", ball.document.name));
    Some(Advice {
        words: format!(
            "Next visit, once warm, hit {balls} balls{}{with}, {BLOCK} at a time: {}. Then stop: \
             many short visits prove more than a few long ones.",
            hit.words(),
            clubs.join(", "),
        ),
        balls,
        at_most: BALLS_AT_MOST,
        lie,
        wet,
        ball: ball.and_then(|ball| player.ball_id(ball)).cloned(),
        order: order
            .iter()
            .filter_map(named)
            .map(|club| AdvisedBlock { club: club.id.clone(), balls: BLOCK })
            .collect(),
    })
}

/// The first of them, and the next that are not unlikely.
fn promising(open: &[Waiting]) -> Vec<Waiting> {
    let mut promising: Vec<Waiting> = open.iter().filter(|one| !one.unlikely).copied().collect();
    if promising.is_empty() {
        promising.extend(open.first());
    }
    promising.truncate(CANDIDATES_AT_MOST);
    promising
}

/// Blocks in turn: once through the clubs and then back, so that what comes and goes in a visit meets
/// all alike, as far as the visit has room; the incumbent and the first candidate come first there.
fn order(builds: &[Build], from_the_end: bool, once: bool) -> Vec<Build> {
    let mut there = builds.to_vec();
    if from_the_end {
        there.reverse();
    }
    if once {
        return there;
    }
    let room = (BALLS_AT_MOST / BLOCK) as usize - builds.len();
    let again = &builds[..room.min(builds.len())];
    let back: Vec<Build> = there.iter().rev().filter(|one| again.contains(one)).copied().collect();
    there.extend(back);
    there
}

/// What most of the clubs' counted shots were hit from like for like: the stratum in which the
/// incumbent and the candidates both have most, the first seen of equals.
fn usual_stratum(player: Player<'_>, builds: &[Build], evidence: &Evidence) -> Option<Stratum> {
    let arrived = player.marks.places().len();
    let mut tally: Vec<(Stratum, [u32; 2])> = Vec::new();
    for place in player.marks.places() {
        let Some(at) = builds.iter().position(|build| *build == place.build) else { continue };
        let row = &player.rows[place.row as usize];
        if place.is_mishit(arrived) || !evidence.admits(row) {
            continue;
        }
        let (stratum, side) = (row.stratum(), usize::from(at > 0));
        match tally.iter_mut().find(|(known, _)| *known == stratum) {
            Some((_, shots)) => shots[side] += 1,
            None => tally.push((stratum, [u32::from(side == 0), u32::from(side == 1)])),
        }
    }
    let weight = |(_, [one, other]): &(Stratum, [u32; 2])| (*one.min(other), one + other);
    let most = tally.iter().map(weight).max()?;
    tally.iter().find(|of| weight(of) == most).map(|(stratum, _)| *stratum)
}

/// How balls are to be hit.
struct Hit {
    lie: Option<Lie>,
    wet: bool,
    intent: Intent,
}

impl Hit {
    /// As a sentence goes on behind "balls".
    fn words(&self) -> String {
        let lie = match self.lie {
            None => "",
            Some(Lie::Tee) => " off a tee",
            Some(Lie::Mat) => " off the mat",
            Some(Lie::Fairway) => " from the fairway",
            Some(Lie::Tight) => " from a tight lie",
            Some(Lie::WetFairway) => " from the wet fairway",
            Some(Lie::LightRough) => " from light rough",
            Some(Lie::HeavyRough) => " from heavy rough",
            Some(Lie::Sand) => " from sand",
            Some(Lie::Other) => " from the same lie as before",
        };
        let wet = if self.wet && self.lie != Some(Lie::WetFairway) { ", wet," } else { "" };
        let meant = [
            (self.intent.height != Height::Stock).then(|| self.intent.height.as_str()),
            (self.intent.shape != Shape::Straight).then(|| self.intent.shape.as_str()),
            (self.intent.swing != Swing::Full).then_some("part swing"),
        ];
        let meant: Vec<&str> = meant.into_iter().flatten().collect();
        let meant =
            if meant.is_empty() { String::new() } else { format!(" ({})", meant.join(", ")) };
        format!("{meant}{lie}{wet}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn build(club: u32) -> Build {
        Build { club, build: 0 }
    }

    fn clubs(order: &[Build]) -> Vec<u32> {
        order.iter().map(|build| build.club).collect()
    }

    fn turns(candidates: u32, from_the_end: bool, once: bool) -> Vec<u32> {
        let builds: Vec<Build> = (0..=candidates).map(build).collect();
        clubs(&order(&builds, from_the_end, once))
    }

    #[test]
    fn clubs_are_hit_there_and_back_and_a_visit_holds_thirty_balls() {
        assert_eq!(turns(1, false, false), [0, 1, 1, 0]);
        assert_eq!(turns(1, true, false), [1, 0, 0, 1]);
        assert_eq!(turns(2, false, false), [0, 1, 2, 2, 1, 0]);
        // Room for two more blocks: the incumbent's and the first candidate's.
        assert_eq!(turns(3, false, false), [0, 1, 2, 3, 1, 0]);
        assert_eq!(turns(3, true, false), [3, 2, 1, 0, 0, 1]);
    }

    #[test]
    fn where_five_of_each_are_enough_no_more_are_advised() {
        assert_eq!(turns(1, false, true), [0, 1]);
        assert_eq!(turns(3, true, true), [3, 2, 1, 0]);
    }

    #[test]
    fn the_unlikely_do_not_share_a_visit_unless_there_is_no_other() {
        let open =
            |club, unlikely| Waiting { build: build(club), unlikely, needed: None, sessions: 0 };
        let chosen = |all: &[Waiting]| -> Vec<u32> {
            promising(all).iter().map(|one| one.build.club).collect()
        };
        assert_eq!(chosen(&[open(1, false), open(2, true), open(3, false)]), [1, 3]);
        assert_eq!(chosen(&[open(1, true), open(2, true)]), [1]);
        assert_eq!(chosen(&[1, 2, 3, 4, 5].map(|club| open(club, false))), [1, 2, 3]);
        assert!(chosen(&[]).is_empty());
    }
}
