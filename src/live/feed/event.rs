//! Something durable that readers are told of: what decides who, and its text for each of them.

use std::sync::OnceLock;

use bytes::Bytes;

use super::{
    Wording,
    followed::{Followed, Keys, Reach},
};
use crate::shot::Sequence;

/// A durable event. Its text is made once for all who are told all of it.
pub(super) struct Event {
    /// Its place in the one order.
    pub sequence: Sequence,
    what: What,
    whole: OnceLock<Bytes>,
}

enum What {
    Shot(Part),
    Act { kind: &'static str, parts: Vec<Part>, reach: Reach, more: bool },
}

/// A shot that an event is about.
pub(super) struct Part {
    /// Which.
    pub shot: Sequence,
    /// What filters look at, and how it is shown; nothing where its content is gone.
    pub shown: Option<(Keys, Bytes)>,
}

/// An act on shots, as one reader is told of it.
#[derive(Debug)]
pub struct Correction<'a> {
    /// The act's place in the one order.
    pub sequence: Sequence,
    /// The kind of the act.
    pub act: &'static str,
    /// The shots that the reader follows, as they are shown now.
    pub shots: Vec<&'a Bytes>,
    /// Shots that the reader may have followed before, and follows no longer, or whose content is gone.
    pub left: Vec<Sequence>,
    /// Whether it changed more than is told here.
    pub more: bool,
}

impl Event {
    /// A shot that came in.
    pub(super) fn of_shot(sequence: Sequence, shown: (Keys, Bytes)) -> Self {
        let part = Part { shot: sequence, shown: Some(shown) };
        Self { sequence, what: What::Shot(part), whole: OnceLock::new() }
    }

    /// An act on shots; with `more`, on others beside these parts.
    pub(super) fn of_act(
        (sequence, kind): (Sequence, &'static str),
        parts: Vec<Part>,
        (reach, more): (Reach, bool),
    ) -> Self {
        Self { sequence, what: What::Act { kind, parts, reach, more }, whole: OnceLock::new() }
    }

    /// Its text for who follows this; nothing where it is not about that.
    pub(super) fn told(&self, followed: &Followed, wording: &dyn Wording) -> Option<Bytes> {
        match &self.what {
            What::Shot(part) => {
                let (keys, item) = part.shown.as_ref()?;
                let told = followed.shots && followed.holds(keys);
                let text = || self.whole.get_or_init(|| wording.shot(self.sequence, item)).clone();
                told.then(text)
            }
            What::Act { kind, parts, reach, more } if followed.corrections => {
                let correction =
                    correction((self.sequence, kind), followed, (parts, *reach, *more));
                if correction.shots.len() == parts.len() {
                    let whole = self.whole.get_or_init(|| wording.correction(&correction));
                    return (!parts.is_empty() || *more).then(|| whole.clone());
                }
                let about = *more || !correction.shots.is_empty() || !correction.left.is_empty();
                about.then(|| wording.correction(&correction))
            }
            What::Act { .. } => None,
        }
    }
}

fn correction<'a>(
    (sequence, act): (Sequence, &'static str),
    followed: &Followed,
    (parts, reach, more): (&'a [Part], Reach, bool),
) -> Correction<'a> {
    let (mut shots, mut left) = (Vec::new(), Vec::new());
    for part in parts {
        match &part.shown {
            Some((keys, item)) if followed.holds(keys) => shots.push(item),
            shown => {
                let keys = shown.as_ref().map(|(keys, _)| keys);
                left.extend(followed.may_have_lost(keys, reach).then_some(part.shot));
            }
        }
    }
    Correction { sequence, act, shots, left, more }
}
