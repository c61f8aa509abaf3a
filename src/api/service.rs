//! What every handler shares.

use std::sync::Arc;

use bytes::Bytes;

use super::{guards::Hosts, limits::Limits, spec};
use crate::live::Live;

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
    pub(super) spec: Bytes,
    pub(super) schema: Bytes,
}

impl Service {
    /// A service over an open store and its fold, with the usual limits.
    #[must_use]
    pub fn new(store: Arc<Store>, live: Arc<Live>) -> Self {
        Self {
            store,
            live,
            hosts: Hosts::default(),
            limits: Limits::default(),
            spec: Bytes::from(spec::openapi_text()),
            schema: Bytes::from(spec::schema_text()),
        }
    }
}
