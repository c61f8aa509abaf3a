//! The shot event as this sender writes it: the members of schema `shot/1` that its devices know.

use crate::scenario::BAY;
use serde::Serialize;

/// One shot, as posted to `POST /v1/shots`. Absent members are left out of the JSON, never null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Event {
    /// With `source`, the name of the event for ever.
    pub(crate) id: String,
    /// The device that saw the shot.
    pub(crate) source: &'static str,
    /// RFC 3339, with the offset of the range.
    pub(crate) time: String,
    /// Who hit it; absent where the source's context or an assignment says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) player: Option<&'static str>,
    /// The club; absent only on the shot that is assigned later.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) club: Option<&'static str>,
    /// The visit, named within the player.
    pub(crate) session: String,
    /// The surface; absent where the source's context says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) lie: Option<Lie>,
    /// The ball; absent where the source's context says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) ball: Option<&'static str>,
    /// Why it was hit; absent for practice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) purpose: Option<Purpose>,
    /// How the ball left the club.
    pub(crate) launch: Launch,
    /// What the clubhead did.
    pub(crate) clubhead: Clubhead,
    /// Where the ball went.
    pub(crate) flight: Flight,
    /// The air it flew through.
    pub(crate) air: Air,
}

impl Event {
    /// The event as the bay sends it: what its context fills in is left out. The device at the tee
    /// line has no context and says everything.
    #[must_use]
    pub(crate) fn as_sent(&self) -> Self {
        let mut sent = self.clone();
        if self.source == BAY {
            sent.player = None;
            sent.ball = None;
            sent.lie = self.lie.filter(|&lie| lie != Lie::Mat);
        }
        sent
    }

    /// The event as the bay sends it while nobody has signed in and no club is chosen.
    #[must_use]
    pub(crate) fn as_stray(&self) -> Self {
        Self { player: None, club: None, ..self.as_sent() }
    }
}

/// The surfaces this scenario plays from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Lie {
    /// A peg.
    Tee,
    /// The bay's mat.
    Mat,
    /// The strip of fairway beside the bays.
    Fairway,
}

/// The purposes this scenario names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Purpose {
    /// Kept by the service and never counted.
    WarmUp,
}

/// Launch as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(clippy::struct_field_names, reason = "the members are spelled by the schema")]
pub(crate) struct Launch {
    /// Ball speed, m/s.
    pub(crate) ball_speed_mps: f64,
    /// Launch angle above the horizon, degrees.
    pub(crate) launch_angle_deg: f64,
    /// Launch direction, degrees, right is positive.
    pub(crate) launch_direction_deg: f64,
    /// Rate and axis together; absent where the device reports no spin.
    #[serde(flatten)]
    pub(crate) spin: Option<Spin>,
}

/// Spin as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Spin {
    /// Spin rate, rpm.
    pub(crate) spin_rate_rpm: f64,
    /// Spin axis tilt, degrees, positive curves right.
    pub(crate) spin_axis_deg: f64,
}

/// Clubhead delivery as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Clubhead {
    /// Clubhead speed, m/s.
    pub(crate) speed_mps: f64,
}

/// Flight, tracked to the landing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Flight {
    /// Carry, m.
    pub(crate) carry_m: f64,
    /// Offline at landing, m, right is positive.
    pub(crate) side_m: f64,
    /// Height of the apex, m.
    pub(crate) apex_m: f64,
    /// Descent angle, degrees, positive down.
    pub(crate) descent_angle_deg: f64,
    /// Always `tracked`: both devices see the landing.
    pub(crate) origin: &'static str,
}

/// The air at the range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Air {
    /// Air temperature, °C.
    pub(crate) temperature_c: f64,
    /// Station pressure, hPa.
    pub(crate) pressure_hpa: f64,
    /// Relative humidity, %.
    pub(crate) humidity_pct: f64,
    /// Height above sea level, m.
    pub(crate) altitude_m: f64,
}
