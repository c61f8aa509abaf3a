//! The weighted least-squares fit of cell means on session + club.
//!
//! The sessions are eliminated exactly: what is left for the clubs is the Laplacian of a graph whose edges join
//! clubs that met in a session. One club of each connected component is grounded, the rest is positive definite.

use super::history::PastCell;

/// What the fit leaves.
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
        // Columns of L⁻¹, so that a quadratic form of the inverse is a sum of squares.
        let columns: Vec<Vec<f64>> =
            (0..design.clubs).map(|club| factor.forward(&unit(club, design.clubs))).collect();
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

fn unit(place: usize, size: usize) -> Vec<f64> {
    let mut vector = vec![0.0; size];
    vector[place] = 1.0;
    vector
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
