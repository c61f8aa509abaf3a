//! What typical strikes keep of their carry into a stiff wind.

use super::skies::STIFF_WIND_MPS;
use crate::flight::{Aerodynamics, Conditions, Faults, Launch, Model, Scales, Scene, Wind};

/// Between which factors on drag the other model's is looked for, and how often the range is halved: then
/// a carry is good to a millimetre.
const DRAGS: [f64; 2] = [0.5, 2.0];
const HALVINGS: u32 = 20;

/// The models that a club is flown by.
#[derive(Debug, Clone, Copy)]
pub(in crate::bag) struct Models {
    /// The main one, with the factors that were fitted to the club's shots, if any were.
    pub(in crate::bag) main: Aerodynamics,
    /// The one that makes the range, with as much drag as lets the typical strike carry as far in still air.
    pub(in crate::bag) other: Aerodynamics,
}

impl Models {
    /// Those of a club, given its main one and its typical strike.
    pub(in crate::bag) fn of(main: Aerodynamics, typical: &Launch) -> Result<Self, Faults> {
        Ok(Self { main, other: anchored(typical, main.model.other(), main)? })
    }

    /// What a typical strike keeps of its carry into 20 mph less that in still air, m, by the main model and by
    /// the other; `None` where it does not land.
    pub(in crate::bag) fn kept_into_wind(self, typical: &Launch) -> Option<[f64; 2]> {
        let kept = [self.main, self.other].map(|model| kept(typical, model).ok());
        let both = kept[0].zip(kept[1]).map(|(main, other)| [main, other]);
        both.filter(|kept| kept.iter().all(|kept| kept.is_finite()))
    }
}

/// A model with as much drag as lets a typical strike carry as far in still air as by another; the nearest
/// that there may be where none does. What weather then does to it differs by what the models are like.
fn anchored(typical: &Launch, model: Model, as_by: Aerodynamics) -> Result<Aerodynamics, Faults> {
    let with = |drag| Aerodynamics { model, scales: Scales { drag, ..Scales::NONE } };
    let carry = |aerodynamics| carry(typical, Wind::STILL, aerodynamics);
    let wanted = carry(as_by)?;
    let [mut low, mut high] = DRAGS;
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if carry(with(middle))? > wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(with(f64::midpoint(low, high)))
}

/// The change of a carry into 20 mph, m.
fn kept(typical: &Launch, aerodynamics: Aerodynamics) -> Result<f64, Faults> {
    let wind = Wind { speed_mps: STIFF_WIND_MPS, ..Wind::STILL };
    Ok(carry(typical, wind, aerodynamics)? - carry(typical, Wind::STILL, aerodynamics)?)
}

/// How far a launch carries, m; without end where it is still in the air after 30 s.
fn carry(launch: &Launch, wind: Wind, aerodynamics: Aerodynamics) -> Result<f64, Faults> {
    let scene = Scene::new(&Conditions { wind, aerodynamics, ..Conditions::default() })?;
    Ok(scene.launch(launch)?.fly().map_or(f64::INFINITY, |flight| flight.carry_m))
}
