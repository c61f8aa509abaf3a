//! Frames whose content is gone: what is left of retired shots, and holes.

use super::{
    Live, LiveError, Receipt, catalogue::Catalogue, ledger::Owner, lock, roll::Roll, write,
};
use crate::{
    bag::{NONE, Row},
    shot::{Flags, Hole, RetiredShot, Sequence, Touched},
};

impl Live {
    /// Folds what is left of a retired shot: it stands as the whole one stood when its content went.
    pub(super) fn fold_retired(
        &self,
        shot: &RetiredShot,
        at: Sequence,
    ) -> Result<Receipt, LiveError> {
        self.note_gone(at);
        let mut catalogue = write(&self.catalogue);
        let (mut row, owner) = enter(&mut catalogue, shot, at);
        drop(catalogue);
        lock(&self.ledger).set(at, owner, self.chunks.as_ref())?;
        self.rolls.change(owner, |roll| {
            if let Some(visit) = &shot.session {
                row.session = if visit.derived {
                    roll.span_session(&visit.name, row.source, shot.time)
                } else {
                    roll.named_session(&visit.name)
                };
            }
            roll.touch(at);
            roll.push(row);
        })?;
        self.touch(&shot.left, at)?;
        Ok(Receipt::Done)
    }

    /// Folds a hole: what it left still stands.
    pub(super) fn fold_hole(&self, hole: &Hole, at: Sequence) -> Result<Receipt, LiveError> {
        if *hole != Hole::default() {
            self.note_gone(at);
        }
        if let Some(player) = hole.player {
            write(&self.catalogue).erase_player(None, player, at);
        }
        self.touch(&hole.left, at)?;
        Ok(Receipt::Done)
    }

    /// Notes that a frame was the last to touch some things, and makes those that are not there.
    pub(super) fn touch(&self, things: &[Touched], at: Sequence) -> Result<(), LiveError> {
        for thing in things {
            let (player, note): (_, fn(&mut Roll, Sequence)) = match thing {
                Touched::Shots(player) => (player, Roll::touch),
                Touched::List(player) => (player, Roll::hide),
                _ => {
                    write(&self.catalogue).touch(thing, at);
                    continue;
                }
            };
            let player = write(&self.catalogue).ensure_player(player, at);
            self.rolls.change(Owner::Player(player), |roll| note(roll, at))?;
        }
        Ok(())
    }
}

/// Enters all that the row of a retired shot names.
fn enter(catalogue: &mut Catalogue, shot: &RetiredShot, at: Sequence) -> (Row, Owner) {
    let source = catalogue.ensure_source(&shot.source, at);
    catalogue.edit_source(source, |state| {
        state.shots += 1;
        if !shot.flags.intersects(Flags::CLOCK_AHEAD) {
            state.newest = Some(state.newest.map_or(shot.time, |newest| newest.max(shot.time)));
        }
    });
    let owner = match &shot.player {
        Some(player) => Owner::Player(catalogue.ensure_player(player, at)),
        None => Owner::Source(source),
    };
    let club = shot.club.as_ref().map_or(NONE, |club| catalogue.club_of(owner, club, at));
    let ball = shot.ball.as_ref().map_or(NONE, |ball| catalogue.ensure_ball(ball, at));
    catalogue.count_ball(ball);
    catalogue.note_customer(source, owner);
    let row = Row {
        sequence: at,
        time: shot.time,
        date: shot.date,
        source,
        session: NONE,
        club,
        ball,
        lie: shot.lie,
        wet: shot.wet,
        place: shot.place,
        intent: shot.intent,
        purpose: shot.purpose,
        set_aside: shot.set_aside,
        retired: true,
        spin_origin: shot.spin_origin,
        speed_origin: shot.speed_origin,
        flight_origin: shot.flight_origin,
        flags: shot.flags,
        surroundings: shot.surroundings.clone(),
        measures: shot.measures,
    };
    (row, owner)
}
