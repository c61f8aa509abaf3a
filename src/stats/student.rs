//! Student's and Welch's t: intervals and tests that may be looked at once.

use statrs::distribution::{Continuous, ContinuousCDF, StudentsT};

use super::blocked::Variance;
use super::count;
use super::insufficient::{Insufficient, all_bounded, bounded, share};
use super::robust::Moments;

/// Student's interval of one mean (Student 1908).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanInterval {
    /// The mean.
    pub mean: f64,
    /// Standard deviation over n − 1.
    pub sd: f64,
    /// Standard error of the mean.
    pub se: f64,
    /// Degrees of freedom.
    pub df: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Student's interval of the mean of `values`, at a single look.
///
/// # Errors
/// [`Insufficient::FewerThanTwoValues`], [`Insufficient::NotFinite`], or [`Insufficient::NotAShare`] for the
/// confidence.
pub fn t_interval(values: &[f64], confidence: f64) -> Result<MeanInterval, Insufficient> {
    all_bounded(values)?;
    let Moments { mean: Some(mean), sd: Some(sd) } = Moments::of(values) else {
        return Err(Insufficient::FewerThanTwoValues);
    };
    let n = count(values.len());
    let se = sd / n.sqrt();
    let reach = two_sided_quantile(n - 1.0, confidence)? * se;
    Ok(MeanInterval { mean, sd, se, df: n - 1.0, low: mean - reach, high: mean + reach })
}

/// A sample, by its summary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Mean.
    pub mean: f64,
    /// Standard deviation over n − 1.
    pub sd: f64,
    /// How many values.
    pub n: u32,
}

/// A two-sample t-test with its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoSample {
    /// First mean minus second.
    pub difference: f64,
    /// Its standard error.
    pub se: f64,
    /// Degrees of freedom.
    pub df: f64,
    /// difference/se.
    pub t: f64,
    /// Chance of a |t| at least as large where the means are equal.
    pub p_two_sided: f64,
    /// Lower end of the interval of the difference.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Student's (pooled) or Welch's (1947) test of two samples, at a single look.
///
/// # Errors
/// [`Insufficient::FewerThanTwoInASample`], [`Insufficient::NoSpread`], [`Insufficient::NotFinite`], or
/// [`Insufficient::NotAShare`] for the confidence.
pub fn two_sample(
    [first, second]: [Sample; 2],
    variance: Variance,
    confidence: f64,
) -> Result<TwoSample, Insufficient> {
    for value in [first.mean, first.sd, second.mean, second.sd] {
        bounded(value)?;
    }
    if first.n < 2 || second.n < 2 {
        return Err(Insufficient::FewerThanTwoInASample);
    }
    let [(n1, v1), (n2, v2)] =
        [first, second].map(|sample| (f64::from(sample.n), sample.sd * sample.sd));
    let (p1, p2) = (v1 / n1, v2 / n2);
    let (se, df) = match variance {
        Variance::Pooled => {
            let df = n1 + n2 - 2.0;
            let pooled = ((n1 - 1.0) * v1 + (n2 - 1.0) * v2) / df;
            ((pooled * (1.0 / n1 + 1.0 / n2)).sqrt(), df)
        }
        Variance::Welch => {
            let df = (p1 + p2).powi(2) / (p1 * p1 / (n1 - 1.0) + p2 * p2 / (n2 - 1.0));
            ((p1 + p2).sqrt(), df)
        }
    };
    // Squares that underflow leave no usable spread either.
    if se == 0.0 || !df.is_finite() {
        return Err(Insufficient::NoSpread);
    }
    let difference = first.mean - second.mean;
    let t = difference / se;
    let reach = two_sided_quantile(df, confidence)? * se;
    Ok(TwoSample {
        difference,
        se,
        df,
        t,
        p_two_sided: 2.0 * students_t(df)?.cdf(-t.abs()),
        low: difference - reach,
        high: difference + reach,
    })
}

fn students_t(df: f64) -> Result<StudentsT, Insufficient> {
    StudentsT::new(0.0, 1.0, df).map_err(|_| Insufficient::NotFinite)
}

/// The t that |T| stays under with chance `confidence`.
///
/// The library's quantile is a start; Newton's steps on its distribution function take it to the last digits.
fn two_sided_quantile(df: f64, confidence: f64) -> Result<f64, Insufficient> {
    let law = students_t(df)?;
    let tail = 0.5 - 0.5 * share(confidence)?;
    let mut quantile = -law.inverse_cdf(tail);
    for _ in 0..4 {
        let step = (law.cdf(-quantile) - tail) / law.pdf(quantile);
        if !step.is_finite() || step.abs() <= 1e-15 * quantile {
            break;
        }
        quantile += step;
    }
    Ok(quantile)
}
