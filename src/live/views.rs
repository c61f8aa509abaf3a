//! A shot as the service shows it: what is effective, beside the event as it was sent.

use serde::Serialize;

use super::{
    Live, LiveError, Refusal, ledger::Owner, lock, overlay::Base, read, reading::Reading,
    roll::Roll,
};
use crate::shot::{
    BallId, ClubId, Correction, Flags, FlightOrigin, Intent, Lie, Place, PlayerId, Purpose, Reason,
    Sequence, ShotSet, SpeedOrigin, SpinOrigin,
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
    /// Which other club of the player's it flies like; `None` for most shots.
    pub flies_like: Option<ClubId>,
    /// Why it was set aside; `None` where it counts.
    pub set_aside: Option<Reason>,
    /// What was corrected of it.
    pub changed: Changed,
    /// What else is effective.
    pub effective: Effective,
}

/// Members that are the event's own, inherited or corrected.
#[derive(Debug, Clone, PartialEq)]
pub struct Effective {
    /// What the ball lay on; `None` where unstated.
    pub lie: Option<Lie>,
    /// What the player meant.
    pub intent: Intent,
    /// What it was hit for.
    pub purpose: Purpose,
    /// With which ball; `None` where unstated.
    pub ball: Option<BallId>,
    /// Whether ball or face was wet.
    pub wet: bool,
    /// Where; `None` where unstated.
    pub place: Option<Place>,
    /// How the spin came about; `None` where unstated.
    pub spin_origin: Option<SpinOrigin>,
    /// How the clubhead's speed came about; `None` where unstated.
    pub speed_origin: Option<SpeedOrigin>,
    /// How the flight came about; `None` where unstated.
    pub flight_origin: Option<FlightOrigin>,
}

/// What was corrected of a shot, as the patch that would do it at once.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[serde(transparent)]
pub struct Changed(pub serde_json::Map<String, serde_json::Value>);

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

/// A list of the catalogue.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Listing<K, D> {
    /// The entries, by id.
    pub items: Vec<Listed<K, D>>,
    /// The last sequence that changed any of them or took one out.
    pub as_of: Sequence,
}

impl Live {
    /// What is effective of a shot; `None` where the sequence is none.
    ///
    /// # Errors
    /// A table that cannot be read.
    pub fn shot(&self, shot: Sequence) -> Result<Option<ShotView>, LiveError> {
        let _acts = self.question()?;
        self.shot_now(shot)
    }

    /// The same for who lets no act happen meanwhile.
    pub(super) fn shot_now(&self, shot: Sequence) -> Result<Option<ShotView>, LiveError> {
        let Some(owner) = lock(&self.ledger).owner(shot, self.chunks.as_ref())? else {
            return Ok(None);
        };
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let mut reading = lock(&slot.reading);
        Ok(self.view(owner, &roll, &mut reading, shot))
    }

    /// What is effective of a shot of an owner.
    pub(super) fn view(
        &self,
        owner: Owner,
        roll: &Roll,
        reading: &mut Reading,
        shot: Sequence,
    ) -> Option<ShotView> {
        let index = roll.index_of(shot).filter(|index| !roll.rows()[*index].retired)?;
        let row = &roll.rows()[index];
        let clubs = self.clubs_of(owner);
        reading.mark(roll, &clubs);
        let like = reading.flies_like(roll, index, &clubs);
        let Base { player, club, session, lie, intent, purpose, ball, wet, place } =
            self.base(owner, roll, row);
        let patch = roll.corrected(shot).map(|corrected| &corrected.patch);
        Some(ShotView {
            sequence: shot,
            player,
            club,
            session: session.map(|session| session.name),
            flags: reading.flags(roll, index, &clubs),
            flies_like: like.and_then(|club| Some(clubs.get(club as usize)?.id.clone())),
            set_aside: patch.and_then(|patch| patch.set_aside.set().cloned()),
            changed: patch.map(Changed::of).unwrap_or_default(),
            effective: Effective {
                lie,
                intent,
                purpose,
                ball,
                wet,
                place,
                spin_origin: row.spin_origin,
                speed_origin: row.speed_origin,
                flight_origin: row.flight_origin,
            },
        })
    }

    /// How many of some shots an assignment would change, and the last sequence that was looked at.
    ///
    /// # Errors
    /// What would be refused, or a table that cannot be read.
    pub fn would_change(
        &self,
        shots: &ShotSet,
        set: &Correction,
    ) -> Result<(usize, Sequence), Refusal> {
        self.judge_assigned(set)?;
        let mut changed = 0;
        for (owner, shots) in self.by_owner(shots.iter())? {
            let _acts = self.question()?;
            for shot in shots {
                changed += usize::from(self.would_change_one(owner, shot, set)?);
            }
        }
        Ok((changed, *lock(&self.last)))
    }

    fn would_change_one(
        &self,
        owner: Owner,
        shot: Sequence,
        set: &Correction,
    ) -> Result<bool, LiveError> {
        let slot = self.rolls.get(owner)?;
        let roll = read(&slot.roll);
        let Some(row) = roll.index_of(shot).map(|index| &roll.rows()[index]) else {
            return Ok(false);
        };
        let known = roll.corrected(shot).cloned();
        let before = known.unwrap_or_else(|| self.base(owner, &roll, row).uncorrected());
        let mut after = before.clone();
        after.patch.then(set);
        Ok(after.differs_from(&before))
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
