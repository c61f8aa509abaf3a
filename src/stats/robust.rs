//! Robust location and scale, and the summary that a profile shows.

use super::count;
use super::insufficient::{Insufficient, all_bounded, share};

/// Makes the median absolute deviation estimate a normal sd: 1/Φ⁻¹(3/4), rounded as is common (Hampel 1974).
pub const MAD_CONSISTENCY: f64 = 1.4826;
/// Huber's tuning constant: 95 % efficiency on normal data (Huber 1964; the figure from memory).
pub const HUBER_K: f64 = 1.345;

/// Median; `None` of nothing.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a value is no plain number.
pub fn median(values: &[f64]) -> Result<Option<f64>, Insufficient> {
    Ok(Sorted::of(values)?.median())
}

/// [`MAD_CONSISTENCY`] times the median absolute deviation from the median; `None` below two values. No
/// small-sample factor.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a value is no plain number.
pub fn mad_scale(values: &[f64]) -> Result<Option<f64>, Insufficient> {
    Ok(Sorted::of(values)?.mad_scale())
}

/// Mean after cutting ⌊cut·n⌋ values at each end; `None` of nothing.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a value is no plain number, [`Insufficient::NotAShare`] unless
/// 0 ≤ `cut` < ½.
pub fn trimmed_mean(values: &[f64], cut: f64) -> Result<Option<f64>, Insufficient> {
    if !(0.0..0.5).contains(&cut) {
        return Err(Insufficient::NotAShare);
    }
    let sorted = Sorted::of(values)?;
    // A product under half a length: in range and not negative.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let cut = (cut * count(values.len())).floor() as usize;
    let kept = &sorted.0[cut..sorted.0.len() - cut];
    Ok((!kept.is_empty()).then(|| kept.iter().sum::<f64>() / count(kept.len())))
}

/// Huber's estimate of location with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Huber {
    /// The location, in the unit of the values.
    pub location: f64,
    /// The scale, held at the MAD.
    pub scale: f64,
    /// How many values.
    pub n: usize,
    /// Sandwich standard error of the location; `None` where no value lies inside the bend.
    pub se: Option<f64>,
}

/// Huber's M-estimate of location (Huber 1964) with the scale held at [`mad_scale`], started at the median:
/// the fixed point of Σwx/Σw with w = min(1, k·s/|x − μ|). Where the scale is 0 it is the median.
///
/// # Errors
/// [`Insufficient::NoValues`], [`Insufficient::OneValue`] or [`Insufficient::NotFinite`].
pub fn huber(values: &[f64]) -> Result<Huber, Insufficient> {
    Sorted::of(values)?.huber()
}

/// What a profile shows of one measure of one club. Each number is `None` where it does not exist.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Summary {
    /// How many values.
    pub n: usize,
    /// Plain mean.
    pub mean: Option<f64>,
    /// Standard deviation over n − 1; two values at least.
    pub sd: Option<f64>,
    /// Median.
    pub median: Option<f64>,
    /// Tenth percentile (linear interpolation, type 7 of Hyndman and Fan 1996).
    pub p10: Option<f64>,
    /// Ninetieth percentile, likewise.
    pub p90: Option<f64>,
    /// Huber's location; two values at least.
    pub huber: Option<f64>,
    /// The MAD as a normal sd; two values at least.
    pub mad: Option<f64>,
}

impl Summary {
    /// Summarises a series.
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] where a value is no plain number.
    pub fn of(values: &[f64]) -> Result<Self, Insufficient> {
        let sorted = Sorted::of(values)?;
        let moments = Moments::of(values);
        Ok(Self {
            n: values.len(),
            mean: moments.mean,
            sd: moments.sd,
            median: sorted.median(),
            p10: sorted.percentile(0.1),
            p90: sorted.percentile(0.9),
            huber: sorted.huber().ok().map(|huber| huber.location),
            mad: sorted.mad_scale(),
        })
    }
}

/// A percentile of a series by linear interpolation (type 7 of Hyndman and Fan 1996); `None` of nothing.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a value is no plain number, [`Insufficient::NotAShare`] unless `share`
/// lies strictly between 0 and 1.
pub fn percentile(values: &[f64], share_below: f64) -> Result<Option<f64>, Insufficient> {
    let share_below = share(share_below)?;
    Ok(Sorted::of(values)?.percentile(share_below))
}

