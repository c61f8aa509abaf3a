//! From figures to pixels, and the round figures in between.

/// A straight scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// The figures at both ends.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Their pixels.
    pub(super) begin: f64,
    pub(super) end: f64,
}

impl Scale {
    /// A scale from figures to pixels; figures that are all the same stand in the middle.
    pub(super) fn new([from, to]: [f64; 2], [begin, end]: [f64; 2]) -> Self {
        let (from, to) = if to - from > 1e-9 { (from, to) } else { (from - 1.0, from + 1.0) };
        Self { from, to, begin, end }
    }

    /// The pixel of a figure.
    pub(super) fn at(&self, figure: f64) -> f64 {
        self.begin + (figure - self.from) / (self.to - self.from) * (self.end - self.begin)
    }

    /// The pixel of a figure, within the scale.
    pub(super) fn within(&self, figure: f64) -> f64 {
        self.at(figure.clamp(self.from, self.to))
    }
}

/// Round figures within a stretch, so many at most: steps of 1, 2 or 5 times a power of ten.
pub(super) fn round_figures([low, high]: [f64; 2], at_most: f64) -> Vec<f64> {
    let width = high - low;
    if width <= 0.0 || width.is_nan() || at_most < 1.0 {
        return Vec::new();
    }
    let rough = width / at_most;
    let power = 10_f64.powf(rough.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|times| times * power);
    let step = steps.into_iter().find(|step| *step >= rough * 0.999).unwrap_or(10.0 * power);
    let mut figures = Vec::new();
    let mut at = (low / step).ceil();
    while at * step <= high + step * 1e-6 {
        // Never a negative zero.
        figures.push(at * step + 0.0);
        at += 1.0;
    }
    figures
}

/// The least and the greatest of some figures; `None` of none.
pub(super) fn reach(figures: impl IntoIterator<Item = f64>) -> Option<[f64; 2]> {
    figures.into_iter().fold(None, |reach, figure| {
        let [low, high] = reach.unwrap_or([figure; 2]);
        Some([low.min(figure), high.max(figure)])
    })
}

/// A stretch with a share of its width added at both ends.
pub(super) fn padded([low, high]: [f64; 2], share: f64) -> [f64; 2] {
    let more = (high - low).max(1e-9) * share;
    [low - more, high + more]
}

/// Moves places apart until neighbours are `gap` apart, as little as may be and within `[low, high]`.
/// What comes first stays first.
pub(super) fn apart(places: &mut [f64], gap: f64, [low, high]: [f64; 2]) {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|a, b| places[*a].total_cmp(&places[*b]).then(a.cmp(b)));
    let mut least = low;
    for at in &order {
        places[*at] = places[*at].max(least);
        least = places[*at] + gap;
    }
    let mut most = high;
    for at in order.iter().rev() {
        places[*at] = places[*at].min(most);
        most = places[*at] - gap;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp)] // sums of whole numbers are exact

    use super::*;

    #[test]
    fn figures_between_are_round_and_few() {
        assert_eq!(round_figures([148.0, 171.0], 5.0), [150.0, 155.0, 160.0, 165.0, 170.0]);
        assert_eq!(round_figures([-0.3, 0.3], 3.0), [-0.2, 0.0, 0.2]);
        assert!(round_figures([5.0, 5.0], 5.0).is_empty());
        assert!(round_figures([0.0, 97.0], 4.0).len() <= 5);
    }

    #[test]
    fn labels_are_moved_apart_and_stay_within() {
        let mut places = [10.0, 11.0, 12.0, 80.0];
        apart(&mut places, 10.0, [0.0, 100.0]);
        assert_eq!(places, [10.0, 20.0, 30.0, 80.0]);
        let mut low = [95.0, 99.0];
        apart(&mut low, 10.0, [0.0, 100.0]);
        assert_eq!(low, [90.0, 100.0]);
    }
}
