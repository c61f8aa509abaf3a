//! The readers that have caught up, and how far all of them were told.

use std::sync::{
    Arc, Mutex,
    atomic::{AtomicU64, AtomicUsize, Ordering::Relaxed},
};

use tokio::sync::Notify;

use super::{
    FeedFigures, NoPlace, Wording, event::Event, followed::Followed, inbox::End, inbox::Inbox,
};
use crate::{live::lock, shot::Sequence};

/// All readers.
#[derive(Default)]
pub(super) struct Readers {
    joined: Mutex<Joined>,
    /// Wakes the publisher when somebody has joined.
    pub(super) came: Notify,
    count: AtomicUsize,
    next: AtomicU64,
    pub(super) sent: AtomicU64,
    cut: AtomicU64,
}

#[derive(Default)]
struct Joined {
    /// The last frame that all members were told of, if there are any.
    published: Sequence,
    members: Vec<Member>,
    closed: Option<End>,
}

/// A reader that has caught up.
pub(super) struct Member {
    pub(super) number: u64,
    /// What the log calls it.
    pub(super) name: String,
    /// It was told of everything up to here before it joined.
    pub(super) from: Sequence,
    pub(super) followed: Followed,
    pub(super) inbox: Arc<Inbox>,
}

/// Whether a reader joined.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Join {
    /// It did.
    Joined,
    /// The others are ahead of it.
    Behind,
    /// Nobody is told anything any more.
    Closed(End),
}

impl Readers {
    /// A number for a reader that comes, if there is room for it.
    pub(super) fn enter(&self, most: usize) -> Result<u64, NoPlace> {
        let room = |count: usize| (count < most).then_some(count + 1);
        self.count.fetch_update(Relaxed, Relaxed, room).map_err(|_| NoPlace::Full { most })?;
        Ok(self.next.fetch_add(1, Relaxed))
    }

    /// Lets a reader go.
    pub(super) fn leave(&self, number: u64) {
        lock(&self.joined).members.retain(|member| member.number != number);
        self.count.fetch_sub(1, Relaxed);
    }

    /// Lets a reader join that has caught up with all others, and with all there is, `last`, where there
    /// are none: nothing comes between the look and the joining.
    pub(super) fn join(&self, member: Member, last: Sequence) -> Join {
        let mut joined = lock(&self.joined);
        if let Some(end) = joined.closed {
            return Join::Closed(end);
        }
        if joined.members.is_empty() {
            joined.published = last;
        }
        if member.from < joined.published {
            return Join::Behind;
        }
        joined.members.push(member);
        drop(joined);
        self.came.notify_one();
        Join::Joined
    }

    /// Up to where the members were told, and how many there are; nothing where there is nobody.
    pub(super) fn published(&self) -> Option<(Sequence, usize)> {
        let joined = lock(&self.joined);
        (!joined.members.is_empty()).then_some((joined.published, joined.members.len()))
    }

    /// Gives every member the events that it follows; who cannot take them is cut, so that the others
    /// wait for nobody.
    pub(super) fn deliver(&self, events: &[Event], upto: Sequence, wording: &dyn Wording) {
        let mut joined = lock(&self.joined);
        joined.members.retain(|member| {
            let new = events.iter().filter(|event| event.sequence > member.from);
            let told = new.filter_map(|event| {
                Some((event.sequence, event.told(&member.followed, wording)?))
            });
            let kept = member.inbox.push(told, upto);
            if !kept {
                self.cut.fetch_add(1, Relaxed);
                tracing::warn!(reader = %member.name, "a reader is cut: it leaves too many events waiting");
            }
            kept
        });
        joined.published = upto;
    }

    /// Ends it for those who are there; others may come.
    pub(super) fn end(&self, end: End) {
        for member in lock(&self.joined).members.drain(..) {
            member.inbox.end(end);
        }
    }

    /// Ends it for all, and for those who still come.
    pub(super) fn close(&self, end: End) {
        lock(&self.joined).closed.get_or_insert(end);
        self.end(end);
    }

    /// Why nobody is told anything any more, if so.
    pub(super) fn closed(&self) -> Option<End> {
        lock(&self.joined).closed
    }

    pub(super) fn figures(&self) -> FeedFigures {
        FeedFigures {
            readers: self.count.load(Relaxed),
            sent: self.sent.load(Relaxed),
            cut: self.cut.load(Relaxed),
            failures: 0,
        }
    }
}
