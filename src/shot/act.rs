//! What people do to shots and to the catalogue. The journal keeps each act as one JSON object.

use super::assignment::ShotFilter;
use super::catalogue::{Bag, Ball, Club, Player};
use super::correction::Correction;
use super::csv::CsvMapping;
use super::keyed::Keyed;
use super::names::{BagId, BallId, ClubId, CsvMappingId, PlayerId, Sequence, SourceId, TrialId};
use super::shot_set::ShotSet;
use super::source::{Context, Source};
use super::trace::Touched;
use super::trial::{Trial, TrialPatch};
use serde::{Deserialize, Serialize};

/// One act.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "act", rename_all = "snake_case")]
pub enum Act {
    /// One shot is corrected.
    Correct {
        /// Which.
        shot: Sequence,
        /// How.
        patch: Correction,
    },
    /// Many shots are corrected at once. The act names them itself, so that the same ones are
    /// corrected whenever it is folded, whatever became of others.
    Assign {
        /// What they were found by; nothing where an export tells of the act.
        filter: Box<ShotFilter>,
        /// Which.
        shots: ShotSet,
        /// How.
        set: Correction,
        /// What it was the last to touch, where some of its shots are gone.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        left: Vec<Touched>,
    },
    /// A document is put, or replaced whole.
    Put(Document),
    /// A document is removed.
    Remove(Subject),
    /// What a source's shots inherit from now on.
    SetContext {
        /// Which source.
        source: SourceId,
        /// What they inherit.
        context: Context,
    },
    /// A trial is opened: it counts what comes after this.
    OpenTrial {
        /// Whose.
        player: PlayerId,
        /// What is tried, and how.
        trial: Box<Trial>,
    },
    /// A trial is paused, closed, opened again or noted.
    ChangeTrial {
        /// Whose.
        player: PlayerId,
        /// Which.
        trial: TrialId,
        /// How.
        patch: TrialPatch,
    },
    /// A shot is erased: its content goes from everywhere, its sequence stays.
    EraseShot {
        /// Which.
        shot: Sequence,
    },
    /// A player is erased, with all shots and all that the catalogue says.
    ErasePlayer {
        /// The hash of the player's id: the id itself is not kept.
        player: Keyed,
    },
    /// The content of many shots goes; what statistics rest on stays.
    Retire {
        /// What they were found by.
        filter: Box<ShotFilter>,
        /// Which.
        shots: ShotSet,
    },
}

impl Act {
    /// Its kind, as the journal and the counting of acts name it.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Correct { .. } => "correct",
            Self::Assign { .. } => "assign",
            Self::Put(_) => "put",
            Self::Remove(_) => "remove",
            Self::SetContext { .. } => "set_context",
            Self::OpenTrial { .. } => "open_trial",
            Self::ChangeTrial { .. } => "change_trial",
            Self::EraseShot { .. } => "erase_shot",
            Self::ErasePlayer { .. } => "erase_player",
            Self::Retire { .. } => "retire",
        }
    }
}

/// A document of the catalogue, and the place where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "of", rename_all = "snake_case")]
pub enum Document {
    /// A player.
    Player {
        /// Who.
        player: PlayerId,
        /// The document.
        document: Player,
    },
    /// A club.
    Club {
        /// Whose.
        player: PlayerId,
        /// Which.
        club: ClubId,
        /// The document.
        document: Club,
    },
    /// A bag.
    Bag {
        /// Whose.
        player: PlayerId,
        /// Which.
        bag: BagId,
        /// The document.
        document: Bag,
    },
    /// A ball.
    Ball {
        /// Which.
        ball: BallId,
        /// The document.
        document: Ball,
    },
    /// A source.
    Source {
        /// Which.
        source: SourceId,
        /// The document.
        document: Source,
    },
    /// A mapping of the columns of CSV files.
    CsvMapping {
        /// Which.
        mapping: CsvMappingId,
        /// The document.
        document: CsvMapping,
    },
}

/// What a document of the catalogue is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(tag = "of", content = "id", rename_all = "snake_case")]
pub enum Subject {
    /// A player.
    Player(PlayerId),
    /// A club of a player.
    Club(PlayerId, ClubId),
    /// A bag of a player.
    Bag(PlayerId, BagId),
    /// A ball.
    Ball(BallId),
    /// A source.
    Source(SourceId),
    /// A mapping of the columns of CSV files.
    CsvMapping(CsvMappingId),
    /// A trial of a player.
    Trial(PlayerId, TrialId),
}

impl Document {
    /// What it is about.
    #[must_use]
    pub fn subject(&self) -> Subject {
        match self {
            Self::Player { player, .. } => Subject::Player(player.clone()),
            Self::Club { player, club, .. } => Subject::Club(player.clone(), club.clone()),
            Self::Bag { player, bag, .. } => Subject::Bag(player.clone(), bag.clone()),
            Self::Ball { ball, .. } => Subject::Ball(ball.clone()),
            Self::Source { source, .. } => Subject::Source(source.clone()),
            Self::CsvMapping { mapping, .. } => Subject::CsvMapping(mapping.clone()),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn the_kind_of_an_act_is_what_the_journal_calls_it() {
        let source = SourceId::parse("bay-3").unwrap();
        let acts = [
            Act::Correct { shot: Sequence::new(1), patch: Correction::default() },
            Act::Remove(Subject::Source(source.clone())),
            Act::SetContext { source, context: Context::default() },
            Act::Assign {
                filter: Box::default(),
                shots: ShotSet::default(),
                set: Correction::default(),
                left: Vec::new(),
            },
            Act::ChangeTrial {
                player: PlayerId::parse("rowan").unwrap(),
                trial: TrialId::of(Sequence::new(7)),
                patch: TrialPatch::default(),
            },
            Act::EraseShot { shot: Sequence::new(1) },
            Act::ErasePlayer {
                player: Keyed::of_player([1; 16], &PlayerId::parse("rowan").unwrap()),
            },
            Act::Retire { filter: Box::default(), shots: ShotSet::default() },
        ];
        for act in acts {
            assert_eq!(serde_json::to_value(&act).unwrap()["act"], act.kind());
        }
    }
}
