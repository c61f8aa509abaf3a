//! A player's shots as the bag reads them: one row a shot, in sequence order.

use jiff::{Timestamp, civil::Date};

use crate::shot::{
    Flags, FlightOrigin, Intent, Lie, Measures, Place, Purpose, Sequence, SpeedOrigin, SpinOrigin,
    Surroundings,
};

/// Stands for "none" where a row names a club, a ball or a session by number.
pub const NONE: u32 = u32::MAX;

/// One shot with its *effective* members: as sent, inherited, and corrected since.
///
/// Clubs and sessions are numbered within the player, balls and sources within the store; whoever
/// holds the rows holds the names.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its place in the one order of events.
    pub sequence: Sequence,
    /// When it was hit, by the sender's clock.
    pub time: Timestamp,
    /// The day of `time` where the sender was, by the offset it sent.
    pub date: Date,
    /// Who sent it.
    pub source: u32,
    /// The visit it belongs to, or [`NONE`].
    pub session: u32,
    /// The club it was hit with, or [`NONE`].
    pub club: u32,
    /// The ball, or [`NONE`] where unstated.
    pub ball: u32,
    /// What the ball lay on; `None` where unstated.
    pub lie: Option<Lie>,
    /// Whether ball or face was wet.
    pub wet: bool,
    /// Indoors or outdoors; `None` where unstated.
    pub place: Option<Place>,
    /// What the player meant to do.
    pub intent: Intent,
    /// What the shot was for.
    pub purpose: Purpose,
    /// Set aside by somebody: kept, never counted.
    pub set_aside: bool,
    /// Only this row is left of it: its event as sent is gone.
    pub retired: bool,
    /// How the spin came about; `None` where the source does not say.
    pub spin_origin: Option<SpinOrigin>,
    /// How the clubhead speed came about.
    pub speed_origin: Option<SpeedOrigin>,
    /// How the flight came about.
    pub flight_origin: Option<FlightOrigin>,
    /// What was odd about it on arrival.
    pub flags: Flags,
    /// What it flew in; `None` where nobody said anything.
    pub surroundings: Option<Box<Surroundings>>,
    /// The measured values, SI.
    pub measures: Measures,
}

impl Row {
    /// Whether it stands in the list that sessions, looks and histories read: assigned, not set
    /// aside, no warm-up.
    #[must_use]
    pub fn is_present(&self) -> bool {
        self.club != NONE
            && self.session != NONE
            && !self.set_aside
            && self.purpose != Purpose::WarmUp
    }

    /// The stratum within which two clubs may be compared.
    #[must_use]
    pub fn stratum(&self) -> Stratum {
        Stratum { lie: self.lie, wet: self.wet, ball: self.ball, intent: self.intent }
    }

    /// The surface that the ball was hit from.
    #[must_use]
    pub fn surface(&self) -> Surface {
        Surface::of(self.lie, self.wet)
    }
}

/// What must be alike before two shots are compared; unstated equals unstated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Stratum {
    /// The lie as stated.
    pub lie: Option<Lie>,
    /// Wet ball or face.
    pub wet: bool,
    /// The ball's number, or [`NONE`].
    pub ball: u32,
    /// What the player meant.
    pub intent: Intent,
}

/// Lies that play alike, kept apart from one another in a profile.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// From a tee.
    Teed,
    /// From a mat.
    Mat,
    /// Fairway or tight lie, dry.
    Turf,
    /// Light or heavy rough.
    Rough,
    /// Wet fairway, or any lie with a wet ball or face.
    Wet,
    /// Sand.
    Sand,
    /// A lie with a name of its own.
    Other,
    /// Nobody said.
    Unstated,
}

impl Surface {
    /// The surface of a lie; a wet ball or face makes any of them `Wet`.
    #[must_use]
    pub fn of(lie: Option<Lie>, wet: bool) -> Self {
        match lie {
            _ if wet => Self::Wet,
            Some(Lie::WetFairway) => Self::Wet,
            Some(Lie::Tee) => Self::Teed,
            Some(Lie::Mat) => Self::Mat,
            Some(Lie::Fairway | Lie::Tight) => Self::Turf,
            Some(Lie::LightRough | Lie::HeavyRough) => Self::Rough,
            Some(Lie::Sand) => Self::Sand,
            Some(Lie::Other) => Self::Other,
            None => Self::Unstated,
        }
    }
}