/// Mean and standard deviation by two passes, corrected for what rounding loses of the mean.
pub(super) struct Moments {
    pub(super) mean: Option<f64>,
    pub(super) sd: Option<f64>,
}

impl Moments {
    /// Of values that are known to be bounded.
    pub(super) fn of(values: &[f64]) -> Self {
        if values.is_empty() {
            return Self { mean: None, sd: None };
        }
        let n = count(values.len());
        let rough = values.iter().sum::<f64>() / n;
        let lost = values.iter().map(|value| value - rough).sum::<f64>() / n;
        let squares: f64 = values.iter().map(|value| ((value - rough) - lost).powi(2)).sum();
        Self {
            mean: Some(rough + lost),
            sd: (values.len() > 1).then(|| (squares / (n - 1.0)).sqrt()),
        }
    }
}

/// Bounded values in ascending order.
struct Sorted(Vec<f64>);

impl Sorted {
    fn of(values: &[f64]) -> Result<Self, Insufficient> {
        all_bounded(values)?;
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        Ok(Self(sorted))
    }

    fn median(&self) -> Option<f64> {
        median_of_sorted(&self.0)
    }

    fn mad_scale(&self) -> Option<f64> {
        mad_scale_of_sorted(&self.0)
    }

    fn percentile(&self, share_below: f64) -> Option<f64> {
        let last = self.0.len().checked_sub(1)?;
        let place = share_below * count(last);
        // Between 0 and the last index.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let below = place.floor() as usize;
        let low = self.0[below];
        let high = self.0[(below + 1).min(last)];
        Some(low + (place - place.floor()) * (high - low))
    }

    fn huber(&self) -> Result<Huber, Insufficient> {
        let values = &self.0;
        let start = self.median().ok_or(Insufficient::NoValues)?;
        let scale = self.mad_scale().ok_or(Insufficient::OneValue)?;
        let n = values.len();
        if scale == 0.0 {
            return Ok(Huber { location: start, scale, n, se: Some(0.0) });
        }
        let location = huber_location(values, start, HUBER_K * scale);
        let mut squares = 0.0;
        let mut inside = 0_usize;
        for value in values {
            let standard = (value - location) / scale;
            squares += standard.clamp(-HUBER_K, HUBER_K).powi(2);
            inside += usize::from(standard.abs() <= HUBER_K);
        }
        let n_f = count(n);
        let se = (inside > 0)
            .then(|| scale * (squares / (n_f - 1.0) / n_f).sqrt() / (count(inside) / n_f));
        Ok(Huber { location, scale, n, se })
    }
}

/// The fixed point of the weighted mean with weights min(1, bend/|x − μ|).
fn huber_location(values: &[f64], start: f64, bend: f64) -> f64 {
    let mut location = start;
    // Linear convergence, a few dozen rounds; the cap only guards against a last-bit cycle.
    for _ in 0..500 {
        let (mut sum, mut weights) = (0.0, 0.0);
        for value in values {
            let weight = (bend / (value - location).abs().max(1e-300)).min(1.0);
            sum += weight * value;
            weights += weight;
        }
        let next = sum / weights;
        let still = (next - location).abs() <= 1e-15 * location.abs().max(1.0);
        location = next;
        if still {
            break;
        }
    }
    location
}

/// Median of ascending values.
pub(super) fn median_of_sorted(sorted: &[f64]) -> Option<f64> {
    let high = *sorted.get(sorted.len() / 2)?;
    if sorted.len() % 2 == 1 {
        return Some(high);
    }
    Some(f64::midpoint(sorted[sorted.len() / 2 - 1], high))
}

/// [`mad_scale`] of ascending values in O(log n).
///
/// The deviations of the values below the median ascend leftwards and those above it rightwards: the median
/// deviation is a selection from two sorted series.
pub(super) fn mad_scale_of_sorted(sorted: &[f64]) -> Option<f64> {
    if sorted.len() < 2 {
        return None;
    }
    let middle = median_of_sorted(sorted)?;
    let halves = Halves::of(sorted, middle);
    let high = halves.smallest(sorted.len() / 2);
    let deviation = if sorted.len() % 2 == 1 {
        high
    } else {
        f64::midpoint(halves.smallest(sorted.len() / 2 - 1), high)
    };
    Some(MAD_CONSISTENCY * deviation)
}

