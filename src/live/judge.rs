//! Whether an act may happen now.

use std::fmt;

use thiserror::Error;

use super::{
    Live, LiveError,
    catalogue::Catalogue,
    ledger::Owner,
    lock, read,
    trials::{Missing, told},
};
use crate::{
    bag::{Row, STATE_CHANGES_MAX},
    shot::{
        ACT_SHOTS_MAX, Act, BagId, BallId, ClubId, Correction, CsvMappingId, Document, PlayerId,
        Sequence, SourceId, Subject, TrialId,
    },
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
    /// The player has no such trial.
    #[error("the player has no trial \"{0}\"")]
    UnknownTrial(TrialId),
    /// A bag names a club that the player does not have.
    #[error("the player has no club \"{club}\": put the club first")]
    UnknownClubInBag {
        /// The club.
        club: ClubId,
        /// Its place in the bag.
        index: usize,
    },
    /// A player still has shots.
    #[error("the player has {held} and stays: {}", held.of_player())]
    PlayerHasShots {
        /// How many.
        held: Held,
    },
    /// Shots rest on a club or a ball.
    #[error(
        "{held} rest{} on it, and it stays until they are erased, or corrected again if it was a \
         correction that brought them to it", held.verb()
    )]
    HasShots {
        /// How many.
        held: Held,
    },
    /// Shots came from a source.
    #[error("it has sent {held} and stays until they are erased")]
    HasSent {
        /// How many.
        held: Held,
    },
    /// The club still stands in bags.
    #[error("it stands in {} and stays: take it out of there first", named(bags))]
    InBags {
        /// Which, by id.
        bags: Vec<BagId>,
    },
    /// The club still stands in trials.
    #[error("it stands in {} and stays: delete that first", named_trials(trials))]
    InTrials {
        /// Which, by id.
        trials: Vec<TrialId>,
    },
    /// A trial is opened with things that are not there.
    #[error("{}", told(.0))]
    MissingInTrial(Vec<Missing>),
    /// A trial has changed its state too often.
    #[error(
        "the trial has changed its state {STATE_CHANGES_MAX} times, which is the most that one takes: \
         open another"
    )]
    TrialWornOut,
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
    /// Shots would become those of a player who was erased.
    #[error("this player was erased: put the player anew first")]
    NamesErasedPlayer {
        /// The member that names the player, with those that it stands in.
        member: &'static str,
    },
    /// A condition of the sender's does not hold; what it says of that.
    #[error("{0}")]
    Unmet(&'static str),
    /// The state cannot be read.
    #[error("{0}")]
    Unreadable(String),
}

/// Shots that hold something where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// All of them.
    pub shots: u64,
    /// Those of them that are known to be retired, which nothing corrects any more.
    pub retired: u64,
}

impl Held {
    const fn some(shots: u64) -> Self {
        Self { shots, retired: 0 }
    }

    fn count<'a>(rows: impl Iterator<Item = &'a Row>) -> Self {
        rows.fold(Self::some(0), |held, row| Self {
            shots: held.shots + 1,
            retired: held.retired + u64::from(row.retired),
        })
    }

    fn verb(self) -> &'static str {
        if self.shots == 1 { "s" } else { "" }
    }

    fn of_player(self) -> &'static str {
        if self.retired == 0 {
            "re-assign them, or erase the player with them"
        } else {
            "what is retired cannot be re-assigned, so only erasing the player with them is left"
        }
    }
}

impl fmt::Display for Held {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} shot{}", self.shots, plural(self.shots))?;
        match self.retired {
            0 => Ok(()),
            all if all == self.shots => f.write_str(", retired,"),
            some => write!(f, ", {some} of them retired,"),
        }
    }
}

fn plural(number: u64) -> &'static str {
    if number == 1 { "" } else { "s" }
}

fn named(bags: &[BagId]) -> String {
    let names: Vec<String> = bags.iter().map(|bag| format!("\"{bag}\"")).collect();
    format!("the bag{} {}", plural(bags.len() as u64), names.join(", "))
}

