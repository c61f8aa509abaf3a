//! What people do to shots and to the catalogue. The journal keeps each act as one JSON object.

use super::assignment::Assignment;
use super::catalogue::{Bag, Ball, Club, Player};
use super::correction::Correction;
use super::csv::CsvMapping;
use super::names::{BagId, BallId, ClubId, CsvMappingId, PlayerId, Sequence, SourceId};
use super::source::{Context, Source};
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
    /// Many shots are corrected at once.
    Assign(Assignment),
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