/// Ascending values, cut at their median, seen as two ascending series of absolute deviations from it.
struct Halves<'a> {
    below: &'a [f64],
    above: &'a [f64],
    middle: f64,
}

impl<'a> Halves<'a> {
    fn of(sorted: &'a [f64], middle: f64) -> Self {
        let (below, above) = sorted.split_at(sorted.partition_point(|&value| value < middle));
        Self { below, above, middle }
    }

    fn left(&self, place: usize) -> f64 {
        self.middle - self.below[self.below.len() - 1 - place]
    }

    fn right(&self, place: usize) -> f64 {
        self.above[place] - self.middle
    }

    /// The deviation at 0-based `rank` of both series together; `rank` must be under their joint length.
    fn smallest(&self, rank: usize) -> f64 {
        // How many of the rank smallest come from the left: the least number that leaves no left deviation
        // below the right one it would displace.
        let mut low = rank.saturating_sub(self.above.len());
        let mut high = rank.min(self.below.len());
        while low < high {
            let taken = usize::midpoint(low, high);
            if self.left(taken) < self.right(rank - taken - 1) {
                low = taken + 1;
            } else {
                high = taken;
            }
        }
        let from_right = rank - low;
        match (low < self.below.len(), from_right < self.above.len()) {
            (true, true) => self.left(low).min(self.right(from_right)),
            (true, false) => self.left(low),
            _ => self.right(from_right),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use proptest::prelude::*;

    /// The definition, literally.
    fn naive_mad(values: &[f64]) -> f64 {
        let middle = median(values).unwrap().unwrap();
        let deviations: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
        MAD_CONSISTENCY * median(&deviations).unwrap().unwrap()
    }

    proptest! {
        #[test]
        fn selecting_from_two_halves_is_the_definition_of_the_mad(
            values in prop::collection::vec(prop_oneof![-9.0..9.0_f64, (-3..4_i8).prop_map(f64::from)], 2..50),
        ) {
            prop_assert_eq!(mad_scale(&values).unwrap().unwrap(), naive_mad(&values));
        }

        #[test]
        fn huber_lies_between_the_extremes_and_moves_with_the_values(
            values in prop::collection::vec(-9.0..9.0_f64, 2..40),
            shift in -500.0..500.0_f64,
        ) {
            let here = huber(&values).unwrap().location;
            let moved: Vec<f64> = values.iter().map(|value| value + shift).collect();
            prop_assert!(values.iter().any(|&v| v <= here + 1e-12) && values.iter().any(|&v| v >= here - 1e-12));
            prop_assert!((huber(&moved).unwrap().location - here - shift).abs() < 1e-6);
        }
    }

    #[test]
    fn percentiles_interpolate_between_order_statistics() {
        let values = [50.0, 10.0, 40.0, 20.0, 30.0];
        let summary = Summary::of(&values).unwrap();
        assert_eq!(
            (summary.p10, summary.median, summary.p90),
            (Some(14.0), Some(30.0), Some(46.0))
        );
        assert_eq!(percentile(&values, 1.0), Err(Insufficient::NotAShare));
    }

    #[test]
    fn a_summary_says_nothing_that_does_not_exist() {
        assert_eq!(Summary::of(&[]).unwrap(), Summary::default());
        let one = Summary::of(&[7.0]).unwrap();
        assert_eq!((one.mean, one.median, one.p90), (Some(7.0), Some(7.0), Some(7.0)));
        assert_eq!((one.sd, one.huber, one.mad), (None, None, None));
    }

    #[test]
    fn a_trimmed_mean_drops_both_ends() {
        // A hand sum: 20 % of six is one at each end, the mean of 2, 3, 4, 5.
        assert_eq!(trimmed_mean(&[1.0, 2.0, 3.0, 4.0, 5.0, 100.0], 0.2).unwrap(), Some(3.5));
        assert_eq!(trimmed_mean(&[], 0.2).unwrap(), None);
        assert_eq!(trimmed_mean(&[1.0], 0.5), Err(Insufficient::NotAShare));
    }
}
