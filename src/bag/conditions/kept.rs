//! What typical strikes keep of their carry into a stiff wind.

use super::{range::ModelRange, skies::STIFF_WIND_MPS};
use crate::flight::{Aerodynamics, Conditions, Faults, Launch, Model, Scales, Scene, Wind};

/// Between which factors on drag the other model's is looked for, and how often the range is halved: then
/// a carry is good to a millimetre.
const DRAGS: [f64; 2] = [0.5, 2.0];
const HALVINGS: u32 = 20;

/// A model with as much drag as lets a typical strike carry as far in still air as by another; the nearest
/// that there may be where none does. What weather then does to it differs by what the models are like.
pub(super) fn anchored(
    typical: &Launch,
    model: Model,
    as_by: Aerodynamics,
) -> Result<Aerodynamics, Faults> {
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

/// What a candidate's typical strike keeps of its carry into 20 mph less what the incumbent's keeps, m: by
/// the default model as it is, and by the other one.
pub(in crate::bag) fn kept_into_wind([candidate, incumbent]: [&Launch; 2]) -> Option<ModelRange> {
    let [candidate, incumbent] = [kept(candidate).ok()?, kept(incumbent).ok()?];
    Some(ModelRange::of(candidate[0] - incumbent[0], candidate[1] - incumbent[1]))
}

/// The change of a carry into 20 mph by both models.
fn kept(typical: &Launch) -> Result<[f64; 2], Faults> {
    let main = Aerodynamics::default();
    let other = anchored(typical, main.model.other(), main)?;
    let wind = Wind { speed_mps: STIFF_WIND_MPS, ..Wind::STILL };
    let change = |aerodynamics| {
        Ok(carry(typical, wind, aerodynamics)? - carry(typical, Wind::STILL, aerodynamics)?)
    };
    Ok([change(main)?, change(other)?])
}

/// How far a launch carries, m; without end where it is still in the air after 30 s.
fn carry(launch: &Launch, wind: Wind, aerodynamics: Aerodynamics) -> Result<f64, Faults> {
    let scene = Scene::new(&Conditions { wind, aerodynamics, ..Conditions::default() })?;
    Ok(scene.launch(launch)?.fly().map_or(f64::INFINITY, |flight| flight.carry_m))
}
