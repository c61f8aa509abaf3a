//! What an export tells of each frame: nothing whose content is gone, and of one player's nothing that
//! is others'.
//!
//! A frame is told as it stands, or as a frame that folds to the same: a retired shot as what is left
//! of it, an act on shots that are gone as a hole, a shot among holes with what was settled when it
//! came. So whoever folds what was told gives the answers that are given here.

use std::collections::BTreeMap;

use thiserror::Error;

use super::{
    Live, LiveError, ReadError,
    catalogue::Catalogue,
    ledger::Owner,
    lock,
    overlay::{Base, Corrected},
    read,
    roll::Roll,
};
use crate::{
    bag::Row,
    shot::{
        Act, Change, Context, Correction, Event, Flags, Hole, Keyed, PlayerId, RetiredShot,
        Sequence, Settled, SourceId, Subject, Touched, Visit,
    },
    store::{Entry, Frame},
};

/// Why an export cannot go on.
#[derive(Debug, Clone, Error)]
pub enum ExportError {
    /// Content was taken away since it began, or shots came to the one player or went: what was told
    /// before and what would be told now do not fold to the same.
    #[error(
        "something was erased, retired or given to another player while the export went out: ask for \
         it again"
    )]
    Overtaken,
    /// The state cannot be read.
    #[error(transparent)]
    State(#[from] LiveError),
}

/// An export: whose, and what it may hang on things that frames touched last.
#[derive(Debug)]
pub struct Export {
    salt: [u8; 16],
    /// The last frame that it tells of.
    upto: Sequence,
    player: Option<(u32, PlayerId)>,
    touches: BTreeMap<Sequence, Vec<Touched>>,
}

impl Live {
    /// Begins an export of everything, or of one player's, that tells of the frames up to `upto`. `salt`
    /// is the id of the store.
    ///
    /// # Errors
    /// An unknown player, or a state that cannot be read.
    pub fn export(
        &self,
        (salt, upto): ([u8; 16], Sequence),
        player: Option<&PlayerId>,
    ) -> Result<Export, ReadError> {
        let _acts = self.question()?;
        let player = match player {
            Some(id) => Some((self.number_of(id)?, id.clone())),
            None => None,
        };
        let of = player.as_ref().map(|(number, _)| *number);
        let catalogue = read(&self.catalogue);
        let mut touches: BTreeMap<Sequence, Vec<Touched>> = BTreeMap::new();
        for (at, thing) in catalogue.touches(of) {
            touches.entry(at).or_default().push(thing);
        }
        for (number, id) in catalogue.players_with_numbers() {
            if of.is_none_or(|of| of == number) {
                let head = self.rolls.head(Owner::Player(number))?;
                touches.entry(head.as_of).or_default().push(Touched::Shots(id.clone()));
                if head.listed() > head.as_of {
                    touches.entry(head.listed()).or_default().push(Touched::List(id.clone()));
                }
            }
        }
        Ok(Export { salt, upto, player, touches })
    }

    /// Whether something was folded after the last frame of an export that makes it wrong. The fold may
    /// know of acts that the store does not show yet, so this can be true of an export that just began:
    /// it is begun anew then.
    pub fn has_overtaken(&self, export: &Export) -> bool {
        let player = export.player.as_ref().map(|(player, _)| *player);
        lock(&self.overtaking).is_after(export.upto, player)
    }

    /// What an export tells of a frame.
    ///
    /// # Errors
    /// `Overtaken` if content was taken away or given away since the export began, or a state that
    /// cannot be read.
    pub fn told(&self, export: &Export, frame: Frame) -> Result<Frame, ExportError> {
        let _acts = self.question()?;
        if self.has_overtaken(export) {
            return Err(ExportError::Overtaken);
        }
        if export.player.is_none() && !self.is_anything_gone() {
            return Ok(frame);
        }
        let at = frame.sequence;
        let left = || export.touches.get(&at).cloned().unwrap_or_default();
        let entry = match frame.entry {
            Entry::Shot { event, text, .. } => match self.standing(export, at)? {
                Standing::Whole(settled) => {
                    Entry::Shot { event, text, settled: Some(Box::new(settled)) }
                }
                Standing::Reduced(row) => {
                    let shot = Keyed::of_shot(export.salt, (&event.source, &event.id));
                    Entry::Retired(Box::new(row.retired(shot, &event, left())))
                }
                Standing::Nothing => {
                    let shot = Keyed::of_shot(export.salt, (&event.source, &event.id));
                    let shot = export.player.is_none().then_some(shot);
                    hole(Hole { shot, left: left(), ..Hole::default() })
                }
            },
            Entry::Retired(shot) => match self.standing(export, at)? {
                Standing::Nothing => {
                    let shot = export.player.is_none().then_some(shot.shot);
                    hole(Hole { shot, left: left(), ..Hole::default() })
                }
                _ => Entry::Retired(Box::new(RetiredShot { left: left(), ..*shot })),
            },
            Entry::Hole(known) => match export.player {
                None => hole(Hole { left: left(), ..*known }),
                Some(_) => hole(Hole { left: left(), ..Hole::default() }),
            },
            Entry::Act(act) => match self.told_act(export, *act, at)? {
                Told::Act(act) => Entry::Act(act),
                Told::Nothing(player) => hole(Hole { player, left: left(), ..Hole::default() }),
            },
        };
        Ok(Frame { entry, ..frame })
    }

