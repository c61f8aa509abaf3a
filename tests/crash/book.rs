//! What a sender knows of its shots: what it sent, and what it was told.

use std::collections::BTreeMap;

use crate::event::Event;
use crate::http::Shot;

/// What a sender knows of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fate {
    /// It was sent, and no answer came.
    Unsure,
    /// It was acknowledged, or seen; at this place, if that was told.
    Stored(Option<u64>),
    /// It was refused, or was not there after a restart.
    Absent,
}

/// A shot that was sent.
#[derive(Debug, Clone)]
pub(crate) struct Sent {
    pub(crate) event: Event,
    /// As it was sent first.
    pub(crate) text: String,
    pub(crate) fate: Fate,
}

/// The shots of one source.
#[derive(Debug, Default)]
pub(crate) struct Book {
    shots: BTreeMap<String, Sent>,
    stored: Vec<String>,
}

impl Book {
    pub(crate) fn add(&mut self, id: String, sent: Sent) {
        assert!(self.shots.insert(id, sent).is_none(), "an id is used once");
    }

    pub(crate) fn get(&self, id: &str) -> &Sent {
        &self.shots[id]
    }

    /// Ids of stored shots, as they became known.
    pub(crate) fn stored(&self) -> &[String] {
        &self.stored
    }

    /// Notes that a shot is on its way, unless it is known to be there.
    pub(crate) fn doubt(&mut self, id: &str) {
        let sent = self.shots.get_mut(id).unwrap();
        if sent.fate == Fate::Absent {
            sent.fate = Fate::Unsure;
        }
    }

    /// Notes what became of a shot. A place once told stays.
    pub(crate) fn settle(&mut self, id: &str, fate: Fate) {
        let sent = self.shots.get_mut(id).unwrap();
        match (sent.fate, fate) {
            (Fate::Stored(_), Fate::Unsure | Fate::Absent) => panic!("{id} was stored before"),
            (Fate::Stored(Some(before)), Fate::Stored(now)) => {
                assert!(now.is_none_or(|now| now == before), "{id} moved from {before} to {now:?}");
            }
            (Fate::Stored(None), Fate::Stored(_)) => sent.fate = fate,
            (_, Fate::Stored(_)) => {
                sent.fate = fate;
                self.stored.push(id.to_owned());
            }
            _ => sent.fate = fate,
        }
    }

    /// Compares with what a restarted service holds: what was acknowledged is there, once, as it was
    /// sent, at its place; what was refused or is gone is not. What was in doubt is settled; the ids
    /// of those that are there. A sender waits for each answer and numbers its shots, so places grow
    /// with ids.
    pub(crate) fn compare(&mut self, held: &BTreeMap<String, Shot>) -> Vec<String> {
        let mut survivors = Vec::new();
        let ids: Vec<String> = self.shots.keys().cloned().collect();
        for id in ids {
            let Sent { text, fate, .. } = &self.shots[&id];
            let (fate, shot) = (*fate, held.get(&id));
            if let Some(shot) = shot {
                assert_eq!(&shot.event, text, "{id} is not as it was sent");
            }
            match (fate, shot) {
                (Fate::Stored(_), None) => panic!("{id} was acknowledged ({fate:?}) and is lost"),
                (Fate::Absent, Some(shot)) => {
                    panic!("{id} was refused or gone, now it is {shot:?}")
                }
                (Fate::Absent, None) => {}
                (Fate::Unsure, None) => self.settle(&id, Fate::Absent),
                (Fate::Stored(_), Some(shot)) => {
                    self.settle(&id, Fate::Stored(Some(shot.sequence)));
                }
                (Fate::Unsure, Some(shot)) => {
                    self.settle(&id, Fate::Stored(Some(shot.sequence)));
                    survivors.push(id);
                }
            }
        }
        let unknown = held.keys().find(|id| !self.shots.contains_key(*id));
        assert_eq!(unknown, None, "nobody sent it");
        let in_order = held.values().is_sorted_by(|a, b| a.sequence < b.sequence);
        assert!(in_order, "shots are not in the order in which they were sent");
        survivors
    }
}
