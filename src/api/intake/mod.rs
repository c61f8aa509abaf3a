//! Takes shots in: one, many at once, or a stream of any length. Lines come in; groups go to the
//! store, a few on their way at one time, so that network, parser and disk work side by side; what
//! became of each is counted in the order of lines. Memory is bounded whatever is sent.

mod group;
mod item;
mod many;
mod one;

use std::collections::VecDeque;

use actix_web::rt::task::JoinHandle;
use bytes::Bytes;

use self::{
    group::{Group, Settled},
    item::Item,
};
pub(super) use self::{
    item::{Reader, enveloped},
    many::{array, stream, whole_array, whole_stream},
    one::{Stored, one},
};
use super::{
    errors,
    limits::Limits,
    problem::{Kind, Problem},
    progress::Tally,
    service::{Service, Store},
};
use crate::store::Batch;

/// The way of many shots into the store.
struct Intake<'a> {
    store: &'a Store,
    limits: &'a Limits,
    gathering: Group,
    in_flight: VecDeque<JoinHandle<Settled>>,
    tally: Tally<'a>,
    failed: bool,
}

impl<'a> Intake<'a> {
    fn new(service: &'a Service) -> Self {
        Self {
            store: &service.store,
            limits: &service.limits,
            gathering: Group::default(),
            in_flight: VecDeque::new(),
            tally: Tally::new(service.limits.refusals, &service.meters),
            failed: false,
        }
    }

    /// Takes the next item; waits only when as much is on its way as may be.
    async fn take(&mut self, item: Item) -> Result<(), Problem> {
        self.gathering.add(item);
        if self.gathering.is_full(self.limits) {
            while self.in_flight.len() >= self.limits.groups_in_flight {
                self.settle_oldest().await?;
            }
            self.send();
        }
        Ok(())
    }

    /// Lets what was gathered go, full or not: nothing more is at hand, and what is here shall not
    /// wait for what is not.
    async fn hand_on(&mut self) -> Result<(), Problem> {
        if self.gathering.is_empty() {
            return Ok(());
        }
        if self.in_flight.len() >= self.limits.groups_in_flight {
            self.settle_oldest().await?;
        }
        self.send();
        Ok(())
    }

    /// Sends what was gathered, and waits until the fate of all is known.
    async fn finish(mut self) -> (Tally<'a>, Option<Problem>) {
        let mut first = None;
        if !self.failed && !self.gathering.is_empty() {
            self.send();
        }
        while !self.in_flight.is_empty() {
            if let Err(problem) = self.settle_oldest().await {
                first.get_or_insert(problem);
            }
        }
        (self.tally, first)
    }

    fn send(&mut self) {
        let group = std::mem::take(&mut self.gathering);
        self.in_flight
            .push_back(actix_web::rt::spawn(group.settle(self.store.clone(), Batch::Each)));
    }

    /// Counts the oldest group once its fate is known. It stays the oldest until then, so that it is
    /// counted even when this is given up half-way.
    async fn settle_oldest(&mut self) -> Result<(), Problem> {
        let Some(oldest) = self.in_flight.front_mut() else { return Ok(()) };
        let settled = oldest.await.map_err(|_| {
            Problem::new(Kind::Internal, "a group of shots was lost on its way to the store")
        });
        self.in_flight.pop_front();
        let counted = settled.and_then(|settled| {
            let counted = settled.count(&mut self.tally);
            counted.map_err(|error| errors::of_write(error, self.limits))
        });
        match counted {
            Ok(line) if !self.failed => self.tally.reach(line),
            Ok(_) => {}
            Err(problem) => {
                self.failed = true;
                return Err(problem);
            }
        }
        Ok(())
    }
}

/// Whether a JSON body is an array of events rather than one event.
pub(super) fn is_array(text: &Bytes) -> bool {
    text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'[')
}
