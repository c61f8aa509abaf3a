//! Questions about a player, answered from what the fold holds.

use std::sync::Arc;

use thiserror::Error;

use super::{
    BagChange, Live, LiveError,
    catalogue::{Catalogue, Entry},
    ledger::Owner,
    lock, read,
    reading::Remembered,
    views::{Listed, Listing},
    wanted::{DriftsWanted, LadderWanted},
};
use crate::{
    bag::{
        self, Comparison, ComparisonQuestion, DriftQuestion, Drifts, Filter, Ladder,
        LadderQuestion, Profile, ProfileQuestion,
    },
    shot::{
        Bag, BagId, Ball, BallId, Club, ClubId, Context, CsvMappingId, Player, PlayerId, Sequence,
        Source, SourceId, TrialId,
    },
};

/// Why a question has no answer.
#[derive(Debug, Clone, Error)]
pub enum ReadError {
    /// No player has this id.
    #[error("no player is called \"{0}\"")]
    UnknownPlayer(PlayerId),
    /// The player of this id was erased.
    #[error("the player was erased")]
    ErasedPlayer(PlayerId),
    /// The player has no such club.
    #[error("the player has no club \"{0}\"")]
    UnknownClub(ClubId),
    /// The player has no such bag.
    #[error("the player has no bag \"{0}\"")]
    UnknownBag(BagId),
    /// The player has no such trial.
    #[error("the player has no trial \"{0}\"")]
    UnknownTrial(TrialId),
    /// No ball has this id.
    #[error("no ball is called \"{0}\"")]
    UnknownBall(BallId),
    /// No source has this id.
    #[error("no source is called \"{0}\"")]
    UnknownSource(SourceId),
    /// No mapping of CSV files has this id.
    #[error("no mapping is called \"{0}\"")]
    UnknownCsvMapping(CsvMappingId),
    /// The state cannot be read.
    #[error(transparent)]
    State(#[from] LiveError),
}

impl Live {
    /// What a club does.
    ///
    /// # Errors
    /// An unknown name, or a state that cannot be read.
    pub fn profile(
        &self,
        player: &PlayerId,
        club: &ClubId,
        question: impl Into<ProfileQuestion>,
    ) -> Result<Profile, ReadError> {
        let question = question.into();
        self.check_ball(&question.filter)?;
        let unknown = || ReadError::UnknownClub(club.clone());
        self.ask_in(question.air, player, |player| {
            let number = player.club_number(club).ok_or_else(unknown)?;
            bag::profile(player, number, &question).ok_or_else(unknown)
        })
    }

    /// The carries of a bag in order.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn ladder(&self, player: &PlayerId, wanted: &LadderWanted) -> Result<Ladder, ReadError> {
        self.check_ball(&wanted.filter)?;
        self.ask_in(wanted.air, player, |player| {
            let bag = wanted.bag.as_ref().map(|bag| self.clubs_of_bag(player, bag)).transpose()?;
            let question =
                LadderQuestion { bag, filter: wanted.filter.clone(), units: wanted.units };
            Ok(bag::ladder(player, &question))
        })
    }

