//! What one session holds of two clubs: all that a difference over many sessions needs of it.

use super::blocked::Stratum;
use super::cell::Cell;

/// A weighted mean and the weighted sum of squares about it, updated in one pass (West 1979).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Weighted {
    pub(super) weight: f64,
    pub(super) mean: f64,
    pub(super) squares: f64,
}

impl Weighted {
    pub(super) fn push(&mut self, weight: f64, value: f64) {
        self.weight += weight;
        let deviation = value - self.mean;
        let step = deviation * weight / self.weight;
        self.mean += step;
        self.squares += weight * deviation * (value - self.mean);
    }
}

/// The strata of one session that hold both clubs, which share its run effect, as sums.
///
/// A shot changes the sums of its own session only, so that whoever looks after every shot keeps those of the
/// others.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SessionSums {
    pub(super) strata: u32,
    /// Of candidate and incumbent, here and below.
    pub(super) shots: [u32; 2],
    pub(super) squares: [f64; 2],
    pub(super) quartics: [f64; 2],
    /// Differences of the strata's means, weighted by their harmonic sizes.
    pub(super) differences: Weighted,
    /// Sum of squared weights over shots, of each club.
    pub(super) parts: [f64; 2],
}

impl SessionSums {
    /// The sums of a session's strata; one in which a club has no shot adds nothing.
    pub fn of<'a>(strata: impl IntoIterator<Item = [&'a Cell; 2]>) -> Self {
        let mut sums = Self::default();
        for cells in strata {
            sums.push(cells);
        }
        sums
    }

    fn push(&mut self, cells: [&Cell; 2]) {
        if cells.iter().any(|cell| cell.is_empty()) {
            return;
        }
        let [candidate, incumbent] = cells;
        let (a, b) = (f64::from(candidate.n()), f64::from(incumbent.n()));
        let weight = a * b / (a + b);
        self.strata += 1;
        for (club, cell) in cells.into_iter().enumerate() {
            self.shots[club] += cell.n();
            self.squares[club] += cell.squares();
            self.quartics[club] += cell.quartics();
        }
        self.differences.push(weight, candidate.mean() - incumbent.mean());
        self.parts[0] += weight * weight / a;
        self.parts[1] += weight * weight / b;
    }

    /// Whether no stratum holds both clubs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.strata == 0
    }

    /// Shots of candidate and incumbent in strata that hold both.
    #[must_use]
    pub fn shots(&self) -> [u32; 2] {
        self.shots
    }
}

/// Strata that follow one another session by session, as the sums of each session.
#[derive(Clone)]
pub(super) struct BySession<'a, I: Iterator<Item = Stratum<'a>>> {
    strata: std::iter::Peekable<I>,
}

impl<'a, I: Iterator<Item = Stratum<'a>>> BySession<'a, I> {
    pub(super) fn of(strata: I) -> Self {
        Self { strata: strata.peekable() }
    }
}

impl<'a, I: Iterator<Item = Stratum<'a>>> Iterator for BySession<'a, I> {
    type Item = SessionSums;

    fn next(&mut self) -> Option<SessionSums> {
        let first = self.strata.next()?;
        let mut sums = SessionSums::default();
        sums.push([first.candidate, first.incumbent]);
        while let Some(stratum) = self.strata.next_if(|next| next.session == first.session) {
            sums.push([stratum.candidate, stratum.incumbent]);
        }
        Some(sums)
    }
}
