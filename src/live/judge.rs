//! Whether an act may happen now.

use thiserror::Error;

use super::{Live, LiveError, catalogue::Catalogue, ledger::Owner, lock, read};
use crate::shot::{
    Act, Assignment, BagId, BallId, ClubId, Document, PlayerId, Retirement, Runs, Sequence,
    ShotFilter, SourceId, Subject,
};

/// Runs of shots that one act names at most: some 10 MB of the 16 MiB that a frame holds.
const RUNS_MAX: usize = 500_000;

/// Why an act may not happen.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Refusal {
    /// No shot has this sequence.
    #[error("no shot has the sequence {0}")]
    UnknownShot(Sequence),
    /// No player has this id.
    #[error("no player is called \"{0}\": put the player first")]
    UnknownPlayer(PlayerId),
    /// The player has no such club.
    #[error("the player has no club \"{0}\"")]
    UnknownClub(ClubId),
    /// The player has no such bag.
    #[error("the player has no bag \"{0}\"")]
    UnknownBag(BagId),
    /// No ball has this id.
    #[error("no ball is called \"{0}\"")]
    UnknownBall(BallId),
    /// No source has this id.
    #[error("no source is called \"{0}\"")]
    UnknownSource(SourceId),
    /// A bag names a club that the player does not have.
    #[error("the player has no club \"{club}\": put the club first")]
    UnknownClubInBag {
        /// The club.
        club: ClubId,
        /// Its place in the bag.
        index: usize,
    },
    /// It still has shots.
    #[error("it has {shots} shots and stays: re-assign or set aside the shots instead")]
    HasShots {
        /// How many.
        shots: u64,
    },
    /// An assignment that would have to look at every shot of the store.
    #[error("the filter needs a player or a source: without one it would go through all shots")]
    TooWide,
    /// A player is to be erased who is not here.
    #[error("no player has this id any more")]
    UnknownHash,
    /// The player was erased.
    #[error("this player was erased: put the player anew first")]
    ErasedPlayer,
    /// A filter finds shots in too many places.
    #[error("the filter finds shots in more than {RUNS_MAX} places: choose a shorter time")]
    TooScattered,
    /// The state cannot be read.
    #[error("{0}")]
    Unreadable(String),
}

impl From<LiveError> for Refusal {
    fn from(error: LiveError) -> Self {
        Self::Unreadable(error.to_string())
    }
}

impl Live {
    pub(super) fn judge_act(&self, act: &Act) -> Result<(), Refusal> {
        if let Some(error) = self.broken.get() {
            return Err(error.clone().into());
        }
        match act {
            Act::Correct { shot, .. } | Act::EraseShot { shot } => {
                let owner = lock(&self.ledger).owner(*shot, self.chunks.as_ref())?;
                owner.map(drop).ok_or(Refusal::UnknownShot(*shot))
            }
            Act::Assign(Assignment { filter, .. }) | Act::Retire(Retirement { filter, .. }) => {
                narrow_enough(filter)
            }
            Act::ErasePlayer { player } => {
                let number = read(&self.catalogue).player_of_hash(*player);
                number.map(drop).ok_or(Refusal::UnknownHash)
            }
            Act::Put(document) => self.judge_put(document),
            Act::Remove(subject) => self.judge_removal(subject),
            Act::Amend { .. } | Act::RetireShots { .. } | Act::SetContext { .. } => Ok(()),
        }
    }

    /// The act as it is stored: with the shots that its filter finds now, so that it means the same
    /// whatever is erased later.
    pub(super) fn settle_act(&self, act: Act) -> Result<Act, Refusal> {
        Ok(match act {
            Act::Assign(assignment) => {
                let shots = scattered(self.find(&assignment.filter)?)?;
                Act::Amend { shots, patch: assignment.set, left: Vec::new() }
            }
            Act::Retire(retirement) => {
                Act::RetireShots { shots: scattered(self.find(&retirement.filter)?)? }
            }
            other => other,
        })
    }

