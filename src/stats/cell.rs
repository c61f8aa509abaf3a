//! The sums that stand for the shots of one club in one stratum of one session.

use super::insufficient::{Insufficient, bounded};

/// Count, mean and central sums of some values of one measure: all that the blocked estimates ever need of them.
///
/// A cell holds the screened values of one club in one (session, stratum), in the measure's own unit. It is
/// built at once ([`Cell::of`]), value by value ([`Cell::push`]) or from two cells ([`Cell::merge`]); the three
/// agree to rounding. Everything in it is finite, always.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cell {
    n: u32,
    mean: f64,
    squares: f64,
    cubes: f64,
    quartics: f64,
}

impl Cell {
    /// The cell of a whole series, by two passes: the most exact way.
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] where a value is NaN, infinite or beyond
    /// [`LARGEST_VALUE`](super::LARGEST_VALUE).
    pub fn of(values: &[f64]) -> Result<Self, Insufficient> {
        let mut n = 0_u32;
        let mut sum = 0.0;
        for &value in values {
            sum += bounded(value)?;
            n += 1;
        }
        if n == 0 {
            return Ok(Self::default());
        }
        let rough = sum / f64::from(n);
        // The mean of the deviations is what rounding lost of the mean (Chan, Golub and LeVeque 1983).
        let lost = values.iter().map(|value| value - rough).sum::<f64>() / f64::from(n);
        let mut cell = Self { n, mean: rough + lost, ..Self::default() };
        for &value in values {
            let deviation = (value - rough) - lost;
            let square = deviation * deviation;
            cell.squares += square;
            cell.cubes += square * deviation;
            cell.quartics += square * square;
        }
        Ok(cell)
    }

    /// Takes one more value. Welford's update, carried to the fourth power (Pébay 2008, SAND2008-6212).
    ///
    /// # Errors
    /// [`Insufficient::NotFinite`] as for [`Cell::of`]; the cell is then unchanged.
    pub fn push(&mut self, value: f64) -> Result<(), Insufficient> {
        let deviation = bounded(value)? - self.mean;
        let before = f64::from(self.n);
        self.n += 1;
        let n = f64::from(self.n);
        let step = deviation / n;
        let square = deviation * step * before;
        self.quartics += square * step * step * (n * n - 3.0 * n + 3.0)
            + 6.0 * step * step * self.squares
            - 4.0 * step * self.cubes;
        self.cubes += square * step * (n - 2.0) - 3.0 * step * self.squares;
        self.squares += square;
        self.mean += step;
        Ok(())
    }

    /// The cell of the values of both (Pébay 2008, SAND2008-6212).
    #[must_use]
    pub fn merge(&self, other: &Self) -> Self {
        if self.n == 0 {
            return *other;
        }
        if other.n == 0 {
            return *self;
        }
        let (p, q) = (f64::from(self.n), f64::from(other.n));
        let n = p + q;
        let apart = other.mean - self.mean;
        let step = apart / n;
        let square = apart * step * p * q;
        Self {
            n: self.n + other.n,
            mean: self.mean + step * q,
            squares: self.squares + other.squares + square,
            cubes: self.cubes
                + other.cubes
                + square * step * (p - q)
                + 3.0 * step * (p * other.squares - q * self.squares),
            quartics: self.quartics
                + other.quartics
                + square * step * step * (p * p - p * q + q * q)
                + 6.0 * step * step * (p * p * other.squares + q * q * self.squares)
                + 4.0 * step * (p * other.cubes - q * self.cubes),
        }
    }

    /// How many values.
    #[must_use]
    pub fn n(&self) -> u32 {
        self.n
    }

    /// Whether it holds no value.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.n == 0
    }

    /// Their mean; 0 of an empty cell.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Sum of squared deviations from the mean.
    #[must_use]
    pub fn squares(&self) -> f64 {
        self.squares
    }

    /// Sum of fourth powers of the deviations from the mean.
    #[must_use]
    pub fn quartics(&self) -> f64 {
        self.quartics
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn assert_alike(left: &Cell, right: &Cell, spread: f64) {
        let n = f64::from(left.n.max(1));
        assert_eq!(left.n, right.n);
        assert!((left.mean - right.mean).abs() <= 1e-12 * (1.0 + right.mean.abs()));
        assert!((left.squares - right.squares).abs() <= 1e-9 * n * spread.powi(2));
        assert!((left.cubes - right.cubes).abs() <= 1e-9 * n * spread.powi(3));
        assert!((left.quartics - right.quartics).abs() <= 1e-9 * n * spread.powi(4));
    }

    proptest! {
        #[test]
        fn pushing_and_merging_give_the_cell_of_the_whole(
            values in prop::collection::vec(100.0..240.0_f64, 0..60),
            cut in any::<prop::sample::Index>(),
        ) {
            let whole = Cell::of(&values).unwrap();
            let mut pushed = Cell::default();
            for &value in &values {
                pushed.push(value).unwrap();
            }
            let (left, right) = values.split_at(cut.index(values.len() + 1));
            let merged = Cell::of(left).unwrap().merge(&Cell::of(right).unwrap());
            assert_alike(&pushed, &whole, 140.0);
            assert_alike(&merged, &whole, 140.0);
        }

        #[test]
        fn shifting_all_values_moves_the_mean_alone(
            values in prop::collection::vec(-20.0..20.0_f64, 2..40),
            shift in -1e6..1e6_f64,
        ) {
            let here = Cell::of(&values).unwrap();
            let there: Vec<f64> = values.iter().map(|value| value + shift).collect();
            let there = Cell::of(&there).unwrap();
            prop_assert!((there.mean - here.mean - shift).abs() < 1e-9);
            prop_assert!((there.squares - here.squares).abs() < 1e-7 * (1.0 + here.squares));
        }
    }

    #[test]
    fn a_value_that_is_no_number_is_refused_and_leaves_the_cell_as_it_was() {
        let mut cell = Cell::of(&[1.0, 2.0]).unwrap();
        let before = cell;
        for value in [f64::NAN, f64::INFINITY, -1e61] {
            assert_eq!(cell.push(value), Err(Insufficient::NotFinite));
            assert_eq!(Cell::of(&[1.0, value]), Err(Insufficient::NotFinite));
        }
        assert_eq!(cell, before);
    }
}
