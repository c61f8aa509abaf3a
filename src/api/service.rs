//! What every handler shares.

use std::sync::{Arc, OnceLock};

use actix_web::HttpRequest;
use bytes::Bytes;

use super::{
    conditions::Conditions,
    docs, errors,
    guards::Hosts,
    kept::Kept,
    limits::Limits,
    metrics::Meters,
    origins::Origins,
    problem::{Kind, Problem},
    spec,
    stop::Stop,
    stream,
    tag::Tag,
};
use crate::{
    live::{
        Live, LiveError, ROWS_KEPT, Receipt,
        feed::{Bounds, Feed, Followed, NoPlace, Subscription},
    },
    shot::{Act, Sequence},
    store::{self, Chunks, Home, OpenError, RecoveryReport, Replayed, TableError},
};

/// The store with the fold that the service rests on.
pub type Store = store::Store<Live>;

/// Opens the store of a home with the fold of this service.
///
/// # Errors
/// Each variant of [`OpenError`] says what is wrong, where, and how to mend it.
pub fn open(home: Home) -> Result<(Store, RecoveryReport), OpenError> {
    Store::open(home, load)
}

/// The same; how far a replay of the journal is, `replayed` is told and not the log.
///
/// # Errors
/// As for [`open`].
pub fn open_telling(
    home: Home,
    replayed: Replayed<'_>,
) -> Result<(Store, RecoveryReport), OpenError> {
    Store::open_telling(home, load, replayed)
}

fn load(chunks: Arc<dyn Chunks>) -> Result<Live, TableError> {
    Live::load(chunks, ROWS_KEPT).map_err(|error| match error {
        LiveError::Table(error) => error,
        LiveError::Unreadable(_) => {
            TableError { file: String::from("the fold's chunks"), cause: error.to_string() }
        }
    })
}

/// A text that stays as it is as long as the program does, with its tag.
pub(super) struct Fixed {
    pub(super) text: Bytes,
    pub(super) tag: Tag,
}

impl Fixed {
    fn of(text: String) -> Self {
        Self { tag: Tag::strong(text.as_bytes()), text: text.into() }
    }
}

/// The service: the rooms below, and the rules at its door. One for all workers.
pub struct Service {
    /// Where shots and acts are stored, and the fold that answers questions.
    pub store: Store,
    /// Names it answers to.
    pub hosts: Hosts,
    /// Origins whose pages may read and write.
    pub origins: Origins,
    /// What it takes at most.
    pub limits: Limits,
    openapi: OnceLock<Fixed>,
    reference: OnceLock<Fixed>,
    pub(super) kept: Kept,
    pub(super) feed: Feed,
    pub(super) schema: Fixed,
    pub(super) stop: Stop,
    pub(super) meters: Arc<Meters>,
}

impl Service {
    /// A service over an open store, with the usual rules.
    #[must_use]
    pub fn new(store: Store) -> Self {
        let unassigned_before = store.projection().folded_unassigned();
        Self {
            feed: Feed::new(store.clone(), Arc::new(stream::Words)),
            store,
            hosts: Hosts::default(),
            origins: Origins::default(),
            limits: Limits::default(),
            openapi: OnceLock::new(),
            reference: OnceLock::new(),
            kept: Kept::default(),
            schema: Fixed::of(spec::schema_text()),
            stop: Stop::new(),
            meters: Arc::new(Meters::new(unassigned_before)),
        }
    }

    /// The description of the API, as this service's limits make it.
    pub(super) fn openapi(&self) -> &Fixed {
        self.openapi.get_or_init(|| Fixed::of(spec::openapi_text(&self.limits)))
    }

    /// The same description as a page.
    pub(super) fn reference(&self) -> &Fixed {
        self.reference.get_or_init(|| Fixed::of(docs::reference_of(&self.openapi().text)))
    }

    /// What answers questions.
    pub(super) fn live(&self) -> &Live {
        self.store.projection()
    }

    /// Follows what happens after a sequence, for the client of a request.
    pub(super) fn follow(
        &self,
        followed: Followed,
        after: Sequence,
        request: &HttpRequest,
    ) -> Result<Subscription, Problem> {
        let name = request.peer_addr().map_or_else(String::new, |peer| peer.to_string());
        let Limits { streams: readers, stream_events: queue, .. } = self.limits;
        let found = self.feed.subscribe(followed, (after, name), Bounds { readers, queue });
        found.map_err(|error| match error {
            NoPlace::Full { .. } => Problem::new(Kind::Crowded, error.to_string())
                .with_retry_after(self.limits.retry_after),
            NoPlace::NoThreads | NoPlace::Failed { .. } => self.untold(error.to_string()),
        })
    }

    /// The refusal of who would be told of what happens, and cannot be.
    pub(super) fn untold(&self, detail: String) -> Problem {
        Problem::new(Kind::Unavailable, detail).with_retry_after(self.limits.retry_after)
    }

    /// Whether the service stops, and has no time left for answers that are still on their way.
    pub(super) fn is_ending(&self) -> bool {
        self.stop.has_called(self.limits.shutdown_time)
    }

    /// Writes an act, and says what came of it and at which place in the order.
    pub(super) async fn act(&self, act: Act) -> Result<(Sequence, Receipt), Problem> {
        self.act_if(act, Conditions::default()).await
    }

    /// The same, if the conditions of the request hold when the act's turn comes.
    pub(super) async fn act_if(
        &self,
        act: Act,
        conditions: Conditions,
    ) -> Result<(Sequence, Receipt), Problem> {
        let done = self.store.append_act_if(act, conditions.wanted).await;
        done.map_err(|error| errors::of_act(error, &self.limits))
    }
}

/// Puts a question that may take a while to a thread that nobody else waits for.
pub(super) async fn ask<T: Send + 'static>(
    question: impl FnOnce() -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    let answered = actix_web::web::block(question).await;
    answered.unwrap_or_else(|_| {
        Err(Problem::new(Kind::Internal, "the question was lost; the log says why"))
    })
}
