//! Whether a candidate scatters its shots more than the incumbent.

use super::cell::Cell;
use super::insufficient::Insufficient;
use super::interval::AnytimeInterval;
use super::safe_t::{log_mean_exp, proof};
use super::sessions::SessionSums;

/// A candidate's sd may be up to this times the incumbent's. Assumption.
pub const SPREAD_RATIO: f64 = 1.25;
/// Effects on the log variance ratio in the mixture, weights ⅓ each. Own simulation.
pub const SPREAD_DELTAS: [f64; 3] = [0.4, 0.8, 1.2];
/// A spread verdict needs more shots a club than a mean. Own simulation.
pub const SPREAD_MIN_SHOTS: u32 = 20;
/// Small samples understate kurtosis; 4 keeps heavy and skewed tails under 5 % false. Own simulation.
pub const SPREAD_KURTOSIS_FLOOR: f64 = 4.0;

/// The evidence that the candidate's spread is worse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VarianceRatio {
    /// log of candidate's over incumbent's variance within cells.
    pub log_ratio: f64,
    /// The kurtosis used, pooled over both clubs, never under [`SPREAD_KURTOSIS_FLOOR`].
    pub kurtosis: f64,
    /// Standard error of `log_ratio`.
    pub sd: f64,
    /// (`log_ratio` − log [`SPREAD_RATIO`]²)/`sd`.
    pub z: f64,
    /// log e that the sd ratio is over [`SPREAD_RATIO`].
    pub log_e_worse: f64,
}

impl VarianceRatio {
    /// Candidate's sd over the incumbent's, with ends that may be watched: all ratios whose two-sided e-value, of
    /// the same mixture as the verdict's, stays under 1/α. The law of the log ratio is near enough normal only:
    /// watched from 20 to 150 shots the ends miss 0.5 % of normal and 5 % of t (5 df) ratios (own simulation).
    #[must_use]
    pub fn sd_ratio(&self) -> AnytimeInterval {
        let reach = self.sd * two_sided_z(self.sd);
        let ratio = |log_ratio: f64| (0.5 * log_ratio).exp();
        AnytimeInterval {
            estimate: ratio(self.log_ratio),
            ends: Some((ratio(self.log_ratio - reach), ratio(self.log_ratio + reach))),
        }
    }
}

/// The |z| at which the two-sided e-value reaches 1/α, for a log ratio with this standard error.
fn two_sided_z(sd: f64) -> f64 {
    let ncps = SPREAD_DELTAS.map(|delta| delta / sd);
    let log_e = |z: f64| {
        let sides = ncps.iter().flat_map(|ncp| [(*ncp, z), (*ncp, -z)]);
        log_mean_exp(sides.map(|(ncp, z)| ncp * z - 0.5 * ncp * ncp))
    };
    // One part of the mixture alone reaches 1/α here, whatever the others do: there are two sides and three parts.
    let enough = ncps.map(|ncp| (proof() + 6.0_f64.ln()) / ncp + 0.5 * ncp);
    let (mut low, mut high) = (0.0, enough.into_iter().fold(f64::INFINITY, f64::min));
    // Halved down to the doubles' own width.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if log_e(middle) < proof() {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// Compares the clubs' variances within cells (Layard 1973 and Bonett 2006 for the variance of their log ratio
/// under heavy tails); each cell's deviations are from its own mean, so that run effects do not count as spread.
///
/// # Errors
/// [`Insufficient::FewerShotsAClub`] or [`Insufficient::NoSpread`].
pub fn log_variance_ratio<'a>(
    candidate: impl IntoIterator<Item = &'a Cell>,
    incumbent: impl IntoIterator<Item = &'a Cell>,
) -> Result<VarianceRatio, Insufficient> {
    ratio_of(&Club::of(candidate), &Club::of(incumbent))
}

/// The same from the sums of each session, of which only strata with both clubs have a say.
///
/// # Errors
/// As [`log_variance_ratio`].
pub fn variance_ratio_of_sessions(
    sessions: impl IntoIterator<Item = SessionSums>,
) -> Result<VarianceRatio, Insufficient> {
    let mut clubs = [Club::default(), Club::default()];
    for session in sessions {
        for (club, sums) in clubs.iter_mut().enumerate() {
            sums.n += f64::from(session.shots[club]);
            sums.df += f64::from(session.shots[club]) - f64::from(session.strata);
            sums.squares += session.squares[club];
            sums.quartics += session.quartics[club];
        }
    }
    ratio_of(&clubs[0], &clubs[1])
}

fn ratio_of(a: &Club, b: &Club) -> Result<VarianceRatio, Insufficient> {
    if a.n.min(b.n) < f64::from(SPREAD_MIN_SHOTS) || a.df < 3.0 || b.df < 3.0 {
        return Err(Insufficient::FewerShotsAClub(SPREAD_MIN_SHOTS));
    }
    let (va, vb) = (a.squares / a.df, b.squares / b.df);
    if va <= 0.0 || vb <= 0.0 {
        return Err(Insufficient::NoSpread);
    }
    let fourth = a.quartics / va / va + b.quartics / vb / vb;
    let second = a.squares / va + b.squares / vb;
    let kurtosis = ((a.n + b.n) * fourth / (second * second)).max(SPREAD_KURTOSIS_FLOOR);
    let sd = (a.log_variance(kurtosis) + b.log_variance(kurtosis)).sqrt();
    let log_ratio = (va / vb).ln();
    let z = (log_ratio - 2.0 * SPREAD_RATIO.ln()) / sd;
    let log_e_worse = log_mean_exp(SPREAD_DELTAS.iter().map(|delta| {
        let ncp = delta / sd;
        ncp * z - 0.5 * ncp * ncp
    }));
    Ok(VarianceRatio { log_ratio, kurtosis, sd, z, log_e_worse })
}

/// One club's sums over its cells.
#[derive(Default)]
struct Club {
    n: f64,
    df: f64,
    squares: f64,
    quartics: f64,
}

impl Club {
    fn of<'a>(cells: impl IntoIterator<Item = &'a Cell>) -> Self {
        let mut club = Self::default();
        for cell in cells.into_iter().filter(|cell| !cell.is_empty()) {
            let n = f64::from(cell.n());
            club.n += n;
            club.df += n - 1.0;
            club.squares += cell.squares();
            club.quartics += cell.quartics();
        }
        club
    }

    /// Variance of the log of the club's variance, given the kurtosis: (K − (n − 3)/(n − 1))/n with n = df + 1,
    /// which is 2/df at K = 3.
    fn log_variance(&self, kurtosis: f64) -> f64 {
        let n = self.df + 1.0;
        (kurtosis - (n - 3.0) / (n - 1.0)) / n
    }
}

/// The standing of a candidate's spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// Too few shots: blocks nothing.
    NotJudged,
    /// Not proven worse.
    Held,
    /// Proven worse: vetoes `replaces`.
    Worse,
}

impl Spread {
    /// From the running maximum of [`VarianceRatio::log_e_worse`]; `None` where there was none yet.
    #[must_use]
    pub fn of(log_e_worse: Option<f64>) -> Self {
        match log_e_worse {
            None => Self::NotJudged,
            Some(log_e) if log_e >= proof() => Self::Worse,
            Some(_) => Self::Held,
        }
    }

    /// The standing in the contract's word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::NotJudged => "not_judged",
            Self::Held => "held",
            Self::Worse => "worse",
        }
    }
}
