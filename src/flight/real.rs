//! What the equations need of a number: one flight's, or those of four flights side by side.

use std::ops::{Add, Div, Mul, Sub};

use wide::f64x4;

/// A double, or four of them.
pub(super) trait Real:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// The same value everywhere.
    fn of(value: f64) -> Self;
    fn sqrt(self) -> Self;
    /// For arguments from -40 to 1.
    fn exp(self) -> Self;
    fn ln(self) -> Self;
    fn sin(self) -> Self;
    /// The greater; where `self` is NaN, `other`.
    fn at_least(self, other: Self) -> Self;
}

impl Real for f64 {
    fn of(value: f64) -> Self {
        value
    }

    fn sqrt(self) -> Self {
        self.sqrt()
    }

    fn exp(self) -> Self {
        self.exp()
    }

    fn ln(self) -> Self {
        self.ln()
    }

    fn sin(self) -> Self {
        self.sin()
    }

    fn at_least(self, other: Self) -> Self {
        self.max(other)
    }
}

impl Real for f64x4 {
    fn of(value: f64) -> Self {
        Self::splat(value)
    }

    fn sqrt(self) -> Self {
        self.sqrt()
    }

    fn exp(self) -> Self {
        // The exponential of a 64th by its series, squared six times: within 3e-12, without the
        // branches and integer work of one for every argument.
        let x = self.max(Self::splat(-40.0)) * Self::splat(1.0 / 64.0);
        let series = [1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 1.0 / 2.0, 1.0, 1.0];
        let mut power = Self::splat(1.0 / 720.0);
        for term in series {
            power = power * x + Self::splat(term);
        }
        for _ in 0..6 {
            power *= power;
        }
        power
    }

    fn ln(self) -> Self {
        self.ln()
    }

    fn sin(self) -> Self {
        self.sin_cos().0
    }

    fn at_least(self, other: Self) -> Self {
        self.max(other)
    }
}
