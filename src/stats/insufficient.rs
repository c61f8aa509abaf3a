//! Why there is no number.

use thiserror::Error;

/// The largest magnitude of a value that this room takes; anything beyond it is refused like an infinity.
///
/// No golf quantity in any unit comes near it, and below it the fourth power of a deviation, summed over
/// [`u32::MAX`] values, still fits a double: no sum in this room can overflow.
pub const LARGEST_VALUE: f64 = 1e60;

/// Why a question has no answer. The words are for people; the variants are for code.
///
/// All but the last three mean "hit more shots": they are ordinary states of a young comparison, not faults.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Error)]
pub enum Insufficient {
    /// A location was asked of nothing.
    #[error("no values")]
    NoValues,
    /// A location with its uncertainty was asked of a single value.
    #[error("one value")]
    OneValue,
    /// A Student interval needs two values.
    #[error("fewer than 2 values")]
    FewerThanTwoValues,
    /// A two-sample test needs two values in each sample.
    #[error("fewer than 2 values in a sample")]
    FewerThanTwoInASample,
    /// All values are equal, so nothing tells noise from difference.
    #[error("no spread")]
    NoSpread,
    /// The two clubs never met in one stratum of one session.
    #[error("no session with both clubs")]
    NoCommonSession,
    /// Every cell holds one shot, so nothing tells how shots scatter.
    #[error("no repeated shot within a session")]
    NoRepeatedShot,
    /// One of the clubs has only cells of one shot.
    #[error("a club without a repeated shot within a session")]
    ClubWithoutRepeatedShot,
    /// The club has no shots.
    #[error("no shots")]
    NoShots,
    /// The brief holds no test.
    #[error("no test")]
    NoTest,
    /// A test of the brief has no estimate yet.
    #[error("an estimate is missing")]
    EstimateMissing,
    /// Fewer shots than the question needs; the number is the need.
    #[error("fewer than {0} shots")]
    FewerShots(u32),
    /// Fewer shots of either club than the question needs; the number is the need.
    #[error("fewer than {0} shots a club")]
    FewerShotsAClub(u32),
    /// A value that is NaN, infinite or beyond [`LARGEST_VALUE`], or a parameter outside its domain.
    #[error("not finite")]
    NotFinite,
    /// Two series that must pair up have different lengths.
    #[error("sizes differ")]
    SizesDiffer,
    /// A coverage or confidence that does not lie strictly between 0 and 1.
    #[error("not strictly between 0 and 1")]
    NotAShare,
}

/// Refuses a value that is not a plain, bounded number.
pub(super) fn bounded(value: f64) -> Result<f64, Insufficient> {
    // A NaN fails the comparison too.
    if value.abs() <= LARGEST_VALUE { Ok(value) } else { Err(Insufficient::NotFinite) }
}

/// Refuses a series that holds anything but plain, bounded numbers.
pub(super) fn all_bounded(values: &[f64]) -> Result<(), Insufficient> {
    values.iter().try_for_each(|&value| bounded(value).map(drop))
}

/// Refuses a coverage or confidence outside the open unit interval.
pub(super) fn share(value: f64) -> Result<f64, Insufficient> {
    if value > 0.0 && value < 1.0 { Ok(value) } else { Err(Insufficient::NotAShare) }
}
