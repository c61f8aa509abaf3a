//! Three linear equations with three unknowns.

/// Normal equations of a weighted fit of three numbers.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Normal {
    matrix: [[f64; 3]; 3],
    right: [f64; 3],
}

/// Weighted sums of residuals that may share a fault.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Shared {
    weight: f64,
    residual: f64,
    slopes: [f64; 3],
}

impl Shared {
    /// Adds one residual with its weight and its change with each number.
    pub(super) fn add(&mut self, weight: f64, residual: f64, slopes: [f64; 3]) {
        self.weight += weight;
        self.residual += weight * residual;
        for (sum, slope) in self.slopes.iter_mut().zip(slopes) {
            *sum += weight * slope;
        }
    }
}

impl Normal {
    /// Adds one residual with its weight and its change with each number.
    pub(super) fn add(&mut self, weight: f64, residual: f64, slopes: [f64; 3]) {
        for row in 0..3 {
            for column in 0..3 {
                self.matrix[row][column] += weight * slopes[row] * slopes[column];
            }
            self.right[row] += weight * slopes[row] * residual;
        }
    }

    /// Takes back what residuals say of a fault that they all share, of standard deviation 1: it is
    /// solved for beside the numbers and left out (the Schur complement of an unknown with a prior).
    pub(super) fn share_a_fault(&mut self, of: &Shared) {
        let all = of.weight + 1.0;
        for row in 0..3 {
            for column in 0..3 {
                self.matrix[row][column] -= of.slopes[row] * of.slopes[column] / all;
            }
            self.right[row] -= of.slopes[row] * of.residual / all;
        }
    }

    /// The step that lowers the residuals the most, by Cramer's rule. The prior keeps the matrix far
    /// from singular.
    pub(super) fn step(&self) -> [f64; 3] {
        let whole = determinant(&self.matrix);
        std::array::from_fn(|unknown| {
            let mut replaced = self.matrix;
            for (row, right) in replaced.iter_mut().zip(self.right) {
                row[unknown] = right;
            }
            determinant(&replaced) / whole
        })
    }
}

fn determinant([a, b, c]: &[[f64; 3]; 3]) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
}
