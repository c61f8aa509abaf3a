//! A shot as the service shows it: what is effective, beside the event as it was sent.

use serde::Serialize;

use super::{Live, LiveError, ledger::Owner, lock, overlay::Base, read, roll::Roll};
use crate::{
    bag::Marks,
    shot::{Assignment, ClubId, Correction, Flags, PlayerId, Reason, Retirement, Sequence},
};

/// What is effective of a shot.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotView {
    /// Its place in the one order.
    pub sequence: Sequence,
    /// Who hit it; `None` while it waits.
    pub player: Option<PlayerId>,
    /// With which club; `None` while it waits.
    pub club: Option<ClubId>,
    /// In which visit; `None` while it waits.
    pub session: Option<String>,
    /// What is odd about it, as things stand.
    pub flags: Flags,
    /// Why it was set aside; `None` where it counts.
    pub set_aside: Option<Reason>,
    /// What was corrected of it.
    pub changed: Changed,
}

/// What was corrected of a shot, as the patch that would do it at once.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[serde(transparent)]
pub struct Changed(pub serde_json::Map<String, serde_json::Value>);

/// What an assignment would do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DryRun {
    /// Shots that its filter finds.
    pub matched: usize,
    /// Those that it would change.
    pub changed: usize,
    /// The last sequence that was folded.
    pub as_of: Sequence,
}

/// An entry of the catalogue in an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Listed<K, D> {
    /// Its id.
    pub id: K,
    /// What is said of it.
    #[serde(flatten)]
    pub document: D,
    /// The last sequence that changed it.
    pub as_of: Sequence,
}

/// A shot's flags as they stand: those of its arrival, and the screen's.
pub(super) fn flags(roll: &Roll, marks: &Marks, shot: Sequence) -> Flags {
    let Some(index) = roll.index_of(shot) else { return Flags::NONE };
    let mut flags = roll.rows()[index].flags;
    if let Some(place) = marks.of_row(index) {
        if place.is_mishit(marks.places().len()) {
            flags |= Flags::MISHIT;
        }
        if !place.screened {
            flags |= Flags::UNSCREENED;
        }
    }
    flags
}

impl Live {
    /// What is effective of a shot; `None` where the sequence is none.
    ///
    /// # Errors
    /// A table that cannot be read.
    pub fn shot(&self, shot: Sequence) -> Result<Option<ShotView>, LiveError> {
        let _acts = self.question()?;
        let Some(owner) = lock(&self.ledger).owner(shot, self.chunks.as_ref())? else {
            return Ok(None);
        };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        if let Owner::Player(player) = owner {
            reading.mark(&roll, &read(&self.catalogue).clubs(player));
        }
        Ok(self.view(owner, &roll, reading.marks(), shot))
    }

    /// What is effective of a shot of an owner whose marks are up to date.
    pub(super) fn view(
        &self,
        owner: Owner,
        roll: &Roll,
        marks: &Marks,
        shot: Sequence,
    ) -> Option<ShotView> {
        let row = Some(&roll.rows()[roll.index_of(shot)?]).filter(|row| !row.retired)?;
        let Base { player, club, session, .. } = self.base(owner, roll, row);
        let patch = roll.corrected(shot).map(|corrected| &corrected.patch);
        Some(ShotView {
            sequence: shot,
            player,
            club,
            session: session.map(|session| session.name),
            flags: flags(roll, marks, shot),
            set_aside: patch.and_then(|patch| patch.set_aside.set().cloned()),
            changed: patch.map(Changed::of).unwrap_or_default(),
        })
    }

    /// What an assignment would do, without doing it.
    ///
    /// # Errors
    /// A filter that is too wide, or a table that cannot be read.
    pub fn dry_run(&self, assignment: &Assignment) -> Result<DryRun, super::Refusal> {
        let _acts = self.question()?;
        self.judge_act(&crate::shot::Act::Assign(assignment.clone()))?;
        let found = self.find(&assignment.filter)?;
        let mut changed = 0;
        for shot in &found {
            changed += usize::from(self.would_change(*shot, &assignment.set)?);
        }
        Ok(DryRun { matched: found.len(), changed, as_of: *lock(&self.last) })
    }

    /// What a retirement would do, without doing it.
    ///
    /// # Errors
    /// As for [`Live::dry_run`].
    pub fn would_retire(&self, retirement: &Retirement) -> Result<DryRun, super::Refusal> {
        let _acts = self.question()?;
        self.judge_act(&crate::shot::Act::Retire(retirement.clone()))?;
        let matched = self.find(&retirement.filter)?.len();
        Ok(DryRun { matched, changed: matched, as_of: *lock(&self.last) })
    }

    fn would_change(&self, shot: Sequence, set: &Correction) -> Result<bool, LiveError> {
        let Some(owner) = lock(&self.ledger).owner(shot, self.chunks.as_ref())? else {
            return Ok(false);
        };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let Some(row) = roll.index_of(shot).map(|index| &roll.rows()[index]) else {
            return Ok(false);
        };
        let known = roll.corrected(shot).cloned();
        let before = known.unwrap_or_else(|| self.base(owner, &roll, row).uncorrected());
        let mut after = before.clone();
        after.patch.then(set);
        Ok(after.effective() != before.effective() || after.set_aside() != before.set_aside())
    }
}

impl Changed {
    fn of(patch: &Correction) -> Self {
        let mut members = match serde_json::to_value(patch) {
            Ok(serde_json::Value::Object(members)) => members,
            // A correction is an object of words and names.
            _ => serde_json::Map::new(),
        };
        members.retain(|_, value| !value.is_null());
        let mut intent = serde_json::Map::new();
        for member in ["height", "shape", "swing"] {
            if let Some(value) = members.remove(member) {
                intent.insert(member.to_owned(), value);
            }
        }
        if !intent.is_empty() {
            members.insert("intent".to_owned(), intent.into());
        }
        if let Some(reason) = members.remove("set_aside") {
            members.insert("set_aside".to_owned(), serde_json::json!({ "reason": reason }));
        }
        Self(members)
    }
}
