//! Whether the store takes writes.

use std::sync::{Mutex, MutexGuard, PoisonError};

use super::error::WriteError;

/// Whether writes are taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Health {
    /// They are.
    Accepting,
    /// There was no room for the last one; the next one tries again.
    Full {
        /// What the system said.
        cause: String,
        /// The file that cannot grow.
        file: String,
    },
    /// Not until a restart: something failed, or the store is closed.
    Refusing {
        /// What happened first.
        cause: String,
        /// The file it happened to.
        file: String,
    },
}

/// The health of a store, as writer, applier and handles see it.
pub(super) struct HealthCell(Mutex<Health>);

impl HealthCell {
    pub(super) const fn new() -> Self {
        Self(Mutex::new(Health::Accepting))
    }

    fn lock(&self) -> MutexGuard<'_, Health> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(super) fn get(&self) -> Health {
        self.lock().clone()
    }

    /// Why nothing can be stored until a restart, if so.
    pub(super) fn refusal(&self) -> Option<WriteError> {
        match self.get() {
            Health::Refusing { cause, file } => Some(WriteError::Unavailable { cause, file }),
            Health::Accepting | Health::Full { .. } => None,
        }
    }

    /// Ends acceptance. The first cause is the one that stays.
    pub(super) fn refuse(&self, cause: &str, file: &str) {
        let mut health = self.lock();
        if !matches!(*health, Health::Refusing { .. }) {
            tracing::error!(cause, file, "nothing more is stored until a restart");
            *health = Health::Refusing { cause: cause.to_owned(), file: file.to_owned() };
        }
    }

    /// Notes that the store was closed in order.
    pub(super) fn close(&self, file: String) {
        let mut health = self.lock();
        if !matches!(*health, Health::Refusing { .. }) {
            *health = Health::Refusing { cause: "the store is closed".to_owned(), file };
        }
    }

    /// Notes that there was no room.
    pub(super) fn fill(&self, cause: &str, file: &str) {
        let mut health = self.lock();
        if *health == Health::Accepting {
            tracing::warn!(cause, file, "no room left to store; the next write tries again");
            *health = Health::Full { cause: cause.to_owned(), file: file.to_owned() };
        }
    }

    /// Notes that frames were stored.
    pub(super) fn stored(&self) {
        let mut health = self.lock();
        if matches!(*health, Health::Full { .. }) {
            tracing::info!("there is room again");
            *health = Health::Accepting;
        }
    }
}
