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
        self.exp()
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