fn named_trials(trials: &[TrialId]) -> String {
    let names: Vec<String> = trials.iter().map(|trial| format!("\"{trial}\"")).collect();
    format!("the trial{} {}", plural(trials.len() as u64), names.join(", "))
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
            Act::Correct { shot, patch } => {
                self.judge_shot(*shot)?;
                self.judge_named(patch.player.set(), "player")
            }
            Act::EraseShot { shot } => self.judge_shot(*shot),
            Act::Assign { filter, shots, set, .. } => {
                self.judge_assigned(set)?;
                *shots = self.among(filter, shots)?;
                Ok(())
            }
            Act::Retire { filter, shots } => {
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
            Act::OpenTrial { player, trial } => self.judge_opening(player, trial),
            Act::ChangeTrial { player, trial, patch } => self.judge_change(player, trial, patch),
            Act::SetContext { context, .. } => self.judge_named(context.player.as_ref(), "player"),
        }
    }

    /// Whether shots may become what an assignment sets.
    pub(super) fn judge_assigned(&self, set: &Correction) -> Result<(), Refusal> {
        self.judge_named(set.player.set(), "set/player")
    }

    fn judge_shot(&self, shot: Sequence) -> Result<(), Refusal> {
        let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
        owner.map(drop).ok_or(Refusal::UnknownShot(shot))
    }

    /// Nobody who was erased comes back because of a name in an act.
    fn judge_named(&self, player: Option<&PlayerId>, member: &'static str) -> Result<(), Refusal> {
        let catalogue = read(&self.catalogue);
        match player {
            Some(id) if catalogue.is_gone(id) => Err(Refusal::NamesErasedPlayer { member }),
            _ => Ok(()),
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
        match subject {
            Subject::Player(player) => {
                let held = self.shots_of_player(player)?;
                refuse_held(held, |held| Refusal::PlayerHasShots { held })?;
            }
            Subject::Club(player, club) => {
                let held = self.shots_of_club(player, club)?;
                refuse_held(held, |held| Refusal::HasShots { held })?;
            }
            Subject::Bag(player, bag) => {
                let catalogue = read(&self.catalogue);
                let number = catalogue
                    .player_number(player)
                    .ok_or_else(|| unknown_player(&catalogue, player))?;
                catalogue.bag(number, bag).ok_or_else(|| Refusal::UnknownBag(bag.clone()))?;
            }
            Subject::Trial(player, trial) => {
                let catalogue = read(&self.catalogue);
                let number = catalogue
                    .player_number(player)
                    .ok_or_else(|| unknown_player(&catalogue, player))?;
                catalogue
                    .trial(number, trial)
                    .ok_or_else(|| Refusal::UnknownTrial(trial.clone()))?;
            }
            Subject::Ball(ball) => {
                let catalogue = read(&self.catalogue);
                let entry = catalogue.ball(ball);
                let entry = entry.ok_or_else(|| Refusal::UnknownBall(ball.clone()))?;
                refuse_held(Held::some(entry.document.shots), |held| Refusal::HasShots { held })?;
            }
            Subject::Source(source) => {
                let catalogue = read(&self.catalogue);
                let entry = catalogue.source(source);
                let entry = entry.ok_or_else(|| Refusal::UnknownSource(source.clone()))?;
                refuse_held(Held::some(entry.document.shots), |held| Refusal::HasSent { held })?;
            }
            Subject::CsvMapping(mapping) => {
                let known = read(&self.catalogue).csv_mapping(mapping).is_some();
                known.then_some(()).ok_or_else(|| Refusal::UnknownCsvMapping(mapping.clone()))?;
            }
        }
        let bags = self.bags_with(subject);
        if !bags.is_empty() {
            return Err(Refusal::InBags { bags });
        }
        let trials = self.trials_with(subject);
        if trials.is_empty() { Ok(()) } else { Err(Refusal::InTrials { trials }) }
    }

    /// The bags that a club stands in.
    fn bags_with(&self, subject: &Subject) -> Vec<BagId> {
        let Subject::Club(player, club) = subject else { return Vec::new() };
        let catalogue = read(&self.catalogue);
        let Some(player) = catalogue.player_number(player) else { return Vec::new() };
        let bags = catalogue.bags(player).into_iter();
        bags.filter(|bag| bag.document.clubs.contains(club)).map(|bag| bag.id.clone()).collect()
    }

    fn shots_of_player(&self, player: &PlayerId) -> Result<Held, Refusal> {
        let number = read(&self.catalogue).player_number(player);
        let number = number.ok_or_else(|| unknown_player(&read(&self.catalogue), player))?;
        let slot = self.rolls.get(Owner::Player(number))?;
        let held = Held::count(read(&slot.roll).rows().iter());
        Ok(held)
    }

    /// Shots of a club, and those whose correction away from it could be lifted.
    fn shots_of_club(&self, player: &PlayerId, club: &ClubId) -> Result<Held, Refusal> {
        let catalogue = read(&self.catalogue);
        let player =
            catalogue.player_number(player).ok_or_else(|| unknown_player(&catalogue, player))?;
        let number = catalogue
            .club_number(player, club)
            .ok_or_else(|| Refusal::UnknownClub(club.clone()))?;
        drop(catalogue);
        let slot = self.rolls.get(Owner::Player(player))?;
        let roll = read(&slot.roll);
        let holds = |row: &&Row| {
            let was = roll.corrected(row.sequence).and_then(|one| one.base.club.as_ref());
            row.club == number || was == Some(club)
        };
        Ok(Held::count(roll.rows().iter().filter(holds)))
    }
}

fn refuse_held(held: Held, refusal: impl FnOnce(Held) -> Refusal) -> Result<(), Refusal> {
    if held.shots == 0 { Ok(()) } else { Err(refusal(held)) }
}

pub(super) fn unknown_player(catalogue: &Catalogue, player: &PlayerId) -> Refusal {
    if catalogue.is_erased(player) {
        Refusal::ErasedPlayer
    } else {
        Refusal::UnknownPlayer(player.clone())
    }
}
