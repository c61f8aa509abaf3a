//! Estimates within sessions: the difference of two clubs, and one club's own mean.

use super::cell::Cell;
use super::insufficient::{Insufficient, bounded};
use super::sessions::{BySession, SessionSums, Weighted};

/// The effect of the day on a club, which repeated shots of that day cannot average out.
///
/// For a difference it is the club-in-session effect of **one** club (the two clubs' effects add); for an own
/// mean it is the whole day's effect, which cancels in a difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RunEffect {
    /// None: shots of different days are as alike as those of one day.
    None,
    /// Its standard deviation, in the measure's unit.
    Sd(f64),
    /// Its standard deviation as a share of the sd of a shot.
    Ratio(f64),
}

impl RunEffect {
    /// Its variance in units of the variance of a shot, `within`.
    fn variance_ratio(self, within: f64) -> Result<f64, Insufficient> {
        let ratio = match self {
            Self::None => 0.0,
            Self::Sd(sd) => sd * sd / within,
            Self::Ratio(ratio) => ratio * ratio,
        };
        bounded(ratio)
    }
}

/// How the variance of a difference is estimated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variance {
    /// Each club its own, with Satterthwaite's degrees of freedom (Welch 1947): the default. Pooled variances
    /// err to 7.5 % when the wilder club has a third of the shots.
    Welch,
    /// One for both clubs. With a true, fixed [`RunEffect::Ratio`] the e-value is then exact.
    Pooled,
}

/// The two clubs of a comparison in one stratum (lie and ball) of one session.
#[derive(Clone, Copy, Debug)]
pub struct Stratum<'a> {
    /// The session. The strata of one session must follow one another.
    pub session: u32,
    /// The candidate's screened values.
    pub candidate: &'a Cell,
    /// The incumbent's screened values.
    pub incumbent: &'a Cell,
}

/// How many shots an estimate stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shots {
    /// A difference: of both clubs.
    Pair {
        /// Shots of the candidate.
        candidate: u32,
        /// Shots of the incumbent.
        incumbent: u32,
    },
    /// An own mean: of the one club.
    Single(u32),
}

impl Shots {
    /// The shots of the club that has fewer.
    #[must_use]
    pub fn fewest(self) -> u32 {
        match self {
            Self::Pair { candidate, incumbent } => candidate.min(incumbent),
            Self::Single(n) => n,
        }
    }

    /// How many clubs the estimate speaks of.
    #[must_use]
    pub fn clubs(self) -> u32 {
        match self {
            Self::Pair { .. } => 2,
            Self::Single(_) => 1,
        }
    }
}

/// An estimate with its uncertainty, as the t-test of a regression with session effects sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The difference (candidate minus incumbent) or the mean, in the measure's unit.
    pub centre: f64,
    /// Its standard error; the run effect is in it.
    pub se: f64,
    /// Degrees of freedom, seldom whole.
    pub df: f64,
    /// The effective number of shots: the precision of `centre` in shots of variance `s²`.
    pub h: f64,
    /// `se·√h`: the shot sd that goes with `h`.
    pub s: f64,
    /// The pooled sd of a shot within its cell.
    pub s_within: f64,
    /// Sessions that carry information.
    pub sessions: u32,
    /// Shots in those sessions.
    pub shots: Shots,
}

impl Estimate {
    /// Turns away an estimate whose squares have underflowed: so little spread is none.
    fn usable(self) -> Result<Self, Insufficient> {
        let positive = |value: f64| value > 0.0 && value.is_finite();
        if [self.se, self.df, self.h].into_iter().all(positive) {
            Ok(self)
        } else {
            Err(Insufficient::NoSpread)
        }
    }
}

/// Sums over all strata that hold both clubs.
#[derive(Default)]
struct Totals {
    strata: u32,
    shots: [u32; 2],
    squares: [f64; 2],
}

/// Sums over sessions, each weighted by its effective shots h.
#[derive(Default)]
struct Sessions {
    count: u32,
    differences: Weighted,
    /// Sum of squared weights.
    squared_weights: f64,
    /// Sum of squared weights times the club's own variance of a session's difference, in shot variances.
    parts: [f64; 2],
    /// Weighted squares of the strata's differences about their session's.
    squares_between_strata: f64,
}

impl Sessions {
    fn push(&mut self, session: &SessionSums, run_variance_ratio: f64) {
        let w = session.differences.weight;
        let h = 1.0 / (1.0 / w + run_variance_ratio);
        self.count += 1;
        self.differences.push(h, session.differences.mean);
        self.squared_weights += h * h;
        self.squares_between_strata += session.differences.squares;
        let share = (h / w) * (h / w);
        for (sum, part) in self.parts.iter_mut().zip(session.parts) {
            *sum += share * part;
        }
    }
}

/// Candidate minus incumbent, compared only within sessions.
///
/// ```text
/// w_j = n_A·n_B/(n_A + n_B),  D_j = mean A − mean B       in stratum j of session s
/// w_s = Σ w_j,  D_s = Σ w_j·D_j/w_s                       the strata of a session share its run effect
/// h_s = 1/(1/w_s + r)                                     r: that effect's variance in shot variances, both clubs'
/// estimate = Σ h_s·D_s/Σ h_s
/// ```
///
/// which is generalised least squares with an intercept a stratum. Strata in which a club has no shot are
/// skipped. Two passes over `strata`, no allocation.
///
/// # Errors
/// An [`Insufficient`] that names what is missing, or [`Insufficient::NotFinite`] for a run effect that is no number.
pub fn blocked_difference<'a, I>(
    strata: I,
    run: RunEffect,
    variance: Variance,
) -> Result<Estimate, Insufficient>
where
    I: IntoIterator<Item = Stratum<'a>>,
    I::IntoIter: Clone,
{
    difference_of_sessions(BySession::of(strata.into_iter()), run, variance)
}

