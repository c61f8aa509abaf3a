//! How values are distributed, counted without a lock.

use std::{
    sync::atomic::{AtomicU64, Ordering::Relaxed},
    time::Duration,
};

/// Counts values by the bounds they lie within. Adding one costs two additions to atomics, so that it may stand on any
/// path. Values are whole numbers of whatever unit the owner keeps them in; times are in nanoseconds.
#[derive(Debug)]
pub struct Histogram {
    bounds: &'static [u64],
    counts: Box<[AtomicU64]>,
    sum: AtomicU64,
}

/// What a [`Histogram`] held at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Distribution {
    /// The upper bounds, inclusive, in rising order.
    pub bounds: &'static [u64],
    /// How many values lay within each bound and beyond the one before it; the last counts those beyond all bounds.
    pub counts: Vec<u64>,
    /// The sum of all values.
    pub sum: u64,
}

impl Histogram {
    /// An empty one with these upper bounds, which rise.
    #[must_use]
    pub fn new(bounds: &'static [u64]) -> Self {
        let counts = (0..=bounds.len()).map(|_| AtomicU64::new(0)).collect();
        Self { bounds, counts, sum: AtomicU64::new(0) }
    }

    /// Adds a value.
    pub fn add(&self, value: u64) {
        let place = self.bounds.partition_point(|bound| *bound < value);
        self.counts[place].fetch_add(1, Relaxed);
        self.sum.fetch_add(value, Relaxed);
    }

    /// Adds a time, in nanoseconds.
    pub fn add_time(&self, time: Duration) {
        self.add(u64::try_from(time.as_nanos()).unwrap_or(u64::MAX));
    }

    /// What it holds now. While others add, the sum may be ahead of the counts by what is just being added.
    #[must_use]
    pub fn read(&self) -> Distribution {
        Distribution {
            bounds: self.bounds,
            counts: self.counts.iter().map(|count| count.load(Relaxed)).collect(),
            sum: self.sum.load(Relaxed),
        }
    }
}

impl Distribution {
    /// How many values there were.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.counts.iter().sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_counts_within_the_least_bound_that_holds_it() {
        let histogram = Histogram::new(&[10, 20]);
        for value in [0, 10, 11, 20, 21, 1_000] {
            histogram.add(value);
        }
        let read = histogram.read();
        assert_eq!(read.counts, [2, 2, 2]);
        assert_eq!((read.count(), read.sum), (6, 1_062));
    }

    #[test]
    fn times_are_in_nanoseconds() {
        let histogram = Histogram::new(&[1_000]);
        histogram.add_time(Duration::from_micros(1));
        histogram.add_time(Duration::from_micros(2));
        assert_eq!(histogram.read().counts, [1, 1]);
        assert_eq!(histogram.read().sum, 3_000);
    }
}
