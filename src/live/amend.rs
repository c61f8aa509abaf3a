//! Corrections: the rows that they change, and those that they bring to another owner.

use std::collections::BTreeMap;

use super::{
    Live, LiveError, Receipt,
    ledger::Owner,
    lock,
    overlay::{Base, Corrected, SessionName},
    read,
    roll::Roll,
    write,
};
use crate::{
    bag::{NONE, Row},
    shot::{Correction, Sequence},
};

/// A row on its way, with what is corrected of it and what is effective.
struct Moving {
    row: Row,
    corrected: Corrected,
    effective: Base,
    to: Owner,
    changed: bool,
}

impl Live {
    /// Lays a correction over some shots, ascending; those that get another player move to that
    /// player's roll.
    pub(super) fn amend(
        &self,
        shots: impl IntoIterator<Item = Sequence>,
        patch: &Correction,
        at: Sequence,
    ) -> Result<Receipt, LiveError> {
        let by_owner = self.by_owner(shots)?;
        let matched = by_owner.values().map(Vec::len).sum();
        let mut changed = 0;
        let mut leaving: Vec<Moving> = Vec::new();
        for (owner, shots) in by_owner {
            let (moved, amended) = self.amend_of(owner, &shots, patch, at)?;
            changed += amended;
            leaving.extend(moved);
        }
        // Sessions are derived in sequence order, whoever held the shots before.
        leaving.sort_unstable_by_key(|moving| moving.row.sequence);
        self.arrive(leaving, at)?;
        Ok(Receipt::Amended { matched, changed })
    }

    /// Some shots, ascending, by who holds them now.
    pub(super) fn by_owner(
        &self,
        shots: impl IntoIterator<Item = Sequence>,
    ) -> Result<BTreeMap<Owner, Vec<Sequence>>, LiveError> {
        let mut by_owner: BTreeMap<Owner, Vec<Sequence>> = BTreeMap::new();
        for shot in shots {
            if let Some(owner) = lock(&self.ledger).owner(shot, self.chunks.as_ref())? {
                by_owner.entry(owner).or_default().push(shot);
            }
        }
        Ok(by_owner)
    }

    /// Corrects an owner's shots in place and takes out those that change hands; says how many
    /// of all were changed.
    fn amend_of(
        &self,
        owner: Owner,
        shots: &[Sequence],
        patch: &Correction,
        at: Sequence,
    ) -> Result<(Vec<Moving>, usize), LiveError> {
        let slot = self.rolls.get(owner)?;
        let mut staying = Vec::new();
        let mut leaving = Vec::new();
        for shot in shots {
            let Some(moving) = self.corrected(owner, &read(&slot.roll), *shot, patch, at) else {
                continue;
            };
            if moving.to == owner {
                staying.push(moving);
            } else {
                leaving.push(moving);
            }
        }
        let changed = staying.iter().chain(&leaving).filter(|moving| moving.changed).count();
        self.rolls.change(owner, |roll| {
            for mut moving in staying {
                self.settle(&mut moving, roll, at);
                roll.amend(moving.row, Some(moving.corrected));
            }
            let gone: Vec<Sequence> = leaving.iter().map(|moving| moving.row.sequence).collect();
            if !gone.is_empty() {
                roll.remove(&gone);
                lock(&self.overtaking).hand_over(owner, at);
            }
            roll.touch(at);
        })?;
        Ok((leaving, changed))
    }

    /// What a shot becomes under one more correction.
    fn corrected(
        &self,
        owner: Owner,
        roll: &Roll,
        shot: Sequence,
        patch: &Correction,
        at: Sequence,
    ) -> Option<Moving> {
        let row = Some(&roll.rows()[roll.index_of(shot)?]).filter(|row| !row.retired)?.clone();
        let known = roll.corrected(shot).cloned();
        let before = known.unwrap_or_else(|| self.base(owner, roll, &row).uncorrected());
        let mut corrected = before.clone();
        corrected.patch.then(patch);
        let changed = corrected.differs_from(&before);
        let effective = corrected.effective();
        let to = match &effective.player {
            Some(player) => Owner::Player(write(&self.catalogue).ensure_player(player, at)),
            None => Owner::Source(row.source),
        };
        Some(Moving { row, corrected, effective, to, changed })
    }

