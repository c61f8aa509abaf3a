//! Sources of shots: what one is, and what its shots inherit for a while.
//!
//! Altitudes may be sent in metres or feet, like the event's; they are kept in metres.

use super::catalogue::title;
use super::fault::{Faults, Rejection};
use super::json::Json;
use super::names::{BallId, ClubId, PlayerId, SourceId};
use super::quantity::Quantity;
use super::reading::{Reading, document};
use super::units::Dimension;
use super::value::At;
use super::words::{Adjustments, FlightOrigin, Lie, Place, SpeedOrigin, SpinOrigin};
use serde::{Deserialize, Serialize};

/// Bearings, degrees from north.
pub const BEARING_DEG: (f64, f64) = (0.0, 360.0);

/// A source of shots, and what its shots have by default.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// What it is called.
    pub name: String,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// The surface there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    /// The ball there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// Its height above the sea, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude_m: Option<f64>,
    /// The bearing of its target line, degrees from north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_bearing_deg: Option<f64>,
    /// Its time zone by its IANA name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
    /// How its flights come about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flight_origin: Option<FlightOrigin>,
    /// How its spins come about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spin_origin: Option<SpinOrigin>,
    /// How its clubhead speeds come about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_origin: Option<SpeedOrigin>,
    /// What it corrects its flights for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adjusted_for: Option<Adjustments>,
}

/// What a source's shots inherit from now on; replaced whole, and cleared by an empty one.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Context {
    /// Who hits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub player: Option<PlayerId>,
    /// With which club; inherited only with this player, or when the event names them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub club: Option<ClubId>,
    /// From what surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lie: Option<Lie>,
    /// With which ball.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ball: Option<BallId>,
    /// Where.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// The bearing of the target line, degrees from north.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_bearing_deg: Option<f64>,
    /// The height above the sea, m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude_m: Option<f64>,
}

impl Source {
    /// The entry of a source that only a shot has named: called by the id.
    #[must_use]
    pub fn bare(id: &SourceId) -> Self {
        Self {
            name: id.to_string(),
            place: None,
            lie: None,
            ball: None,
            altitude_m: None,
            target_bearing_deg: None,
            zone: None,
            flight_origin: None,
            spin_origin: None,
            speed_origin: None,
            adjusted_for: None,
        }
    }

    /// Reads the document of a source.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a source", |from| {
            let name = title(from);
            let source = Self {
                name: String::new(),
                place: from.word("place"),
                lie: from.word("lie"),
                ball: from.name("ball"),
                altitude_m: altitude(from),
                target_bearing_deg: bearing(from),
                zone: from.read("zone", |at, value, faults| zone(at, &value, faults)),
                flight_origin: from.word("flight_origin"),
                spin_origin: from.word("spin_origin"),
                speed_origin: from.word("speed_origin"),
                adjusted_for: from
                    .read("adjusted_for", |at, value, faults| at.adjustments(&value, faults)),
            };
            Some(Self { name: name?, ..source })
        })
    }
}

impl Context {
    /// Reads the context of a source.
    pub fn from_json(text: &[u8]) -> Result<Self, Rejection> {
        document(text, "a context", |from| {
            Some(Self {
                player: from.name("player"),
                club: from.name("club"),
                lie: from.word("lie"),
                ball: from.name("ball"),
                place: from.word("place"),
                target_bearing_deg: bearing(from),
                altitude_m: altitude(from),
            })
        })
    }
}

/// An altitude, within the event's bounds.
fn altitude(from: &mut Reading<'_, '_>) -> Option<f64> {
    let row = Quantity::ALTITUDE.row();
    from.quantity(row.base, row.dimension, row.bounds)
}

/// The bearing of a target line.
fn bearing(from: &mut Reading<'_, '_>) -> Option<f64> {
    from.quantity("target_bearing", Dimension::Angle, BEARING_DEG)
}

/// The name of a time zone that the zone database knows.
fn zone(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<String> {
    at.zone(value, faults)?;
    at.text(value, faults).map(str::to_owned)
}
