//! Makes events of the journal's frames, as the fold shows their shots now.

use std::sync::Arc;

use jiff::SignedDuration;
use thiserror::Error;
use tokio::sync::watch;

use super::{
    Wording,
    event::{Event, Part},
    followed::{Keys, Reach},
};
use crate::{
    live::{Live, LiveError},
    shot::{self, Act, Correction, Sequence},
    store::{Entry, Frame, ReadError, Store},
};

/// Frames that are read at one time.
const FRAMES: u64 = 256;
/// Shots of an act that its event tells of, at most.
const TOLD: usize = 100;

/// How long before its place a reader may have been sent no answers any more: they come in rounds, and
/// behind the events of their time.
const ROUND: SignedDuration = SignedDuration::from_mins(1);

/// Why events cannot be told.
#[derive(Debug, Error)]
pub enum FeedError {
    /// What is stored cannot be read.
    #[error(transparent)]
    Stored(#[from] ReadError),
    /// The state cannot be read.
    #[error(transparent)]
    State(#[from] LiveError),
    /// An answer cannot be written.
    #[error("an answer cannot be written: {0}")]
    Unwritten(serde_json::Error),
}

/// Reads frames, and words what they say.
pub(super) struct Teller {
    pub(super) store: Store<Live>,
    pub(super) wording: Arc<dyn Wording>,
}

impl Teller {
    pub(super) fn new(store: Store<Live>, wording: Arc<dyn Wording>) -> Self {
        Self { store, wording }
    }

    /// The last frame that may be told: it is durable, and every question knows of it.
    pub(super) fn last(&self) -> Sequence {
        self.store.last()
    }

    pub(super) fn news(&self) -> watch::Receiver<Sequence> {
        self.store.news()
    }

    pub(super) fn live(&self) -> &Live {
        self.store.projection()
    }

    /// The events of some frames beyond `after`, up to `upto` at most, and the last frame that was
    /// looked at.
    pub(super) fn read(
        &self,
        after: Sequence,
        upto: Sequence,
    ) -> Result<(Vec<Event>, Sequence), FeedError> {
        let many = upto.get().saturating_sub(after.get()).min(FRAMES);
        let from = Sequence::new(after.get() + 1);
        let frames = self.store.scan(from, usize::try_from(many).unwrap_or(usize::MAX))?;
        let mut events = Vec::with_capacity(frames.len());
        for frame in frames {
            events.extend(self.event(frame)?);
        }
        Ok((events, Sequence::new(after.get() + many)))
    }

    /// The last frame of which every reader has had the answers that came to a place: those of a moment
    /// before. Where that cannot be read, the place.
    pub(super) fn surely_answered(&self, place: Sequence) -> Sequence {
        let arrival = |at: u64| Some(self.store.scan(Sequence::new(at), 1).ok()?.first()?.arrival);
        let Some(then) = arrival(place.get()) else { return place };
        // Arrivals follow a clock that is seldom put back.
        let (mut before, mut after) = (0, place.get());
        while after - before > 1 {
            let middle = before + (after - before) / 2;
            let is_before = arrival(middle).is_none_or(|at| then.duration_since(at) > ROUND);
            *(if is_before { &mut before } else { &mut after }) = middle;
        }
        Sequence::new(before)
    }

    fn event(&self, frame: Frame) -> Result<Option<Event>, FeedError> {
        let at = frame.sequence;
        match frame.entry {
            Entry::Shot { event, text, .. } => {
                let shown = self.shown(at, (event, text))?;
                Ok(shown.map(|shown| Event::of_shot(at, shown)))
            }
            Entry::Act(act) => self.act(at, &act),
            // What they told of is gone.
            Entry::Retired(_) | Entry::Hole(_) => Ok(None),
        }
    }

    fn act(&self, at: Sequence, act: &Act) -> Result<Option<Event>, FeedError> {
        let (shots, reach): (Vec<Sequence>, Reach) = match act {
            Act::Correct { shot, patch } => (vec![*shot], reach_of(patch)),
            Act::Assign { shots, set, .. } => {
                (shots.iter().take(TOLD + 1).collect(), reach_of(set))
            }
            Act::EraseShot { shot } => (vec![*shot], Reach::default()),
            Act::Retire { shots, .. } => (shots.iter().take(TOLD + 1).collect(), Reach::default()),
            // Whose shots they were, nobody is told.
            Act::ErasePlayer { .. } => (Vec::new(), Reach::default()),
            Act::Put(_)
            | Act::Remove(_)
            | Act::SetContext { .. }
            | Act::OpenTrial { .. }
            | Act::ChangeTrial { .. } => return Ok(None),
        };
        let more = shots.len() > TOLD || matches!(act, Act::ErasePlayer { .. });
        let mut parts = Vec::with_capacity(shots.len().min(TOLD));
        for shot in shots.into_iter().take(TOLD) {
            parts.push(Part { shot, shown: self.stored(shot)? });
        }
        Ok(Some(Event::of_act((at, act.kind()), parts, (reach, more))))
    }

    /// A shot that an act was about.
    fn stored(&self, shot: Sequence) -> Result<Option<(Keys, bytes::Bytes)>, FeedError> {
        let Some(stored) = self.store.read(shot)? else { return Ok(None) };
        match shot::parse(&stored.text) {
            Ok(event) => self.shown(shot, (event, stored.text)),
            Err(_) => Ok(None),
        }
    }

    /// A shot as it is shown, whose text was read before: the fold has the last word.
    fn shown(
        &self,
        shot: Sequence,
        (event, text): (shot::Event, bytes::Bytes),
    ) -> Result<Option<(Keys, bytes::Bytes)>, FeedError> {
        let Some(view) = self.live().shot(shot)? else { return Ok(None) };
        let source = event.source.clone();
        let item = self.wording.item(&view, event, text);
        let keys = Keys { player: view.player, club: view.club, source };
        Ok(item.map(|item| (keys, item)))
    }
}

fn reach_of(patch: &Correction) -> Reach {
    // A club is named within its player.
    Reach { player: !patch.player.is_keep(), club: !patch.club.is_keep() }
}