/// [`blocked_difference`] from the sums of each session.
///
/// # Errors
/// As [`blocked_difference`].
pub fn difference_of_sessions<I>(
    sessions: I,
    run: RunEffect,
    variance: Variance,
) -> Result<Estimate, Insufficient>
where
    I: IntoIterator<Item = SessionSums>,
    I::IntoIter: Clone,
{
    let common = sessions.into_iter().filter(|session| !session.is_empty());
    let totals = totals(common.clone())?;
    let [a, b] = totals.shots.map(f64::from);
    let cells = f64::from(totals.strata);
    if a + b - 2.0 * cells < 1.0 {
        return Err(Insufficient::NoRepeatedShot);
    }
    let within = (totals.squares[0] + totals.squares[1]) / (a + b - 2.0 * cells);
    if within <= 0.0 {
        return Err(Insufficient::NoSpread);
    }
    let r = 2.0 * run.variance_ratio(within)?;
    let mut sessions = Sessions::default();
    common.for_each(|session| sessions.push(&session, r));
    let h = sessions.differences.weight;
    let (se, df) = match variance {
        Variance::Welch => welch(&totals, &sessions, r * within)?,
        Variance::Pooled => {
            let df = a + b - cells - 1.0;
            let squares = totals.squares[0]
                + totals.squares[1]
                + sessions.squares_between_strata
                + sessions.differences.squares;
            ((squares / df / h).sqrt(), df)
        }
    };
    Estimate {
        centre: sessions.differences.mean,
        se,
        df,
        h,
        s: se * h.sqrt(),
        s_within: within.sqrt(),
        sessions: sessions.count,
        shots: Shots::Pair { candidate: totals.shots[0], incumbent: totals.shots[1] },
    }
    .usable()
}

fn totals(sessions: impl Iterator<Item = SessionSums>) -> Result<Totals, Insufficient> {
    let mut totals = Totals::default();
    for session in sessions {
        totals.strata += session.strata;
        for club in 0..2 {
            totals.shots[club] += session.shots[club];
            totals.squares[club] += session.squares[club];
        }
    }
    if totals.strata == 0 { Err(Insufficient::NoCommonSession) } else { Ok(totals) }
}

/// Standard error and Satterthwaite's degrees of freedom (over the clubs' own parts only: the run effect is
/// assumed, not estimated). `run_variance` is that of a difference in one session.
fn welch(
    totals: &Totals,
    sessions: &Sessions,
    run_variance: f64,
) -> Result<(f64, f64), Insufficient> {
    let h_squared = sessions.differences.weight * sessions.differences.weight;
    let mut sum = 0.0;
    let mut uncertainty = 0.0;
    for club in 0..2 {
        let df = f64::from(totals.shots[club]) - f64::from(totals.strata);
        if df < 1.0 {
            return Err(Insufficient::ClubWithoutRepeatedShot);
        }
        let part = sessions.parts[club] * (totals.squares[club] / df) / h_squared;
        sum += part;
        uncertainty += part * part / df;
    }
    let se = (sum + sessions.squared_weights * run_variance / h_squared).sqrt();
    Ok((se, sum * sum / uncertainty))
}

/// One club's own mean over its sessions, one cell a session (the strata of a filter pooled).
///
/// `run` is the whole day's effect, with variance r in shot variances:
///
/// ```text
/// h_s = 1/(1/n_s + r),  estimate = Σ h_s·mean_s/Σ h_s,  se = s_within/√(Σ h_s),  df = shots − sessions
/// ```
///
/// The run effect is inside the weights, so that Satterthwaite has no part. Empty cells are skipped. Two passes,
/// no allocation.
///
/// # Errors
/// As [`blocked_difference`].
pub fn blocked_mean<'a, I>(sessions: I, run: RunEffect) -> Result<Estimate, Insufficient>
where
    I: IntoIterator<Item = &'a Cell>,
    I::IntoIter: Clone,
{
    let cells = sessions.into_iter().filter(|cell| !cell.is_empty());
    let (mut count, mut shots, mut squares) = (0_u32, 0_u32, 0.0);
    for cell in cells.clone() {
        count += 1;
        shots += cell.n();
        squares += cell.squares();
    }
    if count == 0 {
        return Err(Insufficient::NoShots);
    }
    if shots == count {
        return Err(Insufficient::NoRepeatedShot);
    }
    let df = f64::from(shots - count);
    let within = squares / df;
    if within <= 0.0 {
        return Err(Insufficient::NoSpread);
    }
    let r = run.variance_ratio(within)?;
    let mut means = Weighted::default();
    for cell in cells {
        means.push(1.0 / (1.0 / f64::from(cell.n()) + r), cell.mean());
    }
    let s = within.sqrt();
    Estimate {
        centre: means.mean,
        se: s / means.weight.sqrt(),
        df,
        h: means.weight,
        s,
        s_within: s,
        sessions: count,
        shots: Shots::Single(shots),
    }
    .usable()
}
