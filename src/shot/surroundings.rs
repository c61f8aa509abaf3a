//! What a ball flew in, as far as anybody said: the shot itself, else its source.

use super::event::{Air, Event, Wind};
use super::words::Adjustments;
use serde::{Deserialize, Serialize};

/// Air and wind of a shot as effective, and what its device has already corrected the flight for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// The air; the altitude is the source's where the shot has none.
    #[serde(default)]
    pub air: Air,
    /// The wind, always against the target line; one by compass is there only where the bearing of
    /// the line was known.
    #[serde(default)]
    pub wind: Wind,
    /// What the flight was corrected for.
    #[serde(default)]
    pub adjusted_for: Adjustments,
}

impl Surroundings {
    /// Those of an event: its own members, else what its source says at its arrival.
    #[must_use]
    pub fn of(event: &Event, source: &SourcePlace) -> Self {
        let altitude_m = event.air.altitude_m.or(source.altitude_m);
        let Wind { from_deg, compass_from_deg, .. } = event.wind;
        // Both are clockwise: what comes from where the line points comes into the face.
        let turned = compass_from_deg
            .zip(source.target_bearing_deg)
            .map(|(from, bearing)| (from - bearing).rem_euclid(360.0));
        Self {
            air: Air { altitude_m, ..event.air },
            wind: Wind { from_deg: from_deg.or(turned), compass_from_deg: None, ..event.wind },
            adjusted_for: event.adjusted_for.unwrap_or(source.adjusted_for),
        }
    }
}

/// What a source says of its place and its device when a shot comes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SourcePlace {
    /// Height above the sea, m.
    pub altitude_m: Option<f64>,
    /// Where its target line points by compass, degrees.
    pub target_bearing_deg: Option<f64>,
    /// What its device corrects flights for.
    pub adjusted_for: Adjustments,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::shot::Adjustment;

    fn event(members: &str) -> Event {
        let text = format!(
            r#"{{"id": "1", "source": "bay-3", "time": "2026-04-11T10:15:04Z", {members}}}"#
        );
        crate::shot::parse(text.as_bytes()).unwrap()
    }

    #[test]
    fn a_shot_s_own_word_goes_before_its_source_s() {
        let source = SourcePlace {
            altitude_m: Some(1_480.0),
            adjusted_for: [Adjustment::Air].into_iter().collect(),
            ..SourcePlace::default()
        };
        let silent = Surroundings::of(&event(r#""flight": {"carry_m": 150}"#), &source);
        assert_eq!(silent.air.altitude_m, Some(1_480.0));
        assert_eq!(silent.adjusted_for, source.adjusted_for);
        let told = r#""flight": {"carry_m": 150, "adjusted_for": []}, "air": {"altitude_m": 20}"#;
        let told = Surroundings::of(&event(told), &source);
        assert_eq!((told.air.altitude_m, told.adjusted_for), (Some(20.0), Adjustments::default()));
    }

    #[test]
    fn a_compass_wind_is_turned_to_the_target_line() {
        let carry = r#""flight": {"carry_m": 150}"#;
        for (compass, bearing, from) in [(40, 40.0, 0.0), (10, 350.0, 20.0), (130, 40.0, 90.0)] {
            let wind =
                format!(r#"{carry}, "wind": {{"speed_mps": 4, "compass_from_deg": {compass}}}"#);
            let aimed = SourcePlace { target_bearing_deg: Some(bearing), ..SourcePlace::default() };
            let turned = Surroundings::of(&event(&wind), &aimed).wind;
            assert_eq!((turned.from_deg, turned.compass_from_deg), (Some(from), None));
            let unaimed = Surroundings::of(&event(&wind), &SourcePlace::default()).wind;
            assert_eq!(unaimed.from_deg, None);
        }
    }
}
