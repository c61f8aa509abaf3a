//! Evidence under one rule of what counts, with what looks at it have shown.

use super::{
    PairQuestion,
    look::{Estimates, Maxima},
    tally::{Side, Tally},
};
use crate::{
    bag::{history::Frozen, row::Row},
    stats::Of,
};

/// Shots that count, and the running maxima of the looks at them.
#[derive(Debug, Clone)]
pub(super) struct Track {
    pub(super) tally: Tally,
    maxima: Maxima,
    /// Whether what counts was looked at as it is, and if so whether with a frozen run effect.
    looked: Option<bool>,
}

/// What stands of a track, the present look included.
pub(super) struct Present {
    pub(super) estimates: Estimates,
    pub(super) maxima: Maxima,
}

impl Track {
    pub(super) fn new(tests: usize) -> Self {
        Self { tally: Tally::default(), maxima: Maxima::none(tests), looked: None }
    }

    pub(super) fn add(&mut self, side: Side, row: &Row, question: &PairQuestion) {
        self.tally.add(side, row, question.own_basis);
        self.looked = None;
    }

    /// Forgets the shots; what looks have shown stays.
    pub(super) fn empty(&mut self) {
        self.tally = Tally::default();
        self.looked = None;
    }

    /// Looks at the evidence. What was looked at as it is shows nothing new.
    pub(super) fn look(&mut self, question: &PairQuestion, frozen: Option<Frozen>) {
        if self.looked == Some(frozen.is_some()) {
            return;
        }
        let estimates = self.tally.estimates(frozen, |quantity| question.asks(quantity));
        self.maxima.take(&question.tests, &estimates, &self.tally);
        self.looked = Some(frozen.is_some());
    }

    /// What stands now.
    pub(super) fn present(&self, question: &PairQuestion, frozen: Option<Frozen>) -> Present {
        let estimates = self
            .tally
            .estimates(frozen, |quantity| quantity.of == Of::Difference || question.asks(quantity));
        let mut maxima = self.maxima.clone();
        if self.looked != Some(frozen.is_some()) {
            maxima.take(&question.tests, &estimates, &self.tally);
        }
        Present { estimates, maxima }
    }
}