    /// Whether clubs carry as they did: one, or all.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn drifts(&self, player: &PlayerId, wanted: &DriftsWanted) -> Result<Drifts, ReadError> {
        self.ask(player, |player, _| {
            let number = |club: &ClubId| {
                player.club_number(club).ok_or_else(|| ReadError::UnknownClub(club.clone()))
            };
            let club = wanted.club.as_ref().map(number).transpose()?;
            Ok(bag::drifts(player, &DriftQuestion { club, units: wanted.units }))
        })
    }

    /// Two clubs like for like.
    ///
    /// # Errors
    /// As for [`Live::profile`].
    pub fn comparison(
        &self,
        player: &PlayerId,
        [incumbent, candidate]: [&ClubId; 2],
        question: impl Into<ComparisonQuestion>,
    ) -> Result<Comparison, ReadError> {
        let question = question.into();
        self.check_ball(&question.filter)?;
        self.ask_in(question.air, player, |player| {
            let two = [number(player, candidate)?, number(player, incumbent)?];
            bag::comparison(player, two, &question)
                .ok_or_else(|| ReadError::UnknownClub(candidate.clone()))
        })
    }

    /// Puts a question to everything of a player, as it stands together: while it is asked, shots of
    /// known clubs and balls may come in, and nothing else.
    pub(super) fn ask<T>(
        &self,
        id: &PlayerId,
        question: impl FnOnce(bag::Player<'_>, Remembered<'_>) -> Result<T, ReadError>,
    ) -> Result<T, ReadError> {
        let _acts = self.question()?;
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, id)?;
        let hand = catalogue.player(id).and_then(|player| player.document.hand);
        let (clubs, balls) = (catalogue.clubs(number), catalogue.ball_list());
        let balls_as_of = catalogue.balls_as_of();
        drop(catalogue);
        let slot = self.rolls.get(Owner::Player(number))?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        reading.refresh(&roll, &clubs);
        let (marks, drift, remembered) = reading.split();
        let sessions = roll.session_names();
        let player = bag::Player {
            id,
            hand,
            as_of: roll.head().as_of.max(balls_as_of),
            clubs: &clubs,
            balls: &balls,
            sessions: &sessions,
            rows: roll.rows(),
            marks,
            drift,
            reference: None,
        };
        question(player, remembered)
    }

    /// The clubs of a bag by number.
    pub(super) fn clubs_of_bag(
        &self,
        player: bag::Player<'_>,
        bag: &BagId,
    ) -> Result<Vec<u32>, ReadError> {
        let bag = self.bag(player.id, bag)?.document;
        Ok(bag.clubs.iter().filter_map(|club| player.club_number(club)).collect())
    }

    pub(super) fn check_ball(&self, filter: &Filter) -> Result<(), ReadError> {
        match &filter.ball {
            Some(ball) if read(&self.catalogue).ball(ball).is_none() => {
                Err(ReadError::UnknownBall(ball.clone()))
            }
            _ => Ok(()),
        }
    }

    /// All players.
    #[must_use]
    pub fn players(&self) -> Listing<PlayerId, Player> {
        let catalogue = read(&self.catalogue);
        let items = catalogue.players().into_iter().map(Listed::of).collect();
        Listing { items, as_of: catalogue.players_as_of() }
    }

    /// One player.
    ///
    /// # Errors
    /// An unknown id.
    pub fn player(&self, id: &PlayerId) -> Result<Listed<PlayerId, Player>, ReadError> {
        let catalogue = read(&self.catalogue);
        let entry = catalogue.player(id).ok_or_else(|| unknown_player(&catalogue, id))?;
        Ok(Listed::of(entry))
    }

    /// A player's clubs.
    ///
    /// # Errors
    /// An unknown player.
    pub fn clubs(&self, player: &PlayerId) -> Result<Listing<ClubId, Club>, ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let mut listed: Vec<Listed<ClubId, Club>> = (0_u32..)
            .zip(catalogue.clubs(number).iter())
            .filter(|(_, club)| !club.removed)
            .map(|(at, club)| Listed {
                id: club.id.clone(),
                document: club.document.clone(),
                as_of: catalogue.club_as_of(number, at).unwrap_or_default(),
            })
            .collect();
        listed.sort_by(|a, b| a.id.cmp(&b.id));
        Ok(Listing { items: listed, as_of: catalogue.clubs_as_of(number) })
    }

    /// One club.
    ///
    /// # Errors
    /// An unknown player or club.
    pub fn club(
        &self,
        player: &PlayerId,
        club: &ClubId,
    ) -> Result<Listed<ClubId, Club>, ReadError> {
        let clubs = self.clubs(player)?;
        let found = clubs.items.into_iter().find(|listed| listed.id == *club);
        found.ok_or_else(|| ReadError::UnknownClub(club.clone()))
    }

    /// A player's bags.
    ///
    /// # Errors
    /// An unknown player.
    pub fn bags(&self, player: &PlayerId) -> Result<Listing<BagId, Bag>, ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let items = catalogue.bags(number).into_iter().map(Listed::of).collect();
        Ok(Listing { items, as_of: catalogue.bags_as_of(number) })
    }

    /// One bag.
    ///
    /// # Errors
    /// An unknown player or bag.
    pub fn bag(&self, player: &PlayerId, bag: &BagId) -> Result<Listed<BagId, Bag>, ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        let entry = catalogue.bag(number, bag);
        entry.map(Listed::of).ok_or_else(|| ReadError::UnknownBag(bag.clone()))
    }

    /// What was changed of a bag, newest first.
    ///
    /// # Errors
    /// An unknown player or bag.
    pub fn bag_changes(&self, player: &PlayerId, bag: &BagId) -> Result<Vec<BagChange>, ReadError> {
        let catalogue = read(&self.catalogue);
        let number = known_player(&catalogue, player)?;
        catalogue.bag(number, bag).ok_or_else(|| ReadError::UnknownBag(bag.clone()))?;
        Ok(catalogue.bag_changes(number, bag).into_iter().rev().cloned().collect())
    }

    /// All balls.
    #[must_use]
    pub fn balls(&self) -> Listing<BallId, Ball> {
        let catalogue = read(&self.catalogue);
        let balls = catalogue.balls().into_iter();
        let items = balls.map(|ball| ball.listed(|state| &state.document)).collect();
        Listing { items, as_of: catalogue.balls_as_of() }
    }

    /// One ball.
    ///
    /// # Errors
    /// An unknown id.
    pub fn ball(&self, id: &BallId) -> Result<Listed<BallId, Ball>, ReadError> {
        let catalogue = read(&self.catalogue);
        let ball = catalogue.ball(id).ok_or_else(|| ReadError::UnknownBall(id.clone()))?;
        Ok(ball.listed(|state| &state.document))
    }

    /// All sources.
    #[must_use]
    pub fn sources(&self) -> Listing<SourceId, Source> {
        let catalogue = read(&self.catalogue);
        let sources = catalogue.sources().into_iter();
        let items = sources.map(|source| source.listed(|state| &state.document)).collect();
        Listing { items, as_of: catalogue.sources_as_of() }
    }

    /// One source.
    ///
    /// # Errors
    /// An unknown id.
    pub fn source(&self, id: &SourceId) -> Result<Listed<SourceId, Source>, ReadError> {
        let catalogue = read(&self.catalogue);
        let source = catalogue.source(id).ok_or_else(|| ReadError::UnknownSource(id.clone()))?;
        Ok(source.listed(|state| &state.document))
    }

    /// What a source's shots inherit.
    ///
    /// # Errors
    /// An unknown id.
    pub fn context(&self, id: &SourceId) -> Result<(Context, Sequence), ReadError> {
        let catalogue = read(&self.catalogue);
        let source = catalogue.source(id).ok_or_else(|| ReadError::UnknownSource(id.clone()))?;
        Ok((source.document.context.clone(), source.document.context_as_of))
    }

    /// A player's clubs by number.
    pub(super) fn clubs_of(&self, owner: Owner) -> Arc<Vec<bag::NamedClub>> {
        match owner {
            Owner::Player(number) => read(&self.catalogue).clubs(number),
            Owner::Source(_) => Arc::default(),
        }
    }
}

/// The number of a player who is here.
pub(super) fn known_player(catalogue: &Catalogue, id: &PlayerId) -> Result<u32, ReadError> {
    catalogue.player_number(id).ok_or_else(|| unknown_player(catalogue, id))
}

fn unknown_player(catalogue: &Catalogue, id: &PlayerId) -> ReadError {
    let why =
        if catalogue.is_erased(id) { ReadError::ErasedPlayer } else { ReadError::UnknownPlayer };
    why(id.clone())
}

pub(super) fn number(player: bag::Player<'_>, club: &ClubId) -> Result<u32, ReadError> {
    player.club_number(club).ok_or_else(|| ReadError::UnknownClub(club.clone()))
}

impl<K: Clone, D: Clone> Listed<K, D> {
    pub(super) fn of(entry: &Entry<K, D>) -> Self {
        entry.listed(|document| document)
    }
}

impl<K: Clone, D> Entry<K, D> {
    fn listed<T: Clone>(&self, document: impl FnOnce(&D) -> &T) -> Listed<K, T> {
        Listed {
            id: self.id.clone(),
            document: document(&self.document).clone(),
            as_of: self.as_of,
        }
    }
}
