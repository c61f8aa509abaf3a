//! The weighted least-squares fit of cell means on session + club.
//!
//! The sessions are eliminated exactly: what is left for the clubs is the Laplacian of a graph whose edges join
//! clubs that met in a session. One club of each connected component is grounded, the rest is positive definite.

use super::history::PastCell;

/// What the fit leaves. A leverage is a quadratic form of the inverse: the squared length of a vector through L⁻¹.
pub(super) struct TwoWayFit {
    /// Σ n·residual².
    pub(super) residual_squares: f64,
    /// Σ n·(1 − leverage).
    pub(super) scale: f64,
    /// Cells less the rank of the design, sessions + clubs − components.
    pub(super) df: u32,
}

impl TwoWayFit {
    /// Fits cells that all hold shots.
    pub(super) fn of(cells: &[PastCell]) -> Self {
        let design = Design::of(cells);
        let factor = Cholesky::of(design.laplacian(), design.clubs);
        let effects = factor.solve(&design.right_side());
        let columns: Vec<Vec<f64>> =
            (0..design.clubs).map(|club| factor.forward(&design.indicator(club))).collect();
        let mut fit = Self { residual_squares: 0.0, scale: 0.0, df: design.df };
        for session in design.sessions() {
            let weight: f64 = session.iter().map(|cell| cell.weight).sum();
            let mut effect = 0.0;
            let mut column = vec![0.0; design.clubs];
            for cell in session {
                let share = cell.weight / weight;
                effect += share * (cell.mean - effects[cell.club]);
                add(&mut column, share, &columns[cell.club]);
            }
            for cell in session {
                let residual = cell.mean - effects[cell.club] - effect;
                fit.residual_squares += cell.weight * residual * residual;
                let apart: f64 = columns[cell.club]
                    .iter()
                    .zip(&column)
                    .map(|(club, session)| (club - session).powi(2))
                    .sum();
                fit.scale += cell.weight * (1.0 - cell.weight * (1.0 / weight + apart));
            }
        }
        fit
    }
}

/// A cell with its club as an index from 0 and its mean about the mean of all shots.
struct Row {
    session: u32,
    club: usize,
    weight: f64,
    mean: f64,
}

/// The rows in order of session.
struct Design {
    rows: Vec<Row>,
    clubs: usize,
    /// Whether a club stands for the origin of its component.
    grounded: Vec<bool>,
    df: u32,
}

impl Design {
    fn of(cells: &[PastCell]) -> Self {
        let mut clubs: Vec<u32> = cells.iter().map(|cell| cell.club).collect();
        clubs.sort_unstable();
        clubs.dedup();
        let shots: f64 = cells.iter().map(PastCell::weight).sum();
        let centre = cells.iter().map(|cell| cell.weight() * cell.mean).sum::<f64>() / shots;
        let mut rows: Vec<Row> = cells
            .iter()
            .map(|cell| Row {
                session: cell.session,
                club: clubs.partition_point(|&club| club < cell.club),
                weight: cell.weight(),
                mean: cell.mean - centre,
            })
            .collect();
        rows.sort_by_key(|row| row.session);
        let mut design = Self { rows, clubs: clubs.len(), grounded: Vec::new(), df: 0 };
        design.grounded = design.components();
        let components = design.grounded.iter().filter(|&&grounded| grounded).count();
        let rank = design.sessions().count() + design.clubs - components;
        design.df = u32::try_from(design.rows.len() - rank).unwrap_or(u32::MAX);
        design
    }

    fn sessions(&self) -> impl Iterator<Item = &[Row]> {
        self.rows.chunk_by(|left, right| left.session == right.session)
    }

    /// The root of each connected component of clubs (union-find with path halving).
    fn components(&self) -> Vec<bool> {
        let mut parent: Vec<usize> = (0..self.clubs).collect();
        let root = |parent: &mut Vec<usize>, mut club: usize| {
            while parent[club] != club {
                parent[club] = parent[parent[club]];
                club = parent[club];
            }
            club
        };
        for session in self.sessions() {
            for pair in session.windows(2) {
                let (left, right) =
                    (root(&mut parent, pair[0].club), root(&mut parent, pair[1].club));
                parent[left] = right;
            }
        }
        parent.iter().enumerate().map(|(club, &parent)| club == parent).collect()
    }

    /// Row by row, with the rows and columns of the grounded clubs those of the identity.
    fn laplacian(&self) -> Vec<f64> {
        let mut matrix = vec![0.0; self.clubs * self.clubs];
        for session in self.sessions() {
            let weight: f64 = session.iter().map(|row| row.weight).sum();
            for row in session.iter().filter(|row| !self.grounded[row.club]) {
                matrix[row.club * self.clubs + row.club] += row.weight;
                for other in session.iter().filter(|other| !self.grounded[other.club]) {
                    matrix[row.club * self.clubs + other.club] -=
                        row.weight * other.weight / weight;
                }
            }
        }
        for club in (0..self.clubs).filter(|&club| self.grounded[club]) {
            matrix[club * self.clubs + club] = 1.0;
        }
        matrix
    }