    fn judge_put(&self, document: &Document) -> Result<(), Refusal> {
        let catalogue = read(&self.catalogue);
        let number = |player: &PlayerId| {
            catalogue.player_number(player).ok_or_else(|| unknown_player(&catalogue, player))
        };
        match document {
            Document::Club { player, .. } => number(player).map(drop),
            Document::Bag { player, document, .. } => {
                let number = number(player)?;
                let unknown = |club: &&ClubId| catalogue.club_number(number, club).is_none();
                match document.clubs.iter().enumerate().find(|(_, club)| unknown(club)) {
                    Some((index, club)) => {
                        Err(Refusal::UnknownClubInBag { club: club.clone(), index })
                    }
                    None => Ok(()),
                }
            }
            Document::Player { .. } | Document::Ball { .. } | Document::Source { .. } => Ok(()),
        }
    }

    fn judge_removal(&self, subject: &Subject) -> Result<(), Refusal> {
        let shots = match subject {
            Subject::Player(player) => self.shots_of_player(player)?,
            Subject::Club(player, club) => self.shots_of_club(player, club)?,
            Subject::Bag(player, bag) => {
                let catalogue = read(&self.catalogue);
                let number = catalogue
                    .player_number(player)
                    .ok_or_else(|| unknown_player(&catalogue, player))?;
                catalogue.bag(number, bag).ok_or_else(|| Refusal::UnknownBag(bag.clone()))?;
                0
            }
            Subject::Ball(ball) => {
                let catalogue = read(&self.catalogue);
                let entry = catalogue.ball(ball);
                entry.ok_or_else(|| Refusal::UnknownBall(ball.clone()))?.document.shots
            }
            Subject::Source(source) => {
                let catalogue = read(&self.catalogue);
                let entry = catalogue.source(source);
                entry.ok_or_else(|| Refusal::UnknownSource(source.clone()))?.document.shots
            }
        };
        if shots == 0 { Ok(()) } else { Err(Refusal::HasShots { shots }) }
    }

    fn shots_of_player(&self, player: &PlayerId) -> Result<u64, Refusal> {
        let number = read(&self.catalogue).player_number(player);
        let number = number.ok_or_else(|| unknown_player(&read(&self.catalogue), player))?;
        let slot = self.rolls.get(Owner::Player(number))?;
        let shots = read(&slot.roll).rows().len();
        Ok(shots as u64)
    }

    /// Shots of a club, and those whose correction away from it could be lifted.
    fn shots_of_club(&self, player: &PlayerId, club: &ClubId) -> Result<u64, Refusal> {
        let catalogue = read(&self.catalogue);
        let player =
            catalogue.player_number(player).ok_or_else(|| unknown_player(&catalogue, player))?;
        let number = catalogue
            .club_number(player, club)
            .ok_or_else(|| Refusal::UnknownClub(club.clone()))?;
        drop(catalogue);
        let slot = self.rolls.get(Owner::Player(player))?;
        let roll = read(&slot.roll);
        let holds = |row: &&crate::bag::Row| {
            let was = roll.corrected(row.sequence).and_then(|one| one.base.club.as_ref());
            row.club == number || was == Some(club)
        };
        Ok(roll.rows().iter().filter(holds).count() as u64)
    }
}

fn unknown_player(catalogue: &Catalogue, player: &PlayerId) -> Refusal {
    if catalogue.is_erased(player) {
        Refusal::ErasedPlayer
    } else {
        Refusal::UnknownPlayer(player.clone())
    }
}

/// The shots as runs, no more of them than a frame has room for.
fn scattered(shots: Vec<Sequence>) -> Result<Runs, Refusal> {
    let runs = Runs::of(shots);
    if runs.count() <= RUNS_MAX { Ok(runs) } else { Err(Refusal::TooScattered) }
}

/// An assignment must name a player or a source, so that its work is bounded by theirs.
fn narrow_enough(filter: &ShotFilter) -> Result<(), Refusal> {
    if filter.player.is_some() || filter.source.is_some() { Ok(()) } else { Err(Refusal::TooWide) }
}
