//! What the equations need of a number: one flight's, or those of several flights side by side.

use std::ops::{Add, Div, Mul, Sub};

/// A double, or several of them.
pub(super) trait Real:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// The same value everywhere, in as many lanes as this has.
    fn of(self, value: f64) -> Self;
    /// This times a factor plus a term; rounded once where the machine does that in one step.
    fn times_plus(self, factor: Self, term: Self) -> Self;
    fn sqrt(self) -> Self;
    /// For arguments from -40 to 1.
    fn exp(self) -> Self;
    /// For arguments above zero.
    fn ln(self) -> Self;
    /// For arguments from -1,000 to 1,000.
    fn sin(self) -> Self;
    /// The greater; where `self` is NaN, `other`.
    fn at_least(self, other: Self) -> Self;
}

impl Real for f64 {
    fn of(self, value: f64) -> Self {
        value
    }

    fn times_plus(self, factor: Self, term: Self) -> Self {
        // Not `mul_add`: where the machine lacks it, that is a slow function.
        self * factor + term
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