    /// The members of a row that nothing was said of yet.
    pub(super) fn base(&self, owner: Owner, roll: &Roll, row: &Row) -> Base {
        let catalogue = read(&self.catalogue);
        Base {
            player: match owner {
                Owner::Player(number) => catalogue.player_id(number).cloned(),
                Owner::Source(_) => None,
            },
            club: catalogue.club_id(owner, row.club),
            session: roll.session(row.session).map(|session| SessionName {
                name: session.name.clone(),
                derived: session.derived.is_some(),
            }),
            lie: row.lie,
            intent: row.intent,
            purpose: row.purpose,
            ball: catalogue.ball_list().get(row.ball as usize).map(|ball| ball.id.clone()),
            wet: row.wet,
            place: row.place,
        }
    }

    /// Gives a row the numbers of the roll that it will stand in.
    fn settle(&self, moving: &mut Moving, roll: &mut Roll, at: Sequence) {
        let Moving { row, corrected, effective, to, .. } = moving;
        let mut catalogue = write(&self.catalogue);
        row.club = effective.club.as_ref().map_or(NONE, |club| catalogue.club_of(*to, club, at));
        let ball = effective.ball.as_ref().map_or(NONE, |ball| catalogue.ensure_ball(ball, at));
        let base = corrected.base.ball.as_ref().and_then(|ball| catalogue.ball_number(ball));
        if ball != row.ball {
            // The sent or inherited ball stays counted: lifting the correction brings it back.
            if Some(ball) != base {
                catalogue.count_ball(ball);
            }
            if Some(row.ball) != base {
                catalogue.discount_ball(row.ball);
            }
            row.ball = ball;
        }
        let source = catalogue.source_by_number(row.source).map(|source| source.id.clone());
        drop(catalogue);
        row.session = match (&effective.session, *to) {
            (Some(SessionName { name, derived: false }), _) => roll.named_session(name),
            (Some(SessionName { name, derived: true }), _) => {
                roll.span_session(name, row.source, row.time)
            }
            (None, Owner::Source(_)) => NONE,
            (None, Owner::Player(_)) => {
                let name = source.as_ref().map_or("", |source| source.as_str());
                let number = roll.derived_session((row.source, name), row.time);
                // Fixed from now on, whatever else is corrected.
                corrected.base.session = roll
                    .session(number)
                    .map(|session| SessionName { name: session.name.clone(), derived: true });
                number
            }
        };
        row.lie = effective.lie;
        row.wet = effective.wet;
        row.place = effective.place;
        row.intent = effective.intent;
        row.purpose = effective.purpose;
        row.set_aside = corrected.set_aside().is_some();
    }

    /// Brings shots to the rolls of their new owners.
    fn arrive(&self, shots: Vec<Moving>, at: Sequence) -> Result<(), LiveError> {
        let mut by_owner: BTreeMap<Owner, Vec<Moving>> = BTreeMap::new();
        for moving in shots {
            by_owner.entry(moving.to).or_default().push(moving);
        }
        for (owner, arriving) in by_owner {
            lock(&self.overtaking).hand_over(owner, at);
            for moving in &arriving {
                lock(&self.ledger).set(moving.row.sequence, owner, self.chunks.as_ref())?;
                write(&self.catalogue).note_customer(moving.row.source, owner);
            }
            self.rolls.change(owner, |roll| {
                let settled = arriving
                    .into_iter()
                    .map(|mut moving| {
                        self.settle(&mut moving, roll, at);
                        (moving.row, Some(moving.corrected))
                    })
                    .collect();
                roll.insert(settled);
                roll.touch(at);
            })?;
        }
        Ok(())
    }
}
