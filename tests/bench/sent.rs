//! The event as a plain typed parser reads it: what the baselines parse.

#![allow(dead_code, reason = "a parser pays for every member, whoever reads it")]

use std::borrow::Cow;

use serde::Deserialize;

#[derive(Debug, Deserialize)]
pub(crate) struct Sent<'a> {
    #[serde(borrow)]
    pub(crate) id: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) source: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) time: Cow<'a, str>,
    #[serde(borrow)]
    pub(crate) player: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) club: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) session: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) lie: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) intent: Intent<'a>,
    #[serde(borrow)]
    pub(crate) ball: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) place: Option<Cow<'a, str>>,
    pub(crate) launch: Launch,
    pub(crate) clubhead: Clubhead,
    #[serde(borrow)]
    pub(crate) flight: Flight<'a>,
    pub(crate) air: Air,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Intent<'a> {
    #[serde(borrow)]
    pub(crate) height: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) shape: Option<Cow<'a, str>>,
    #[serde(borrow)]
    pub(crate) swing: Option<Cow<'a, str>>,
}

#[allow(clippy::struct_field_names, reason = "the members are spelled by the schema")]
#[derive(Debug, Deserialize)]
pub(crate) struct Launch {
    pub(crate) ball_speed_mps: f64,
    pub(crate) launch_angle_deg: f64,
    pub(crate) launch_direction_deg: Option<f64>,
    pub(crate) spin_rate_rpm: Option<f64>,
    pub(crate) spin_axis_deg: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Clubhead {
    pub(crate) speed_mps: Option<f64>,
    pub(crate) attack_angle_deg: Option<f64>,
    pub(crate) head_path_deg: Option<f64>,
    pub(crate) face_to_target_deg: Option<f64>,
    pub(crate) strike_toe_mm: Option<f64>,
    pub(crate) strike_high_mm: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Flight<'a> {
    pub(crate) carry_m: Option<f64>,
    pub(crate) total_m: Option<f64>,
    pub(crate) side_m: Option<f64>,
    pub(crate) apex_m: Option<f64>,
    pub(crate) descent_angle_deg: Option<f64>,
    pub(crate) hang_time_s: Option<f64>,
    #[serde(borrow)]
    pub(crate) origin: Option<Cow<'a, str>>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Air {
    pub(crate) temperature_c: Option<f64>,
    pub(crate) humidity_pct: Option<f64>,
}
