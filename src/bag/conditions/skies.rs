//! What two clubs are flown in: still air, winds, and the coldest and wettest that was asked for.

use serde::Serialize;
use utoipa::ToSchema;

use crate::{
    bag::flown::{AirFlown, Calibrated},
    flight::{Aerodynamics, Conditions, Faults, Ground, Model, Scene, Weather, Wind},
};

/// Metres a second of one mile an hour (NIST SP 811, B.8).
const MPH: f64 = 0.447_04;
/// The wind that sentences speak of, m/s: 20 mph.
pub(super) const STIFF_WIND_MPS: f64 = 20.0 * MPH;
/// The winds: 10, 20 and 30 mph, a breeze, a stiff wind and about the most that is played in.
const WINDS_MPH: [f64; 3] = [10.0, 20.0, 30.0];
/// Temperature of a cold day unless asked otherwise, °C.
const COLD_C: f64 = 5.0;

/// What is asked of two clubs in weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConditionsQuestion {
    /// The model of drag and lift.
    pub model: Model,
    /// Whether it is fitted to each club's own shots.
    pub calibrated: Calibrated,
    /// The coldest that is coming, °C.
    pub temperature_c: f64,
    /// The ground then.
    pub ground: Ground,
}

impl Default for ConditionsQuestion {
    fn default() -> Self {
        Self {
            model: Model::default(),
            calibrated: Calibrated::default(),
            temperature_c: COLD_C,
            ground: Ground::Soaked,
        }
    }
}

/// Where a wind comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WindSide {
    /// There is none.
    Still,
    /// Into the face.
    Head,
    /// From behind.
    Tail,
    /// From the right, square to the target line.
    Cross,
}

impl WindSide {
    const fn bearing_deg(self) -> f64 {
        match self {
            Self::Still | Self::Head => 0.0,
            Self::Cross => 90.0,
            Self::Tail => 180.0,
        }
    }
}

/// One kind of weather.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sky {
    pub(super) side: WindSide,
    pub(super) conditions: Conditions,
    pub(super) air: AirFlown,
    pub(super) ground: Ground,
}

/// The place of still air among [`skies`].
pub(super) const STILL: usize = 0;
/// The place of 20 mph into the face.
pub(super) const HEAD_20: usize = 2;
/// The place of 20 mph from behind.
pub(super) const TAIL_20: usize = 5;
/// The place of 20 mph from the side.
pub(super) const CROSS_20: usize = 8;
/// The place of the coldest and wettest.
pub(super) const COLD_AND_WET: usize = 10;

/// All that they are flown in: still reference air first, then the winds in it, then what was asked for.
pub(super) fn skies(asked: &ConditionsQuestion) -> Result<Vec<Sky>, Faults> {
    let still = Conditions::default();
    let sky = |side, conditions: Conditions| {
        let air = AirFlown::of(&conditions, &Scene::new(&conditions)?);
        Ok(Sky { side, conditions, air, ground: asked.ground })
    };
    let wind = |side: WindSide, mph: f64| {
        let wind = Wind { speed_mps: mph * MPH, from_deg: side.bearing_deg(), ..Wind::STILL };
        sky(side, Conditions { wind, ..still })
    };
    let sides = [WindSide::Head, WindSide::Tail, WindSide::Cross];
    let winds = sides.into_iter().flat_map(|side| WINDS_MPH.map(|mph| wind(side, mph)));
    let weather = Weather { temperature_c: asked.temperature_c, ..Weather::REFERENCE };
    let cold = sky(WindSide::Still, Conditions { weather, ..still });
    [sky(WindSide::Still, still)].into_iter().chain(winds).chain([cold]).collect()
}

/// The same as scenes, for one model with its factors.
pub(super) fn scenes(skies: &[Sky], aerodynamics: Aerodynamics) -> Result<Vec<Scene>, Faults> {
    let scene = |sky: &Sky| Scene::new(&Conditions { aerodynamics, ..sky.conditions });
    skies.iter().map(scene).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn each_place_holds_what_it_is_called() {
        let skies = skies(&ConditionsQuestion::default()).unwrap();
        assert_eq!(skies.len(), COLD_AND_WET + 1);
        assert_eq!(skies[STILL].conditions, Conditions::default());
        for (place, side) in
            [(HEAD_20, WindSide::Head), (TAIL_20, WindSide::Tail), (CROSS_20, WindSide::Cross)]
        {
            let Sky { side: theirs, conditions, ground, .. } = skies[place];
            assert_eq!((theirs, ground), (side, Ground::Soaked));
            assert!((conditions.wind.speed_mps - 8.940_8).abs() < 1e-12);
        }
        assert_eq!(skies[COLD_AND_WET].ground, Ground::Soaked);
    }
}
