//! A player's own run and day effects, from the shots before a comparison began.

use super::cell::Cell;
use super::insufficient::{Insufficient, bounded};
use super::two_way::TwoWayFit;

/// Weight of the floor against the player's own figure, in degrees of freedom. Own simulation.
pub const RUN_PRIOR_DF: u32 = 4;

/// One club's screened shots in one session of the past.
///
/// Where a session holds several strata of a club, take the one with most shots and let the stratum be part of
/// what `club` stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastCell {
    /// The session.
    pub session: u32,
    /// The club (and stratum).
    pub club: u32,
    /// How many shots.
    pub n: u32,
    /// Their mean.
    pub mean: f64,
    /// Sum of their squared deviations from it.
    pub squares: f64,
}

impl PastCell {
    /// From a cell's sums.
    #[must_use]
    pub fn new(session: u32, club: u32, cell: &Cell) -> Self {
        Self { session, club, n: cell.n(), mean: cell.mean(), squares: cell.squares() }
    }
}

/// A standard deviation blended from a floor and a player's history.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayerSd {
    /// The sd to use, never under the floor.
    pub sd: f64,
    /// The history's own estimate, cut at 0; `None` where the history tells nothing.
    pub estimate: Option<f64>,
    /// Degrees of freedom of the estimate; 0 where there is none.
    pub nu: u32,
}

/// The sd of a player's run effect (a club's own day), for
/// [`blocked_difference`](super::blocked_difference).
///
/// Least squares of the cell means on session + club, weighted by the shots n. The weighted residual sum of
/// squares has a mean of `within·ν + σ²·Σ n(1 − leverage)`, with `within` the variance of a shot in its cell and
/// ν = cells − rank: σ² is solved from it, and blended with [`RUN_PRIOR_DF`] degrees of freedom of the floor.
///
/// # Errors
/// [`Insufficient::NotFinite`] where a cell or the floor holds no plain number.
pub fn run_sd_from_history(cells: &[PastCell], floor: f64) -> Result<PlayerSd, Insufficient> {
    let Some(past) = Past::of(cells, floor)? else { return Ok(PlayerSd::floor(floor)) };
    let fit = TwoWayFit::of(&past.cells);
    Ok(Moment {
        excess: fit.residual_squares - past.within * f64::from(fit.df),
        scale: fit.scale,
        nu: fit.df,
    }
    .blend(floor))
}

/// The sd of a club's session means about its own long mean (day and run effect together), for
/// [`blocked_mean`](super::blocked_mean).
///
/// As [`run_sd_from_history`] with the means on club alone. The clubs of one day move together, so the blending
/// weight is sessions − 1, capped by cells − clubs.
///
/// # Errors
/// As [`run_sd_from_history`].
pub fn day_sd_from_history(cells: &[PastCell], floor: f64) -> Result<PlayerSd, Insufficient> {
    let Some(mut past) = Past::of(cells, floor)? else { return Ok(PlayerSd::floor(floor)) };
    past.cells.sort_unstable_by_key(|cell| cell.club);
    let mut moment = Moment { excess: 0.0, scale: 0.0, nu: 0 };
    let mut sessions = Vec::new();
    for club in
        past.cells.chunk_by(|left, right| left.club == right.club).filter(|club| club.len() > 1)
    {
        let n: f64 = club.iter().map(PastCell::weight).sum();
        let mean = club.iter().map(|cell| cell.weight() * cell.mean).sum::<f64>() / n;
        for cell in club {
            moment.excess += cell.weight() * (cell.mean - mean).powi(2) - past.within;
            moment.scale += cell.weight() * (1.0 - cell.weight() / n);
            moment.nu += 1;
            sessions.push(cell.session);
        }
        moment.excess += past.within;
        moment.nu -= 1;
    }
    sessions.sort_unstable();
    sessions.dedup();
    let days = u32::try_from(sessions.len()).unwrap_or(u32::MAX);
    moment.nu = moment.nu.min(days.saturating_sub(1));
    Ok(moment.blend(floor))
}

impl PlayerSd {
    fn floor(floor: f64) -> Self {
        Self { sd: floor, estimate: None, nu: 0 }
    }
}

impl PastCell {
    pub(super) fn weight(&self) -> f64 {
        f64::from(self.n)
    }
}

/// The cells that hold shots, and the variance of a shot within them.
struct Past {
    cells: Vec<PastCell>,
    within: f64,
}

impl Past {
    /// `None` where no cell holds two shots.
    fn of(cells: &[PastCell], floor: f64) -> Result<Option<Self>, Insufficient> {
        bounded(floor)?;
        let cells: Vec<PastCell> = cells.iter().filter(|cell| cell.n > 0).copied().collect();
        let (mut df, mut squares) = (0.0, 0.0);
        for cell in &cells {
            bounded(cell.mean)?;
            // A sum of squares may be far larger than a value.
            if !cell.squares.is_finite() {
                return Err(Insufficient::NotFinite);
            }
            df += cell.weight() - 1.0;
            squares += cell.squares;
        }
        Ok((df >= 1.0).then(|| Self { cells, within: squares / df }))
    }
}

/// What a fit of cell means tells of a variance: E excess = variance·scale, on nu degrees of freedom.
struct Moment {
    excess: f64,
    scale: f64,
    nu: u32,
}

impl Moment {
    /// The sd, blended with the floor's.
    fn blend(&self, floor: f64) -> PlayerSd {
        if self.nu < 1 || self.scale <= 1e-9 {
            return PlayerSd::floor(floor);
        }
        let (nu, prior) = (f64::from(self.nu), f64::from(RUN_PRIOR_DF));
        let variance = (self.excess / self.scale).max(0.0);
        let blended = (prior * floor * floor + nu * variance) / (prior + nu);
        PlayerSd {
            sd: blended.max(floor * floor).sqrt(),
            estimate: Some(variance.sqrt()),
            nu: self.nu,
        }
    }
}
