//! How air holds and lifts a spinning, dimpled ball.
//!
//! Coefficients are functions of the Reynolds number Re = v d ρ/μ and the spin ratio S = r ω⊥/v,
//! with ω⊥ the part of the spin across the way through the air. The functions of it are inlined always,
//! so that the lanes' instructions reach them (see `lanes`).

#![allow(clippy::inline_always)]

use std::f64::consts::PI;

use super::bounds::{Bound, OutOfRange};
use super::real::Real;

/// Where lift and drag come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Model {
    /// A modern ball: fitted to the published overall-distance test and to common practice over
    /// the whole bag. Extrapolates below Re 6e4 and above S 0.5.
    #[default]
    Modern,
    /// A ball of the 1990s: Smits and Ogg 2004, made for Re 0.7e5 to 2.1e5 and S 0.08 to 0.2.
    Ball1990s,
    /// No air at all.
    Vacuum,
}

impl Model {
    /// Every model.
    pub const ALL: [Self; 3] = [Self::Modern, Self::Ball1990s, Self::Vacuum];

    /// Its word in requests and answers.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Modern => "default",
            Self::Ball1990s => "ball-1990s",
            Self::Vacuum => "vacuum",
        }
    }

    /// How far it was off where it was fitted; `None` where nobody knows.
    #[must_use]
    pub const fn error(self) -> Option<ModelError> {
        match self {
            Self::Modern => {
                Some(ModelError { carry_m: 1.92, apex_m: 0.91, descent_angle_deg: 1.5 })
            }
            Self::Ball1990s | Self::Vacuum => None,
        }
    }

    /// The model that is shown beside this one, where the range of both matters.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Modern => Self::Ball1990s,
            Self::Ball1990s | Self::Vacuum => Self::Modern,
        }
    }

    /// Drag and lift coefficients at a Reynolds number and a spin ratio above zero.
    #[inline(always)]
    pub(super) fn coefficients<R: Real>(
        self,
        reynolds: R,
        spin_ratio: R,
        scales: &ScalesOf<R>,
    ) -> [R; 2] {
        let (bare, by_spin, lift) = match self {
            Self::Modern => modern(reynolds, spin_ratio),
            Self::Ball1990s => ball_1990s(reynolds, spin_ratio),
            Self::Vacuum => (reynolds.of(0.0), reynolds.of(0.0), reynolds.of(0.0)),
        };
        [scales.drag * scales.spin_drag.times_plus(by_spin, bare), scales.lift * lift]
    }
}

/// How far a model was off over the whole bag that it was fitted to, root mean square. Of the default:
/// 2.1 yd of carry, 1.0 yd of apex and 1.5° of descent (the reference's fit).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelError {
    /// Carry, m.
    pub carry_m: f64,
    /// Apex, m.
    pub apex_m: f64,
    /// Angle of descent, degrees.
    pub descent_angle_deg: f64,
}

/// Drag without spin, what spin adds to it, and lift. The fitted numbers are those of the check
/// data in `tests/data/flight/`.
#[inline(always)]
fn modern<R: Real>(reynolds: R, spin_ratio: R) -> (R, R, R) {
    let of = reynolds;
    let lift = of.of(0.36) * (of.of(1.0) - (of.of(-1.0 / 0.16) * spin_ratio).exp());
    let crisis = reynolds * of.of(1.0 / 6.75e4);
    let to_2 = crisis * crisis;
    let to_4 = to_2 * to_2;
    let fall = of.of(0.33) / to_4.times_plus(to_4, of.of(1.0));
    let bare = reynolds.times_plus(of.of(0.04 / 1e5), of.of(0.0893)) + fall;
    (bare, of.of(0.52) * lift, lift)
}

/// The same after Smits and Ogg, "Golf ball aerodynamics", The Engineering of Sport 5, 2004.
#[inline(always)]
fn ball_1990s<R: Real>(reynolds: R, spin_ratio: R) -> (R, R, R) {
    let of = reynolds;
    let lift = of.of(0.54) * (of.of(0.4) * spin_ratio.ln()).exp();
    let wave = (of.of(PI / 2e5) * (reynolds - of.of(9e4))).sin();
    (wave.times_plus(of.of(0.06), of.of(0.24)), of.of(0.18) * spin_ratio, lift)
}

