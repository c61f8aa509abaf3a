//! Eight flights side by side on machines with AVX2 and fused multiplication: two vectors of four, so that
//! one is reckoned with while the other waits for its roots and quotients.
//!
//! Every function here must end up within the one that [`pulp`] compiled for these instructions, hence
//! `inline(always)`.

#![allow(clippy::inline_always)]

use std::f64::consts::{FRAC_1_PI, LN_2, LOG2_E, PI, SQRT_2};
use std::ops::{Add, Div, Mul, Sub};

use pulp::{cast, f64x4, u64x4, x86::V3};

use super::lane::Lane;
use crate::flight::real::Real;

/// The lanes' own numbers.
const NUMBERS: [f64; 8] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];

/// Eight doubles.
#[derive(Clone, Copy)]
pub(super) struct Eight {
    simd: V3,
    low: f64x4,
    high: f64x4,
}

impl Eight {
    /// Zeros, on a machine that has the instructions.
    #[inline(always)]
    pub(super) fn zero(simd: V3) -> Self {
        let zero = simd.splat_f64x4(0.0);
        Self { simd, low: zero, high: zero }
    }
}

macro_rules! both {
    ($self:ident, $simd:ident, [$($part:ident = $of:expr),+] => $made:expr) => {{
        let $simd = $self.simd;
        let low = { $(let $part = $of.low;)+ $made };
        let high = { $(let $part = $of.high;)+ $made };
        Eight { simd: $simd, low, high }
    }};
}

macro_rules! operators {
    ($($Op:ident $op:ident $of:ident)+) => {$(
        impl $Op for Eight {
            type Output = Self;

            #[inline(always)]
            fn $op(self, other: Self) -> Self {
                both!(self, simd, [a = self, b = other] => simd.$of(a, b))
            }
        }
    )+};
}

operators! { Add add add_f64x4 Sub sub sub_f64x4 Mul mul mul_f64x4 Div div div_f64x4 }

impl Real for Eight {
    #[inline(always)]
    fn of(self, value: f64) -> Self {
        let all = self.simd.splat_f64x4(value);
        Self { low: all, high: all, ..self }
    }

    #[inline(always)]
    fn times_plus(self, factor: Self, term: Self) -> Self {
        both!(self, simd, [a = self, b = factor, c = term] => simd.mul_add_f64x4(a, b, c))
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        both!(self, simd, [a = self] => simd.sqrt_f64x4(a))
    }

    #[inline(always)]
    fn exp(self) -> Self {
        both!(self, simd, [a = self] => exp(simd, a))
    }

    #[inline(always)]
    fn ln(self) -> Self {
        both!(self, simd, [a = self] => ln(simd, a))
    }

    #[inline(always)]
    fn sin(self) -> Self {
        both!(self, simd, [a = self] => sin(simd, a))
    }

    #[inline(always)]
    fn at_least(self, other: Self) -> Self {
        both!(self, simd, [a = self, b = other] => simd.max_f64x4(a, b))
    }
}

impl Lane for Eight {
    const WIDTH: usize = 8;

    #[inline(always)]
    fn get(&self, lane: usize) -> f64 {
        let four: [f64; 4] = cast(if lane < 4 { self.low } else { self.high });
        four[lane & 3]
    }

    #[inline(always)]
    fn set(&mut self, lane: usize, value: f64) {
        // Within registers: one lane written to memory would make the next reading of all of them wait.
        let simd = self.simd;
        let (number, value) = (simd.splat_f64x4(NUMBERS[lane]), simd.splat_f64x4(value));
        let [low, high] = [cast([0.0, 1.0, 2.0, 3.0]), cast([4.0, 5.0, 6.0, 7.0])];
        self.low = simd.select_f64x4(simd.cmp_eq_f64x4(number, low), value, self.low);
        self.high = simd.select_f64x4(simd.cmp_eq_f64x4(number, high), value, self.high);
    }

    #[inline(always)]
    fn at_most(self, other: Self) -> Self {
        both!(self, simd, [a = self, b = other] => simd.min_f64x4(a, b))
    }

    #[inline(always)]
    fn above(self, other: Self) -> u32 {
        let simd = self.simd;
        let four = |a, b| {
            let mask: f64x4 = cast(simd.cmp_gt_f64x4(a, b));
            simd.avx._mm256_movemask_pd(cast(mask)).cast_unsigned()
        };
        four(self.low, other.low) | four(self.high, other.high) << 4
    }

    #[inline(always)]
    fn if_positive(self, then: Self, otherwise: Self) -> Self {
        let zero = self.of(0.0);
        both!(self, simd, [a = self, b = zero, c = then, d = otherwise] => {
            simd.select_f64x4(simd.cmp_gt_f64x4(a, b), c, d)
        })
    }
}

/// A polynomial by rising powers (Horner).
#[inline(always)]
fn polynomial<const N: usize>(simd: V3, terms: [f64; N], x: f64x4) -> f64x4 {
    let mut value = simd.splat_f64x4(0.0);
    for term in terms.into_iter().rev() {
        value = simd.mul_add_f64x4(value, x, simd.splat_f64x4(term));
    }
    value
}

/// 2^52: a double as large has its whole number in its lowest bits.
const WHOLE: f64 = 4_503_599_627_370_496.0;
/// What the exponent of a double is stored with.
const BIAS: f64 = 1_023.0;

/// The series of the exponential.
const EXP: [f64; 9] = [
    1.0,
    1.0,
    1.0 / 2.0,
    1.0 / 6.0,
    1.0 / 24.0,
    1.0 / 120.0,
    1.0 / 720.0,
    1.0 / 5_040.0,
    1.0 / 40_320.0,
];

