//! Whether an act may happen now.

use thiserror::Error;

use super::{Live, LiveError, catalogue::Catalogue, ledger::Owner, lock, read};
use crate::shot::{
    ACT_SHOTS_MAX, Act, BagId, BallId, ClubId, CsvMappingId, Document, PlayerId, Sequence,
    SourceId, Subject,
};

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
    /// No mapping of CSV files has this id.
    #[error("no mapping is called \"{0}\"")]
    UnknownCsvMapping(CsvMappingId),
    /// A bag names a club that the player does not have.
    #[error("the player has no club \"{club}\": put the club first")]
    UnknownClubInBag {
        /// The club.
        club: ClubId,
        /// Its place in the bag.
        index: usize,
    },
    /// It still has shots.
    #[error("it has {shots} shot{} and stays: re-assign or set aside the shots instead", plural(*shots))]
    HasShots {
        /// How many.
        shots: u64,
    },
    /// The club still stands in bags.
    #[error("it stands in {} and stays: take it out of there first", named(bags))]
    InBags {
        /// Which, by id.
        bags: Vec<BagId>,
    },
    /// A filter that finds more shots than one act takes.
    #[error(
        "the filter finds more than {ACT_SHOTS_MAX} shots, which is the most that one act takes: \
         narrow it, by dates say, and send several"
    )]
    TooMany,
    /// A player is to be erased who is not here.
    #[error("no player has this id any more")]
    UnknownHash,
    /// The player was erased.
    #[error("this player was erased: put the player anew first")]
    ErasedPlayer,
    /// The state cannot be read.
    #[error("{0}")]
    Unreadable(String),
}

fn plural(number: u64) -> &'static str {
    if number == 1 { "" } else { "s" }
}

fn named(bags: &[BagId]) -> String {
    let names: Vec<String> = bags.iter().map(|bag| format!("\"{bag}\"")).collect();
    format!("the bag{} {}", plural(bags.len() as u64), names.join(", "))
}

impl From<LiveError> for Refusal {
    fn from(error: LiveError) -> Self {
        Self::Unreadable(error.to_string())
    }
}

impl Live {
    pub(super) fn judge_act(&self, act: &mut Act) -> Result<(), Refusal> {
        if let Some(error) = self.broken.get() {
            return Err(error.clone().into());
        }
        match act {
            Act::Correct { shot, .. } | Act::EraseShot { shot } => {
                let owner = lock(&self.ledger).owner(*shot, self.chunks.as_ref())?;
                owner.map(drop).ok_or(Refusal::UnknownShot(*shot))
            }
            Act::Assign { filter, shots, .. } | Act::Retire { filter, shots } => {
                // Other acts may have come between: a shot that no longer passes is left alone.
                *shots = self.among(filter, shots)?;
                Ok(())
            }
            Act::ErasePlayer { player } => {
                let number = read(&self.catalogue).player_of_hash(*player);
                number.map(drop).ok_or(Refusal::UnknownHash)
            }
            Act::Put(document) => self.judge_put(document),
            Act::Remove(subject) => self.judge_removal(subject),
            Act::SetContext { .. } => Ok(()),
        }
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
            Document::Player { .. }
            | Document::Ball { .. }
            | Document::Source { .. }
            | Document::CsvMapping { .. } => Ok(()),
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
            Subject::CsvMapping(mapping) => {
                let known = read(&self.catalogue).csv_mapping(mapping).is_some();
                known.then_some(0).ok_or_else(|| Refusal::UnknownCsvMapping(mapping.clone()))?
            }
        };
        if shots > 0 {
            return Err(Refusal::HasShots { shots });
        }
        let bags = self.bags_with(subject);
        if bags.is_empty() { Ok(()) } else { Err(Refusal::InBags { bags }) }
    }

    /// The bags that a club stands in.
    fn bags_with(&self, subject: &Subject) -> Vec<BagId> {
        let Subject::Club(player, club) = subject else { return Vec::new() };
        let catalogue = read(&self.catalogue);
        let Some(player) = catalogue.player_number(player) else { return Vec::new() };
        let bags = catalogue.bags(player).into_iter();
        bags.filter(|bag| bag.document.clubs.contains(club)).map(|bag| bag.id.clone()).collect()
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
