//! What comes out of many runs: shares with their intervals, and quantiles.

use std::fmt;

/// The normal quantile of 95 %.
const Z: f64 = 1.959_963_984_540_054;

/// A share of runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Share {
    pub(crate) hits: usize,
    pub(crate) of: usize,
}

impl Share {
    /// How many of these are true.
    pub(crate) fn of(runs: impl IntoIterator<Item = bool>) -> Self {
        runs.into_iter().fold(Self { hits: 0, of: 0 }, |share, hit| Self {
            hits: share.hits + usize::from(hit),
            of: share.of + 1,
        })
    }

    /// Of all runs of several shares.
    pub(crate) fn sum(shares: impl IntoIterator<Item = Self>) -> Self {
        shares.into_iter().fold(Self { hits: 0, of: 0 }, |sum, share| Self {
            hits: sum.hits + share.hits,
            of: sum.of + share.of,
        })
    }

    pub(crate) fn value(self) -> f64 {
        self.hits as f64 / self.of.max(1) as f64
    }

    /// Its 95 % interval (Wilson 1927).
    pub(crate) fn interval(self) -> (f64, f64) {
        let (n, p) = (self.of.max(1) as f64, self.value());
        let scale = 1.0 + Z * Z / n;
        let centre = (p + Z * Z / 2.0 / n) / scale;
        let reach = Z * (p * (1.0 - p) / n + Z * Z / 4.0 / n / n).sqrt() / scale;
        ((centre - reach).max(0.0), (centre + reach).min(1.0))
    }

    /// In per cent, with its interval.
    pub(crate) fn with_interval(self) -> String {
        let (low, high) = self.interval();
        format!("{self} ({:.1} to {:.1})", 100.0 * low, 100.0 * high)
    }
}

impl fmt::Display for Share {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.1}", 100.0 * self.value())
    }
}

/// Counts of shots until something happened; `None` where it never did.
#[derive(Debug, Clone)]
pub(crate) struct Waits {
    sorted: Vec<u32>,
    runs: usize,
    longest: u32,
}

impl Waits {
    /// Of runs that were watched for so many shots.
    pub(crate) fn of(waits: impl IntoIterator<Item = Option<u32>>, longest: u32) -> Self {
        let all: Vec<Option<u32>> = waits.into_iter().collect();
        let mut sorted: Vec<u32> = all.iter().copied().flatten().collect();
        sorted.sort_unstable();
        Self { sorted, runs: all.len(), longest }
    }

    /// The count by which a share of all runs had come to an end, by the nearest rank.
    pub(crate) fn quantile(&self, share: f64) -> Option<u32> {
        self.sorted.get(rank(share, self.runs)).copied()
    }

    /// Median and ninth decile as a table shows them.
    pub(crate) fn shown(&self) -> String {
        let [median, most] = [0.5, 0.9].map(|share| {
            self.quantile(share).map_or_else(|| format!(">{}", self.longest), |n| n.to_string())
        });
        format!("{median} / {most}")
    }
}

/// The quantile of numbers that are all there, by the nearest rank; NaN of none.
pub(crate) fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(rank(share, sorted.len())).copied().unwrap_or(f64::NAN)
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank")]
fn rank(share: f64, of: usize) -> usize {
    ((share * of as f64).ceil() as usize).max(1) - 1
}