    /// The club's column of the reduced design: zero where it is grounded.
    fn indicator(&self, club: usize) -> Vec<f64> {
        let mut column = vec![0.0; self.clubs];
        if !self.grounded[club] {
            column[club] = 1.0;
        }
        column
    }

    fn right_side(&self) -> Vec<f64> {
        let mut sums = vec![0.0; self.clubs];
        for session in self.sessions() {
            let weight: f64 = session.iter().map(|row| row.weight).sum();
            let mean = session.iter().map(|row| row.weight * row.mean).sum::<f64>() / weight;
            for row in session.iter().filter(|row| !self.grounded[row.club]) {
                sums[row.club] += row.weight * (row.mean - mean);
            }
        }
        sums
    }
}

fn add(sum: &mut [f64], factor: f64, vector: &[f64]) {
    for (sum, value) in sum.iter_mut().zip(vector) {
        *sum += factor * value;
    }
}

/// The lower factor L of a positive definite matrix L·Lᵀ, row by row.
struct Cholesky {
    lower: Vec<f64>,
    size: usize,
}

impl Cholesky {
    fn of(mut matrix: Vec<f64>, size: usize) -> Self {
        for row in 0..size {
            for column in 0..=row {
                let (upper, lower) =
                    (&matrix[column * size..][..column], &matrix[row * size..][..column]);
                let rest = matrix[row * size + column]
                    - upper.iter().zip(lower).map(|(left, right)| left * right).sum::<f64>();
                matrix[row * size + column] =
                    if row == column { rest.sqrt() } else { rest / matrix[column * size + column] };
            }
        }
        Self { lower: matrix, size }
    }

    fn row(&self, row: usize) -> &[f64] {
        &self.lower[row * self.size..][..=row]
    }

    /// L⁻¹·right.
    fn forward(&self, right: &[f64]) -> Vec<f64> {
        let mut solution = right.to_vec();
        for row in 0..self.size {
            let factors = self.row(row);
            let known: f64 =
                factors.iter().zip(&solution[..row]).map(|(factor, value)| factor * value).sum();
            solution[row] = (solution[row] - known) / factors[row];
        }
        solution
    }

    /// (L·Lᵀ)⁻¹·right.
    fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut solution = self.forward(right);
        for row in (0..self.size).rev() {
            let factors = self.row(row);
            solution[row] /= factors[row];
            let value = solution[row];
            add(&mut solution[..row], -value, &factors[..row]);
        }
        solution
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The fit by an orthonormal basis of the weighted design (Gram and Schmidt, twice): residual squares, the
    /// scale and the degrees of freedom.
    fn dense(cells: &[PastCell]) -> (f64, f64, u32) {
        let column = |belongs: &dyn Fn(&PastCell) -> bool| -> Vec<f64> {
            cells
                .iter()
                .map(|cell| if belongs(cell) { cell.weight().sqrt() } else { 0.0 })
                .collect()
        };
        let mut basis: Vec<Vec<f64>> = Vec::new();
        for key in 0..20 {
            for mut vector in
                [column(&|cell| cell.session == key), column(&|cell| cell.club == key)]
            {
                for direction in basis.iter().chain(&basis) {
                    let along: f64 =
                        direction.iter().zip(&vector).map(|(left, right)| left * right).sum();
                    add(&mut vector, -along, direction);
                }
                let length = vector.iter().map(|value| value * value).sum::<f64>().sqrt();
                if length > 1e-6 {
                    basis.push(vector.iter().map(|value| value / length).collect());
                }
            }
        }
        let mut rest: Vec<f64> =
            cells.iter().map(|cell| cell.weight().sqrt() * cell.mean).collect();
        let mut scale: f64 = cells.iter().map(PastCell::weight).sum();
        for direction in &basis {
            let along: f64 = direction.iter().zip(&rest).map(|(left, right)| left * right).sum();
            add(&mut rest, -along, direction);
            scale -= direction
                .iter()
                .zip(cells)
                .map(|(part, cell)| cell.weight() * part * part)
                .sum::<f64>();
        }
        let rank = u32::try_from(basis.len()).unwrap_or(u32::MAX);
        let df = u32::try_from(cells.len()).unwrap_or(u32::MAX) - rank;
        (rest.iter().map(|value| value * value).sum(), scale, df)
    }

    proptest! {
        #[test]
        fn eliminating_the_sessions_is_the_dense_fit(
            cells in prop::collection::vec((0..7_u32, 0..6_u32, 1..20_u32, -20.0..20.0_f64), 1..30),
        ) {
            // Sparse on purpose: several components, and a club twice in a session.
            let cells: Vec<PastCell> = cells
                .into_iter()
                .map(|(session, club, n, mean)| PastCell { session, club, n, mean, squares: 0.0 })
                .collect();
            let fit = TwoWayFit::of(&cells);
            let (residual_squares, scale, df) = dense(&cells);
            prop_assert_eq!(fit.df, df);
            prop_assert!((fit.residual_squares - residual_squares).abs() < 1e-8 * (1.0 + residual_squares));
            prop_assert!((fit.scale - scale).abs() < 1e-8 * (1.0 + scale));
        }
    }
}
