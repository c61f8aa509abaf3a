//! Shares of shots in answers.

use serde::Serialize;
use utoipa::ToSchema;

use super::metric::Interval;
use crate::{
    shot::ClubId,
    stats::{self, Share},
};

/// A share with its 95 % interval (Wilson 1927): it speaks of this moment of looking.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Rate {
    /// How many were asked.
    pub n: usize,
    /// Those that said yes, as a share; null of none.
    pub share: Option<f64>,
    /// Lower end.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
}

impl Rate {
    /// `hits` of `n`.
    #[must_use]
    pub fn of(hits: usize, n: usize) -> Self {
        let found = stats::wilson(hits, n);
        Self {
            n,
            share: found.map(|found| found.share),
            low: found.map(|found| found.low),
            high: found.map(|found| found.high),
        }
    }

    /// The share with its ends; `None` of none.
    #[must_use]
    pub(super) fn found(&self) -> Option<Share> {
        Some(Share { share: self.share?, low: self.low?, high: self.high? })
    }

    /// This share less another, with the 95 % interval of a difference (Newcombe 1998).
    #[must_use]
    pub(super) fn less(&self, other: &Self) -> Interval {
        let both = self.found().zip(other.found());
        both.map_or(Interval::UNKNOWN, |(own, other)| {
            Interval::of_share(stats::weighted_shares(&[(1.0, own), (-1.0, other)]))
        })
    }
}

/// A club's share of its shots.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubRate {
    /// The club.
    pub club: ClubId,
    /// Its share.
    #[serde(flatten)]
    pub rate: Rate,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_has_the_interval_of_a_published_example() {
        // Newcombe 1998, Statistics in Medicine 17, 857-872, table I, method 3: 81 of 263 and 15 of 148.
        let close = |value: Option<f64>, published: f64| {
            value.is_some_and(|value| (value - published).abs() < 5e-5)
        };
        let rate = Rate::of(81, 263);
        assert!(close(rate.low, 0.2553) && close(rate.high, 0.3662), "{rate:?}");
        let rate = Rate::of(15, 148);
        assert!(close(rate.low, 0.0624) && close(rate.high, 0.1605), "{rate:?}");
        let rate = Rate::of(0, 20);
        assert!(close(rate.low, 0.0) && close(rate.high, 0.1611), "{rate:?}");
    }

    #[test]
    fn of_no_shots_there_is_no_share_and_no_difference() {
        assert_eq!(Rate::of(0, 0).share, None);
        assert_eq!(Rate::of(0, 0).less(&Rate::of(1, 9)), Interval::UNKNOWN);
    }
}