/// Factors on a model, as a player's own ball and club ask for them; 1 leaves it as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// On all drag, 0.5 to 2.
    pub drag: f64,
    /// On all lift, 0.5 to 2.
    pub lift: f64,
    /// On the drag that comes with spin, 0 to 3.
    pub spin_drag: f64,
}

impl Scales {
    /// A model as it is.
    pub const NONE: Self = Self { drag: 1.0, lift: 1.0, spin_drag: 1.0 };

    pub(super) const DRAG: Bound = Bound::new("drag_scale", 0.5, 2.0);
    pub(super) const LIFT: Bound = Bound::new("lift_scale", 0.5, 2.0);
    pub(super) const SPIN_DRAG: Bound = Bound::new("spin_drag_scale", 0.0, 3.0);

    pub(super) fn faults(&self) -> impl Iterator<Item = OutOfRange> {
        let faults = [
            Self::DRAG.fault(self.drag),
            Self::LIFT.fault(self.lift),
            Self::SPIN_DRAG.fault(self.spin_drag),
        ];
        faults.into_iter().flatten()
    }
}

impl Default for Scales {
    fn default() -> Self {
        Self::NONE
    }
}

/// [`Scales`], of one flight or of several.
#[derive(Clone, Copy, Debug)]
pub(super) struct ScalesOf<R> {
    pub(super) drag: R,
    pub(super) lift: R,
    pub(super) spin_drag: R,
}

impl ScalesOf<f64> {
    pub(super) const fn one(Scales { drag, lift, spin_drag }: Scales) -> Self {
        Self { drag, lift, spin_drag }
    }
}

/// A model with its factors.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Aerodynamics {
    /// The model.
    pub model: Model,
    /// Factors on it.
    pub scales: Scales,
}

impl Aerodynamics {
    /// Drag and lift coefficients at a Reynolds number and a spin ratio.
    #[must_use]
    pub fn drag_and_lift(&self, reynolds: f64, spin_ratio: f64) -> [f64; 2] {
        self.model.coefficients(reynolds, spin_ratio, &ScalesOf::one(self.scales))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(model: Model, reynolds: f64, spin_ratio: f64) -> [f64; 2] {
        Aerodynamics { model, scales: Scales::NONE }.drag_and_lift(reynolds, spin_ratio)
    }

    /// Bearman and Harvey 1976, Smits and Ogg 2004: above the crisis drag is about 0.2 to 0.3 and
    /// lift about 0.1 to 0.3, both rising with spin; the second figures are the reference's.
    #[test]
    fn coefficients_above_the_crisis_are_those_of_measured_balls() {
        for (model, drag, lift) in [(Model::Modern, 0.264, 0.219), (Model::Ball1990s, 0.316, 0.253)]
        {
            let [d, l] = at(model, 1.5e5, 0.15);
            assert!((d - drag).abs() < 5e-4 && (l - lift).abs() < 5e-4, "{model:?}: {d}, {l}");
            let [more_d, more_l] = at(model, 1.5e5, 0.2);
            assert!(more_d > d && more_l > l);
        }
    }

    #[test]
    fn the_default_stays_within_bounds_far_outside_what_it_was_fitted_to() {
        for re in (0..=80).map(|i| 5e3 * f64::from(i)) {
            let mut before = [0.0, -1.0];
            for s in (0..=60).map(|i| f64::from(i) / 40.0) {
                let [drag, lift] = at(Model::Modern, re, s);
                assert!((0.139..=0.621).contains(&drag) && (0.0..=0.36).contains(&lift));
                assert!(drag >= before[0] && lift >= before[1], "falls with spin at {re}, {s}");
                before = [drag, lift];
            }
        }
    }

    #[test]
    fn a_ball_without_spin_has_no_lift() {
        for model in Model::ALL {
            assert!(at(model, 1e5, 0.0)[1].abs() < 1e-12, "{model:?}");
        }
    }
}
