//! The outlook: an early, honest chance that a whole brief is true. Not a proof, and never a verdict.

use std::f64::consts::FRAC_1_SQRT_2;

use statrs::function::erf::erfc;

use super::blocked::Estimate;
use super::insufficient::Insufficient;
use super::measure::{Prior, Quantity, Side, Test};

/// Screened shots a club before an outlook is given. Own simulation.
pub const OUTLOOK_MIN_SHOTS: u32 = 5;

/// A chance in a word. The bounds of the words are a choice of wording, no result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OutlookWord {
    /// Under 0.1.
    Unlikely,
    /// Under 0.35.
    LeaningAgainst,
    /// To 0.65.
    Even,
    /// To 0.9.
    LeaningFor,
    /// Above.
    Likely,
}

impl OutlookWord {
    /// The word for a chance.
    #[must_use]
    pub fn of(chance: f64) -> Self {
        if chance < 0.1 {
            Self::Unlikely
        } else if chance < 0.35 {
            Self::LeaningAgainst
        } else if chance <= 0.65 {
            Self::Even
        } else if chance <= 0.9 {
            Self::LeaningFor
        } else {
            Self::Likely
        }
    }

    /// The word itself.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Unlikely => "unlikely",
            Self::LeaningAgainst => "leaning against",
            Self::Even => "even",
            Self::LeaningFor => "leaning for",
            Self::Likely => "likely",
        }
    }
}

impl OutlookWord {
    /// What came true of outlooks that said this word.
    #[must_use]
    pub fn calibration(self) -> Calibration {
        // A word's place among the five is its row.
        CALIBRATIONS[self as usize]
    }
}

/// What came true of simulated outlooks with the same word.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// The chance that they stated, in the mean.
    pub stated: f64,
    /// The share that was true where candidates are as the prior has them.
    pub of_the_prior: f64,
    /// Where any neighbour in the bag is tried (carry sd 8 yd, launch and spin moving with loft); `None` where
    /// too few said this word.
    pub of_any_neighbour: Option<f64>,
    /// Where a club is picked with care (carry 0 ± 2.5 yd, launch −3.3 ± 1°, spin −1,000 ± 300 rpm).
    pub of_a_careful_pick: f64,
}

/// By [`OutlookWord`], in its order.
///
/// Own simulation with the default brief: 15 shots a club in one visit, 10,000 runs each. At 6, 10 and 30 shots and
/// over two visits the shares lie within 0.15 of these.
const CALIBRATIONS: [Calibration; 5] = [
    calibration(0.01, [0.01, 0.00], 0.25),
    calibration(0.21, [0.17, 0.14], 0.62),
    calibration(0.50, [0.53, 0.36], 0.86),
    calibration(0.77, [0.75, 0.68], 0.96),
    Calibration {
        stated: 0.91,
        of_the_prior: 0.94,
        of_any_neighbour: None,
        of_a_careful_pick: 0.99,
    },
];

const fn calibration(
    stated: f64,
    [of_the_prior, neighbour]: [f64; 2],
    of_a_careful_pick: f64,
) -> Calibration {
    Calibration { stated, of_the_prior, of_any_neighbour: Some(neighbour), of_a_careful_pick }
}

/// The chance that every test of a brief is true, from what was seen and the stated priors.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Of the whole brief: the product over its quantities, as if they were independent.
    pub chance: f64,
    /// Of each quantity, in the order of the tests.
    pub by_quantity: Vec<(Quantity, f64)>,
}

impl Outlook {
    /// The outlook on `tests`, of whose quantities `estimates` holds one each (others are ignored).
    ///
    /// A quantity's posterior is normal, from its estimate with v = se²·df/(df − 2) and
    /// [`Quantity::outlook_prior`]; its chance is what lies within all its bounds.
    ///
    /// # Errors
    /// [`Insufficient::NoTest`], [`Insufficient::EstimateMissing`], or [`Insufficient::FewerShots`] (also where
    /// df ≤ 2.5).
    pub fn of(tests: &[Test], estimates: &[(Quantity, Estimate)]) -> Result<Self, Insufficient> {
        if tests.is_empty() {
            return Err(Insufficient::NoTest);
        }
        let mut by_quantity: Vec<(Quantity, f64)> = Vec::new();
        let mut chance = 1.0;
        for quantity in tests.iter().map(|test| test.quantity) {
            if by_quantity.iter().any(|(done, _)| *done == quantity) {
                continue;
            }
            let estimate = estimates.iter().find(|(of, _)| *of == quantity);
            let (_, estimate) = estimate.ok_or(Insufficient::EstimateMissing)?;
            if estimate.shots.fewest() < OUTLOOK_MIN_SHOTS || estimate.df <= 2.5 {
                return Err(Insufficient::FewerShots(OUTLOOK_MIN_SHOTS));
            }
            let part = Posterior::of(estimate, quantity.outlook_prior())
                .chance_within(bounds(tests, quantity));
            chance *= part;
            by_quantity.push((quantity, part));
        }
        Ok(Self { chance, by_quantity })
    }

    /// The chance in a word.
    #[must_use]
    pub fn word(&self) -> OutlookWord {
        OutlookWord::of(self.chance)
    }
}

/// The tightest bounds that the tests set a quantity, infinite where they set none.
fn bounds(tests: &[Test], quantity: Quantity) -> (f64, f64) {
    let its = tests.iter().filter(|test| test.quantity == quantity);
    its.fold((f64::NEG_INFINITY, f64::INFINITY), |(low, high), test| match test.side {
        Side::Above => (low.max(test.bound), high),
        Side::Below => (low, high.min(test.bound)),
    })
}

/// A normal posterior of a quantity.
struct Posterior {
    mean: f64,
    sd: f64,
}

impl Posterior {
    fn of(estimate: &Estimate, prior: Option<Prior>) -> Self {
        let variance = estimate.se * estimate.se * estimate.df / (estimate.df - 2.0);
        let Some(prior) = prior else { return Self { mean: estimate.centre, sd: variance.sqrt() } };
        let (data, belief) = (1.0 / variance, 1.0 / (prior.sd * prior.sd));
        Self {
            mean: (estimate.centre * data + prior.mean * belief) / (data + belief),
            sd: 1.0 / (data + belief).sqrt(),
        }
    }

    fn chance_within(&self, (low, high): (f64, f64)) -> f64 {
        let (low, high) = ((low - self.mean) / self.sd, (high - self.mean) / self.sd);
        // A window above the mean is taken from the upper tail, where the difference keeps its digits.
        let chance = if low > 0.0 {
            normal_cdf(-low) - normal_cdf(-high)
        } else {
            normal_cdf(high) - normal_cdf(low)
        };
        chance.max(0.0)
    }
}

/// The standard normal distribution function.
fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}
