//! Where the shots of one kind lie in a few measures at once, whatever strays are among them.

use super::count;
use super::robust::{mad_scale_of_sorted, median_of_sorted};

/// How many measures a point has at most.
pub const CLOUD_MEASURES: usize = 4;
/// Fewest points that a measure's middle is known from. Own simulation: from twelve on, one shot in two hundred
/// of a player of usual spread lies outside by chance or mishit.
pub const CLOUD_MIN_N: usize = 12;
/// How many points the usual spread weighs as much as. A MAD of a dozen values is often far too small; own
/// simulation of 8 to 200 points.
const USUAL_WEIGHT: f64 = 10.0;
/// The variance of a point about an estimated middle is larger by this over n: that of a median and of a
/// scale that are uncertain themselves. Own simulation.
const UNCERTAIN: f64 = 3.0;

/// Quantiles of the chi-squared distribution with 1 to 4 degrees of freedom (any table of it).
const CHI_SQUARED_975: [f64; CLOUD_MEASURES] = [5.024, 7.378, 9.348, 11.143];
const CHI_SQUARED_990: [f64; CLOUD_MEASURES] = [6.635, 9.210, 11.345, 13.277];

/// The values of one shot; `None` where nothing was measured.
pub type Point = [Option<f64>; CLOUD_MEASURES];

/// What is known of a measure's spread before any shot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UsualSpread {
    /// The usual standard deviation.
    pub usual: f64,
    /// The least that is believed.
    pub least: f64,
    /// Whether both are in the measure's own unit, or shares of its middle.
    pub of: SpreadOf,
}

/// What a spread is told in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpreadOf {
    /// The measure's unit.
    Unit,
    /// The middle of its values.
    Middle,
}

/// The middle and the scale of one measure.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Middle {
    at: f64,
    scale: f64,
}

/// Middle and scale of each measure.
///
/// They are median and MAD, taken twice: of all points, then of those that do not lie far out in all measures
/// together (one step of reweighting, as in Rousseeuw and van Driel 1999). So a quarter of the points may
/// be something else without being believed. The measures' correlation is left out: it needs more points than there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Cloud {
    middles: [Option<Middle>; CLOUD_MEASURES],
}

/// How far a point lies out, in so many measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance {
    /// Sum of the squared deviations in scales.
    pub squared: f64,
    /// How many measures it is the sum of, at least one.
    pub measures: usize,
}

impl Cloud {
    /// The cloud of some points. A measure that fewer than [`CLOUD_MIN_N`] of them have stays unknown.
    #[must_use]
    pub fn of(points: &[Point], spreads: &[UsualSpread; CLOUD_MEASURES]) -> Self {
        let told = |measure: usize| points.iter().filter(|point| point[measure].is_some()).count();
        let enough = std::array::from_fn(|measure| told(measure) >= CLOUD_MIN_N);
        let all = Self::about(points, spreads, enough);
        let near = |point: &&Point| {
            all.distance(point, &all).is_none_or(|far| far.squared <= far.bound(&CHI_SQUARED_975))
        };
        let kept: Vec<Point> = points.iter().filter(near).copied().collect();
        // Where half is far out there is no telling what the kind is.
        if 2 * kept.len() < points.len() {
            return all;
        }
        Self::about(&kept, spreads, enough)
    }

    fn about(
        points: &[Point],
        spreads: &[UsualSpread; CLOUD_MEASURES],
        known: [bool; CLOUD_MEASURES],
    ) -> Self {
        Self {
            middles: std::array::from_fn(|measure| {
                let mut values: Vec<f64> =
                    points.iter().filter_map(|point| point[measure]).collect();
                values.sort_unstable_by(f64::total_cmp);
                known[measure].then(|| Middle::of(&values, spreads[measure])).flatten()
            }),
        }
    }

    /// How many scales a value of one measure lies above its middle, by the measure's place in a point;
    /// `None` where the measure is not known.
    #[must_use]
    pub fn deviation(&self, measure: usize, value: f64) -> Option<f64> {
        let middle = (*self.middles.get(measure)?)?;
        Some((value - middle.at) / middle.scale)
    }

    /// The middle of a measure, by its place in a point.
    #[must_use]
    pub fn middle(&self, measure: usize) -> Option<f64> {
        self.middles.get(measure)?.map(|middle| middle.at)
    }

    /// How far out a point lies, in the measures that it has and that are known here and of the other
    /// cloud, so that its distances from both can be compared; `None` where there is none.
    #[must_use]
    pub fn distance(&self, point: &Point, other: &Self) -> Option<Distance> {
        let mut far = Distance { squared: 0.0, measures: 0 };
        for (measure, value) in point.iter().enumerate() {
            let (Some(value), Some(middle), Some(_)) =
                (value, self.middles[measure], other.middles[measure])
            else {
                continue;
            };
            far.squared += ((value - middle.at) / middle.scale).powi(2);
            far.measures += 1;
        }
        (far.measures > 0).then_some(far)
    }
}

