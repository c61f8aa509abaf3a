//! What every handler shares.

use std::sync::Arc;

use bytes::Bytes;

use super::{
    guards::Hosts,
    limits::Limits,
    problem::{Kind, Problem},
    spec,
};
use crate::{
    live::{Live, Receipt},
    shot::{Act, Sequence},
};

/// The store with the fold that the service rests on.
pub type Store = crate::store::Store<Live>;

/// The service: the rooms below, and the rules at its door. One for all workers.
pub struct Service {
    /// Where shots and acts are stored.
    pub store: Arc<Store>,
    /// What answers questions.
    pub live: Arc<Live>,
    /// Names it answers to.
    pub hosts: Hosts,
    /// What it takes at most.
    pub limits: Limits,
    pub(super) openapi: Bytes,
    pub(super) schema: Bytes,
}

impl Service {
    /// A service over an open store and its fold, with the usual rules.
    #[must_use]
    pub fn new(store: Arc<Store>, live: Arc<Live>) -> Self {
        Self {
            store,
            live,
            hosts: Hosts::default(),
            limits: Limits::default(),
            openapi: spec::openapi_text().into(),
            schema: spec::schema_text().into(),
        }
    }

    /// Writes an act, and says what came of it and at which place in the order.
    pub(super) async fn act(&self, act: Act) -> Result<(Sequence, Receipt), Problem> {
        let done = self.store.append_act(act).await;
        done.map_err(|error| super::errors::of_act(error, &self.limits))
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
