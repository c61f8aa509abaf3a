//! The shot as the rest of the program knows it: checked, in the units kept.

use super::flags::Flags;
use super::measure::{Measure, Measures};
use super::members::spelling;
use super::names::{BallId, ClubId, PlayerId, SessionName, ShotId, SourceId};
use super::quantity::{QUANTITIES, Quantity};
use super::words::{
    Adjustments, FlightOrigin, Ground, Intent, Lie, Place, Purpose, SpeedOrigin, SpinOrigin,
};
use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One shot as it was sent, checked. Members that were not sent are `None` where anything else may
/// still give them (a context, a source's defaults), and the stated default where nothing can.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// What sent it.
    pub source: SourceId,
    /// Its name within the source.
    pub id: ShotId,
    /// When it was hit, by the sender's clock.
    pub time: Timestamp,
    /// The day that it was there, by the offset sent.
    pub date: Date,
    /// Who hit it.
    pub player: Option<PlayerId>,
    /// With which of the player's clubs.
    pub club: Option<ClubId>,
    /// In which visit of the player's.
    pub session: Option<SessionName>,
    /// From what surface.
    pub lie: Option<Lie>,
    /// What was meant.
    pub intent: Intent,
    /// What for.
    pub purpose: Purpose,
    /// With which ball.
    pub ball: Option<BallId>,
    /// Whether ball or face was wet.
    pub wet: bool,
    /// Where.
    pub place: Option<Place>,
    /// The ground where it landed.
    pub ground: Option<Ground>,
    /// What was measured. A spin sent as a pair stands here as rate and axis.
    pub measures: Measures,
    /// How the spin came about; `None` is unstated.
    pub spin_origin: Option<SpinOrigin>,
    /// How the clubhead's speed came about; `None` is unstated.
    pub speed_origin: Option<SpeedOrigin>,
    /// How the flight came about; `None` is unstated.
    pub flight_origin: Option<FlightOrigin>,
    /// What the device has already corrected the flight for; `None` is unstated.
    pub adjusted_for: Option<Adjustments>,
    /// The air.
    pub air: Air,
    /// The wind.
    pub wind: Wind,
    /// What was aimed at.
    pub target: Target,
    /// The quantities outside what is usual, those that need no more than the event to judge; see
    /// [`event_flags`](super::event_flags) for all.
    pub unusual: Flags,
    /// How each quantity was spelled.
    pub(crate) spelled: Spelled,
}

impl Event {
    /// Whether the spin was sent as a pair with a negative backspin: kept, flagged, and not flown.
    #[must_use]
    pub fn has_topspin(&self) -> bool {
        self.measures.get(Measure::SpinAxis).is_some_and(|axis| axis.abs() > 90.0)
    }
}

/// The air that a ball flew in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Air {
    /// Temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Pressure on the spot, hPa.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pressure_hpa: Option<f64>,
    /// Pressure reduced to sea level, hPa; never beside `pressure_hpa`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sea_level_pressure_hpa: Option<f64>,
    /// Relative humidity, per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humidity_pct: Option<f64>,
    /// Height above the sea, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub altitude_m: Option<f64>,
}

/// The wind that a ball flew in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Wind {
    /// Speed, m/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed_mps: Option<f64>,
    /// Where it comes from against the target line, degrees: 0 into the face, 90 from the right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_deg: Option<f64>,
    /// Where it comes from by compass, degrees; never beside `from_deg`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compass_from_deg: Option<f64>,
    /// Height above ground at which it was taken, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
}

/// What was aimed at, seen from the ball.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Target {
    /// Distance, m.
    pub distance_m: Option<f64>,
    /// Height above the ball, m.
    pub elevation_m: Option<f64>,
}

/// In which of its spellings each quantity was sent, if it was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Spelled([u8; QUANTITIES]);

impl Spelled {
    /// A quantity that was not sent.
    const ABSENT: u8 = u8::MAX;
    /// No quantity at all.
    pub(crate) const NONE: Self = Self([Self::ABSENT; QUANTITIES]);

    /// Notes the spelling, by its place among the quantity's units.
    pub(crate) fn note(&mut self, quantity: Quantity, unit: u8) {
        self.0[quantity.index()] = unit;
    }

    /// Whether it was sent.
    pub(crate) fn has(&self, quantity: Quantity) -> bool {
        self.0[quantity.index()] != Self::ABSENT
    }

    /// The member that was sent, if one was.
    pub(crate) fn member(&self, quantity: Quantity) -> Option<String> {
        let unit = quantity.row().dimension.units().get(usize::from(self.0[quantity.index()]))?;
        Some(spelling(quantity.row().base, *unit))
    }

    /// The pointer of the member that was sent, if one was.
    pub(crate) fn pointer(&self, quantity: Quantity) -> Option<String> {
        Some(format!("{}/{}", quantity.row().object.pointer(), self.member(quantity)?))
    }
}
