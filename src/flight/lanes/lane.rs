//! Flights side by side as one number each: what the lanes need of it beyond the equations, and the form
//! for any machine.

use wide::f64x4;

use crate::flight::real::Real;

/// The most lanes that any form has.
pub(super) const MOST: usize = 8;

/// Several doubles side by side, which are the lanes.
pub(super) trait Lane: Real {
    /// How many.
    const WIDTH: usize;

    /// The number in a lane.
    fn get(&self, lane: usize) -> f64;
    /// Puts a number into a lane.
    fn set(&mut self, lane: usize, value: f64);
    /// The smaller, lane by lane.
    fn at_most(self, other: Self) -> Self;
    /// The lanes in which this is above another, one bit a lane.
    fn above(self, other: Self) -> u32;
    /// One of two numbers in each lane, by whether this is above zero there.
    fn if_positive(self, then: Self, otherwise: Self) -> Self;
}

impl Real for f64x4 {
    fn of(self, value: f64) -> Self {
        Self::splat(value)
    }

    fn times_plus(self, factor: Self, term: Self) -> Self {
        self * factor + term
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

impl Lane for f64x4 {
    const WIDTH: usize = 4;

    fn get(&self, lane: usize) -> f64 {
        self.as_array()[lane]
    }

    fn set(&mut self, lane: usize, value: f64) {
        self.as_mut_array()[lane] = value;
    }

    fn at_most(self, other: Self) -> Self {
        self.min(other)
    }

    fn above(self, other: Self) -> u32 {
        self.simd_gt(other).to_bitmask()
    }

    fn if_positive(self, then: Self, otherwise: Self) -> Self {
        self.simd_gt(Self::ZERO).select(then, otherwise)
    }
}