impl Middle {
    /// Of ascending values.
    fn of(values: &[f64], spread: UsualSpread) -> Option<Self> {
        let at = median_of_sorted(values)?;
        let seen = mad_scale_of_sorted(values)?;
        let unit = match spread.of {
            SpreadOf::Unit => 1.0,
            SpreadOf::Middle => at.abs(),
        };
        let n = count(values.len());
        let usual = spread.usual * unit;
        let squared = (n * seen * seen + USUAL_WEIGHT * usual * usual) / (n + USUAL_WEIGHT);
        let scale = squared.sqrt().max(spread.least * unit) * (1.0 + UNCERTAIN / n).sqrt();
        (scale > 0.0).then_some(Self { at, scale })
    }
}

impl Distance {
    /// Whether one in a hundred of the cloud's own points at most lies further out.
    #[must_use]
    pub fn is_inside(self) -> bool {
        self.squared < self.bound(&CHI_SQUARED_990)
    }

    fn bound(self, by_measures: &[f64; CLOUD_MEASURES]) -> f64 {
        by_measures[self.measures.clamp(1, CLOUD_MEASURES) - 1]
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use statrs::distribution::{ChiSquared, ContinuousCDF};

    const SPREADS: [UsualSpread; CLOUD_MEASURES] = [
        UsualSpread { usual: 0.025, least: 0.008, of: SpreadOf::Middle },
        UsualSpread { usual: 1.3, least: 0.5, of: SpreadOf::Unit },
        UsualSpread { usual: 0.08, least: 0.03, of: SpreadOf::Middle },
        UsualSpread { usual: 1.0, least: 1.0, of: SpreadOf::Unit },
    ];

    /// Points about a middle, spread evenly, each measure in an order of its own.
    fn points(number: u32, middle: [f64; 3]) -> Vec<Point> {
        let step = |n: u32, turn: u32| f64::from(n * turn % number) / f64::from(number - 1) - 0.5;
        (0..number)
            .map(|n| {
                let [speed, launch, spin] = middle;
                [
                    Some(speed * (1.0 + 0.05 * step(n, 1))),
                    Some(launch + 2.6 * step(n, 7)),
                    Some(spin * (1.0 + 0.16 * step(n, 11))),
                    None,
                ]
            })
            .collect()
    }

    fn point([speed, launch, spin]: [f64; 3]) -> Point {
        [Some(speed), Some(launch), Some(spin), None]
    }

    const LONG: [f64; 3] = [52.8, 16.6, 5_100.0];
    const SHORT: [f64; 3] = [48.0, 19.4, 6_200.0];

    #[test]
    fn the_quantiles_are_those_of_an_independent_library() {
        for (share, quantiles) in [(0.975, CHI_SQUARED_975), (0.99, CHI_SQUARED_990)] {
            for (freedom, quantile) in [1.0, 2.0, 3.0, 4.0].into_iter().zip(quantiles) {
                let below = ChiSquared::new(freedom).unwrap().cdf(quantile);
                assert!((below - share).abs() < 2e-5, "{freedom}: {below}");
            }
        }
    }

    #[test]
    fn a_quarter_of_strays_moves_the_middle_little() {
        let clean = Cloud::of(&points(20, LONG), &SPREADS);
        let mut mixed = points(15, LONG);
        mixed.extend(points(5, SHORT));
        let cloud = Cloud::of(&mixed, &SPREADS);
        let stray = point(SHORT);
        assert!(!cloud.distance(&stray, &cloud).unwrap().is_inside());
        for measure in 0..3 {
            let scale = clean.middles[measure].unwrap().scale;
            let moved = cloud.middle(measure).unwrap() - clean.middle(measure).unwrap();
            assert!(moved.abs() < 0.6 * scale, "{measure}: {moved}");
        }
    }

    #[test]
    fn a_measure_that_few_points_have_is_left_out_on_both_sides() {
        let whole = Cloud::of(&points(20, LONG), &SPREADS);
        let mut without = points(20, SHORT);
        for point in without.iter_mut().skip(CLOUD_MIN_N - 1) {
            point[2] = None;
        }
        let without = Cloud::of(&without, &SPREADS);
        let point = point(LONG);
        assert_eq!(without.middle(2), None);
        assert_eq!(whole.distance(&point, &whole).unwrap().measures, 3);
        assert_eq!(whole.distance(&point, &without).unwrap().measures, 2);
        let few = Cloud::of(&points(11, LONG), &SPREADS);
        assert_eq!(few.distance(&point, &whole), None);
    }

    #[test]
    fn equal_values_have_the_least_spread() {
        let same = Cloud::of(&vec![point(LONG); 400], &SPREADS);
        let scales = same.deviation(0, LONG[0] * 1.016).unwrap();
        // The usual spread still weighs as much as ten of the four hundred.
        assert!((1.7..2.0).contains(&scales), "{scales}");
    }
}