    fn number_of(&self, id: &PlayerId) -> Result<u32, ReadError> {
        self.player(id)?;
        let number = read(&self.catalogue).player_number(id);
        number.ok_or_else(|| ReadError::UnknownPlayer(id.clone()))
    }

    /// How a shot stands in an export.
    fn standing(&self, export: &Export, shot: Sequence) -> Result<Standing, LiveError> {
        let owner = lock(&self.ledger).owner(shot, self.chunks.as_ref())?;
        let owner = owner.filter(|owner| export.is_of(*owner));
        let Some(owner) = owner else { return Ok(Standing::Nothing) };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let Some(row) = roll.index_of(shot).map(|index| &roll.rows()[index]) else {
            return Ok(Standing::Nothing);
        };
        let corrected = roll.corrected(shot);
        if row.retired || export.hides(corrected) {
            return Ok(Standing::Reduced(Box::new(self.reduced(owner, &roll, row))));
        }
        let base = match corrected {
            Some(corrected) => corrected.base.clone(),
            None => self.base(owner, &roll, row),
        };
        let waits = base.player.is_none();
        let session = base.session.filter(|session| session.derived).map(|session| session.name);
        let late = row.flags.intersects(Flags::LATE);
        Ok(Standing::Whole(Settled { session, late, waits, left: export.entries_left(shot) }))
    }

    fn reduced(&self, owner: Owner, roll: &Roll, row: &Row) -> Reduced {
        Reduced { row: row.clone(), named: self.base(owner, roll, row) }
    }

    /// Whether an export tells a shot whole, so that it tells the acts on it too.
    fn tells(&self, export: &Export, shot: Sequence) -> Result<bool, LiveError> {
        Ok(matches!(self.standing(export, shot)?, Standing::Whole(_)))
    }

    fn told_act(&self, export: &Export, act: Act, at: Sequence) -> Result<Told, LiveError> {
        let told = match act {
            Act::Correct { shot, patch } => {
                if !self.tells(export, shot)? {
                    return Ok(Told::NOTHING);
                }
                let patch = self.told_patch(export, patch, at);
                let left = export.entries_left(at);
                if left.is_empty() {
                    Act::Correct { shot, patch }
                } else {
                    let shots = [shot].into_iter().collect();
                    Act::Assign { filter: Box::default(), shots, set: patch, left }
                }
            }
            Act::Assign { shots, set, .. } => {
                let mut told = Vec::new();
                for shot in shots.iter() {
                    if self.tells(export, shot)? {
                        told.push(shot);
                    }
                }
                if told.is_empty() {
                    return Ok(Told::NOTHING);
                }
                Act::Assign {
                    // It may name who and what is gone.
                    filter: Box::default(),
                    shots: told.into_iter().collect(),
                    set: self.told_patch(export, set, at),
                    left: export.touches.get(&at).cloned().unwrap_or_default(),
                }
            }
            Act::Put(document) if self.is_told(export, &document.subject(), at) => {
                Act::Put(document)
            }
            Act::Remove(subject) if self.is_told(export, &subject, at) => Act::Remove(subject),
            Act::OpenTrial { player, trial } if !self.is_silenced(export, &player, at) => {
                Act::OpenTrial { player, trial }
            }
            Act::ChangeTrial { player, trial, patch } if !self.is_silenced(export, &player, at) => {
                Act::ChangeTrial { player, trial, patch }
            }
            Act::SetContext { source, context } if self.is_source_told(export, &source) => {
                let context = self.told_context(export, context, at);
                Act::SetContext { source, context }
            }
            Act::ErasePlayer { player } => {
                return Ok(Told::Nothing(export.player.is_none().then_some(player)));
            }
            _ => return Ok(Told::NOTHING),
        };
        Ok(Told::Act(Box::new(told)))
    }