/// 2 to the whole part by the exponent of a double, the rest by the series of the exponential: within 1e-9.
#[inline(always)]
fn exp(simd: V3, x: f64x4) -> f64x4 {
    let all = |value| simd.splat_f64x4(value);
    let x = simd.max_f64x4(x, all(-40.0));
    let twos = simd.round_f64x4(simd.mul_f64x4(x, all(LOG2_E)));
    let rest = simd.mul_add_f64x4(twos, all(-LN_2), x);
    let stored: u64x4 = cast(simd.add_f64x4(twos, all(WHOLE + BIAS)));
    let power: f64x4 = cast(simd.shl_const_u64x4::<52>(stored));
    simd.mul_f64x4(polynomial(simd, EXP, rest), power)
}

/// The series of twice the area tangent, by its square.
const LN: [f64; 6] = [2.0, 2.0 / 3.0, 2.0 / 5.0, 2.0 / 7.0, 2.0 / 9.0, 2.0 / 11.0];

/// The exponent of a double times ln 2, and the series of the area tangent for the rest: within 1e-9.
#[inline(always)]
fn ln(simd: V3, x: f64x4) -> f64x4 {
    let all = |value| simd.splat_f64x4(value);
    let bits: u64x4 = cast(x);
    let stored = simd.or_u64x4(simd.shr_const_u64x4::<52>(bits), cast(all(WHOLE)));
    let twos = simd.sub_f64x4(cast(stored), all(WHOLE + BIAS));
    let below_two = simd.and_u64x4(bits, simd.splat_u64x4((1 << 52) - 1));
    let rest: f64x4 = cast(simd.or_u64x4(below_two, cast(all(1.0))));
    let is_large = simd.cmp_gt_f64x4(rest, all(SQRT_2));
    let rest = simd.select_f64x4(is_large, simd.mul_f64x4(rest, all(0.5)), rest);
    let twos = simd.select_f64x4(is_large, simd.add_f64x4(twos, all(1.0)), twos);
    let part = simd.div_f64x4(simd.sub_f64x4(rest, all(1.0)), simd.add_f64x4(rest, all(1.0)));
    let series = polynomial(simd, LN, simd.mul_f64x4(part, part));
    simd.mul_add_f64x4(part, series, simd.mul_f64x4(twos, all(LN_2)))
}

/// The series of the sine over its argument, by its square.
const SIN: [f64; 7] = [
    1.0,
    -1.0 / 6.0,
    1.0 / 120.0,
    -1.0 / 5_040.0,
    1.0 / 362_880.0,
    -1.0 / 39_916_800.0,
    1.0 / 6_227_020_800.0,
];

/// The series of the sine after the half turns are taken out, which change its sign: within 1e-9.
#[inline(always)]
fn sin(simd: V3, x: f64x4) -> f64x4 {
    let all = |value| simd.splat_f64x4(value);
    let turns = simd.round_f64x4(simd.mul_f64x4(x, all(FRAC_1_PI)));
    let rest = simd.mul_add_f64x4(turns, all(-PI), x);
    let pairs = simd.round_f64x4(simd.mul_f64x4(turns, all(0.5)));
    // -1, 0 or 1.
    let odd = simd.mul_add_f64x4(pairs, all(-2.0), turns);
    let sign = simd.mul_add_f64x4(simd.mul_f64x4(odd, odd), all(-2.0), all(1.0));
    let series = polynomial(simd, SIN, simd.mul_f64x4(rest, rest));
    simd.mul_f64x4(simd.mul_f64x4(rest, sign), series)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The machine's own functions are the outside source.
    #[test]
    fn functions_are_those_of_the_standard_library() {
        let Some(simd) = V3::try_new() else { return };
        let eight = Eight::zero(simd);
        let near = |ours: f64, theirs: f64, what: &str| {
            assert!(
                (ours - theirs).abs() <= 1e-9 * theirs.abs().max(1.0),
                "{what}: {ours}, {theirs}"
            );
        };
        for at in -4_000..=4_000 {
            let x = f64::from(at) / 100.0;
            let arguments = eight.of(x);
            if x <= 1.0 {
                near(arguments.exp().get(5), x.exp(), "exp");
            }
            near(arguments.sin().get(2), x.sin(), "sin");
            let positive = (x / 2.0).exp();
            near(eight.of(positive).ln().get(7), positive.ln(), "ln");
        }
        near(eight.of(1e-24).ln().get(0), -55.262_042_231_857_1, "ln");
        near(eight.of(-1e9).exp().get(0), 0.0, "exp");
    }

    #[test]
    fn lanes_are_told_apart() {
        let Some(simd) = V3::try_new() else { return };
        let mut eight = Eight::zero(simd);
        for lane in 0..8_u8 {
            eight.set(usize::from(lane), f64::from(lane) - 3.5);
        }
        assert_eq!(eight.get(6).to_bits(), 2.5_f64.to_bits());
        assert_eq!(eight.above(eight.of(0.0)), 0b1111_0000);
        let chosen = eight.if_positive(eight.of(1.0), eight.of(2.0));
        assert_eq!(
            [chosen.get(3), chosen.get(4)].map(f64::to_bits),
            [2.0_f64, 1.0].map(f64::to_bits)
        );
        let fused = eight.times_plus(eight.of(2.0), eight.of(1.0));
        assert_eq!(fused.get(7).to_bits(), 8.0_f64.to_bits());
    }
}
