//! The spread of shots in two dimensions.

use super::insufficient::{Insufficient, share};
use super::robust::{mad_scale, median};

/// Coverage of the ellipse that is shown. Common practice.
pub const ELLIPSE_COVERAGE: f64 = 0.8;
/// Shots before an ellipse is drawn. Assumption.
pub const ELLIPSE_MIN_SHOTS: u32 = 5;

/// An ellipse that holds a share of normal shots. Normal theory on robust figures: read it as a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Centre: medians of side and carry.
    pub centre: [f64; 2],
    /// Robust sds of side and carry.
    pub sd: [f64; 2],
    /// Robust correlation.
    pub rho: f64,
    /// Long semi-axis.
    pub semi_major: f64,
    /// Short semi-axis.
    pub semi_minor: f64,
    /// Angle of the long axis from +side towards +carry, in (−90, 90] degrees.
    pub angle_deg: f64,
    /// Area, in the square of the unit.
    pub area: f64,
}

impl Ellipse {
    /// Whether a shot lies inside or on it.
    #[must_use]
    pub fn holds(&self, side: f64, carry: f64) -> bool {
        let (sin, cos) = self.angle_deg.to_radians().sin_cos();
        let (x, y) = (side - self.centre[0], carry - self.centre[1]);
        let (along, across) = (cos * x + sin * y, cos * y - sin * x);
        // Multiplied out, so that an ellipse as thin as a line holds what lies on it.
        let (long, short) = (self.semi_major, self.semi_minor);
        (along * short).powi(2) + (across * long).powi(2) <= (long * short).powi(2)
    }
}

/// The ellipse of shots given by `side` and `carry`, in one unit, in the same order.
///
/// Scales are [`mad_scale`]; the correlation is Gnanadesikan and Kettenring's (1972): (u² − v²)/(u² + v²) with u and
/// v the scales of sum and difference of the scaled coordinates. Semi-axes √(λq), q = −2·log(1 − coverage), the
/// quantile of χ² with 2 degrees of freedom.
///
/// # Errors
/// [`Insufficient::FewerShots`], [`Insufficient::NoSpread`], [`Insufficient::SizesDiffer`],
/// [`Insufficient::NotFinite`], or [`Insufficient::NotAShare`] for the coverage.
pub fn ellipse(side: &[f64], carry: &[f64], coverage: f64) -> Result<Ellipse, Insufficient> {
    let quantile = -2.0 * (-share(coverage)?).ln_1p();
    if side.len() != carry.len() {
        return Err(Insufficient::SizesDiffer);
    }
    let (x, sx) = centre_and_scale(side)?;
    let (y, sy) = centre_and_scale(carry)?;
    let rho = correlation(side, carry, [sx, sy])?;
    let (a, b, c) = (sx * sx, sy * sy, rho * sx * sy);
    let long = f64::midpoint(a, b) + (0.5 * (a - b)).hypot(c);
    if long <= 0.0 {
        // The squares have underflowed.
        return Err(Insufficient::NoSpread);
    }
    // The smaller eigenvalue through the determinant, without cancellation.
    let short = a * b * (1.0 - rho * rho) / long;
    Ok(Ellipse {
        centre: [x, y],
        sd: [sx, sy],
        rho,
        semi_major: (long * quantile).sqrt(),
        semi_minor: (short * quantile).sqrt(),
        angle_deg: 0.5 * (2.0 * c).atan2(a - b).to_degrees(),
        area: std::f64::consts::PI * quantile * (long * short).sqrt(),
    })
}

fn centre_and_scale(values: &[f64]) -> Result<(f64, f64), Insufficient> {
    let (Some(centre), Some(scale)) = (median(values)?, mad_scale(values)?) else {
        return Err(Insufficient::FewerShots(ELLIPSE_MIN_SHOTS));
    };
    if u32::try_from(values.len()).is_ok_and(|n| n < ELLIPSE_MIN_SHOTS) {
        return Err(Insufficient::FewerShots(ELLIPSE_MIN_SHOTS));
    }
    if scale == 0.0 { Err(Insufficient::NoSpread) } else { Ok((centre, scale)) }
}

fn correlation(side: &[f64], carry: &[f64], [sx, sy]: [f64; 2]) -> Result<f64, Insufficient> {
    let scale_of = |sign: f64| {
        let combined: Vec<f64> =
            side.iter().zip(carry).map(|(x, y)| x / sx + sign * (y / sy)).collect();
        mad_scale(&combined).map(Option::unwrap_or_default)
    };
    let (sum, difference) = (scale_of(1.0)?, scale_of(-1.0)?);
    let (u, v) = (sum * sum, difference * difference);
    if u + v > 0.0 { Ok((u - v) / (u + v)) } else { Err(Insufficient::NoSpread) }
}