    /// A correction without a player who is not told of.
    fn told_patch(&self, export: &Export, patch: Correction, at: Sequence) -> Correction {
        let catalogue = read(&self.catalogue);
        match patch.player.set() {
            Some(player) if export.silences(&catalogue, player, at) => {
                Correction { player: Change::Keep, ..patch }
            }
            _ => patch,
        }
    }

    /// A context without a player who is not told of; the club is that player's.
    fn told_context(&self, export: &Export, context: Context, at: Sequence) -> Context {
        let catalogue = read(&self.catalogue);
        match &context.player {
            Some(player) if export.silences(&catalogue, player, at) => {
                Context { player: None, club: None, ..context }
            }
            _ => context,
        }
    }

    fn is_told(&self, export: &Export, subject: &Subject, at: Sequence) -> bool {
        match subject {
            Subject::Player(player)
            | Subject::Club(player, _)
            | Subject::Bag(player, _)
            | Subject::Trial(player, _) => !self.is_silenced(export, player, at),
            Subject::Ball(_) => true,
            // How a house reads its files is no player's.
            Subject::CsvMapping(_) => export.player.is_none(),
            Subject::Source(source) => self.is_source_told(export, source),
        }
    }

    /// Whether what a frame says of a player is left out.
    fn is_silenced(&self, export: &Export, player: &PlayerId, at: Sequence) -> bool {
        export.silences(&read(&self.catalogue), player, at)
    }

    fn is_source_told(&self, export: &Export, source: &SourceId) -> bool {
        let Some((player, _)) = export.player else { return true };
        let catalogue = read(&self.catalogue);
        let number = catalogue.source_number(source);
        number.is_some_and(|number| catalogue.is_customer(player, number))
    }
}

impl Export {
    /// What a frame touched last, its shots' player apart: a frame that is told whole does that by
    /// itself, but an entry may have been made before by what is left of an earlier one.
    fn entries_left(&self, at: Sequence) -> Vec<Touched> {
        let touches = self.touches.get(&at).into_iter().flatten();
        let of_shots = |touched: &&Touched| matches!(touched, Touched::Shots(_) | Touched::List(_));
        touches.filter(|touched| !of_shots(touched)).cloned().collect()
    }

    /// Whether it tells of an owner's shots.
    fn is_of(&self, owner: Owner) -> bool {
        self.player.as_ref().is_none_or(|(player, _)| owner == Owner::Player(*player))
    }

    /// Whether a shot of the player's was sent under another's name.
    fn hides(&self, corrected: Option<&Corrected>) -> bool {
        let Some((_, player)) = &self.player else { return false };
        let sent = corrected.and_then(Corrected::sent_as);
        sent.is_some_and(|sent| sent != player)
    }

    /// Whether a frame's word of a player is left out: others are not told of in one player's export,
    /// and nobody is who was erased since.
    fn silences(&self, catalogue: &Catalogue, player: &PlayerId, at: Sequence) -> bool {
        let other = self.player.as_ref().is_some_and(|(_, of)| of != player);
        other || catalogue.is_erased_after(player, at)
    }
}

/// How a shot stands in an export.
enum Standing {
    /// As it was sent.
    Whole(Settled),
    /// As what statistics rest on.
    Reduced(Box<Reduced>),
    /// Not at all.
    Nothing,
}

/// What is told of an act.
enum Told {
    Act(Box<Act>),
    /// Nothing, but that a player was erased.
    Nothing(Option<Keyed>),
}

impl Told {
    const NOTHING: Self = Self::Nothing(None);
}

/// A row with the names behind its numbers.
struct Reduced {
    row: Row,
    named: Base,
}

impl Reduced {
    fn retired(self, shot: Keyed, event: &Event, left: Vec<Touched>) -> RetiredShot {
        let Self { row, named } = self;
        let session = named.session;
        RetiredShot {
            shot,
            source: event.source.clone(),
            time: row.time,
            date: row.date,
            player: named.player,
            club: named.club,
            session: session.map(|visit| Visit { name: visit.name, derived: visit.derived }),
            lie: row.lie,
            wet: row.wet,
            place: row.place,
            intent: row.intent,
            purpose: row.purpose,
            ball: named.ball,
            set_aside: row.set_aside,
            spin_origin: row.spin_origin,
            speed_origin: row.speed_origin,
            flight_origin: row.flight_origin,
            flags: row.flags,
            surroundings: row.surroundings,
            measures: row.measures,
            left,
        }
    }
}

fn hole(hole: Hole) -> Entry {
    Entry::Hole(Box::new(hole))
}
