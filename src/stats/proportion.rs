//! Shares of shots, and what bounds them: Wilson's interval, and sums of independent shares.
//!
//! These intervals speak of one moment of looking; unlike those of means they may not be watched.

use super::count;

/// The 97.5 % point of the normal law.
const Z: f64 = 1.959_963_984_540_054;

/// A share of one with its 95 % interval; also a weighted sum of shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// The estimate.
    pub share: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// `hits` of `n` with Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927); `None` of none.
#[must_use]
pub fn wilson(hits: usize, n: usize) -> Option<Share> {
    if n == 0 {
        return None;
    }
    let (n, share) = (count(n), count(hits) / count(n));
    let middle = share + Z * Z / (2.0 * n);
    let reach = Z * (share * (1.0 - share) / n + Z * Z / (4.0 * n * n)).sqrt();
    let scale = 1.0 + Z * Z / n;
    Some(Share {
        share,
        low: ((middle - reach) / scale).max(0.0),
        high: ((middle + reach) / scale).min(1.0),
    })
}

/// The sum of independent shares, each times its weight, from their own intervals: the method of variance
/// estimates recovery (Zou and Donner 2008). With weights 1 and −1 it is Newcombe's interval of a difference
/// (R. G. Newcombe, Statistics in Medicine 17, 1998, 873-890, method 10).
#[must_use]
pub fn weighted_shares(parts: &[(f64, Share)]) -> Share {
    let (mut share, mut below, mut above) = (0.0, 0.0, 0.0);
    for (weight, part) in parts {
        let to_low = weight * (part.share - part.low);
        let to_high = weight * (part.high - part.share);
        // A negative weight turns the ends around.
        let (down, up) = if *weight < 0.0 { (to_high, to_low) } else { (to_low, to_high) };
        share += weight * part.share;
        below += down * down;
        above += up * up;
    }
    Share { share, low: share - below.sqrt(), high: share + above.sqrt() }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_difference_has_the_interval_of_the_published_examples() {
        // Newcombe 1998, Statistics in Medicine 17, 873-890, table II, method 10.
        for ((a, m), (b, n), [low, high]) in [
            ((56, 70), (48, 80), [0.0524, 0.3339]),
            ((9, 10), (3, 10), [0.1705, 0.8090]),
            ((6, 7), (2, 7), [0.0582, 0.8062]),
            ((5, 56), (0, 29), [-0.0381, 0.1926]),
            ((0, 10), (0, 20), [-0.1611, 0.2775]),
            ((0, 10), (0, 10), [-0.2775, 0.2775]),
            ((10, 10), (0, 20), [0.6791, 1.0]),
            ((10, 10), (0, 10), [0.6075, 1.0]),
        ] {
            let parts = [(1.0, wilson(a, m).unwrap()), (-1.0, wilson(b, n).unwrap())];
            let found = weighted_shares(&parts);
            assert!((found.low - low).abs() < 6e-5, "{a}/{m} − {b}/{n}: {found:?}");
            assert!((found.high - high).abs() < 6e-5, "{a}/{m} − {b}/{n}: {found:?}");
        }
    }

    #[test]
    fn a_mix_lies_between_its_parts_and_narrower_than_the_widest() {
        let parts = [(0.75, wilson(3, 40).unwrap()), (0.25, wilson(6, 20).unwrap())];
        let mixed = weighted_shares(&parts);
        assert!((mixed.share - (0.75 * 0.075 + 0.25 * 0.3)).abs() < 1e-12);
        assert!(mixed.low > parts[0].1.low && mixed.high < parts[1].1.high);
        assert_eq!(wilson(0, 0), None);
    }
}
