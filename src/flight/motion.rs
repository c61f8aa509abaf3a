//! The equations of motion and one Runge-Kutta step of them, for one flight or several side by side.
//!
//! Functions are inlined always, so that the lanes' instructions reach them (see `lanes`).

#![allow(clippy::inline_always)]

use super::aerodynamics::{Model, ScalesOf};
use super::ball::{GRAVITY_MPS2, RADIUS_M};
use super::real::Real;
use super::scene::Scene;
use super::wind::ROUGHNESS_M;

/// Stands in for a square of zero where something is divided by it: (m/s)², far below any ball's.
const TINY: f64 = 1e-24;

/// Where a ball is, where it goes and how it spins; also the change of these with time.
#[derive(Clone, Copy, Debug)]
pub(super) struct State<R> {
    /// m.
    pub(super) position: [R; 3],
    /// m/s.
    pub(super) velocity: [R; 3],
    /// rad/s, about an axis fixed in space.
    pub(super) spin: R,
}

impl<R: Real> State<R> {
    /// This, gone on with a change for a time in s.
    #[inline(always)]
    fn after(&self, time: R, change: &Self) -> Self {
        let ([x, y, z], [vx, vy, vz]) = (self.position, self.velocity);
        let ([dx, dy, dz], [ax, ay, az]) = (change.position, change.velocity);
        Self {
            position: [dx.times_plus(time, x), dy.times_plus(time, y), dz.times_plus(time, z)],
            velocity: [ax.times_plus(time, vx), ay.times_plus(time, vy), az.times_plus(time, vz)],
            spin: change.spin.times_plus(time, self.spin),
        }
    }
}

/// What acts on a ball: the scene's numbers and the spin axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Forces<R> {
    pub(super) model: Model,
    pub(super) wind: Option<[R; 2]>,
    pub(super) axis: [R; 3],
    pub(super) scales: ScalesOf<R>,
    pub(super) force_per_mass: R,
    pub(super) reynolds_per_mps: R,
    pub(super) decay_per_m: R,
}

impl Forces<f64> {
    pub(super) const fn new(scene: &Scene, axis: [f64; 3]) -> Self {
        Self {
            model: scene.model,
            wind: scene.wind,
            axis,
            scales: scene.scales,
            force_per_mass: scene.force_per_mass,
            reynolds_per_mps: scene.reynolds_per_mps,
            decay_per_m: scene.decay_per_m,
        }
    }
}

impl<R: Real> Forces<R> {
    /// How a state changes: drag against the way through the air, lift across it and the spin axis,
    /// gravity, and the loss of spin (Smits and Ogg 2004).
    #[inline(always)]
    pub(super) fn change(&self, state: &State<R>) -> State<R> {
        let tiny = state.spin.of(TINY);
        let [x, y, z] = self.through_air(state);
        let [ex, ey, ez] = self.axis;
        // The cross product of the way and the axis, by components: the triple is left-handed.
        let across = [y * ez - z * ey, z * ex - x * ez, x * ey - y * ex];
        let [ax, ay, az] = across;
        let square = x.times_plus(x, y.times_plus(y, z * z)).at_least(tiny);
        let speed = square.sqrt();
        let width = ax.times_plus(ax, ay.times_plus(ay, az * az)).at_least(tiny).sqrt();
        // One division for both reciprocals.
        let both = tiny.of(1.0) / (square * width);
        let spin_ratio = tiny.of(RADIUS_M) * state.spin * width * (width * both);
        let reynolds = self.reynolds_per_mps * speed;
        // The law of the 1990s takes a logarithm of the ratio.
        let [drag, lift] =
            self.model.coefficients(reynolds, spin_ratio.at_least(tiny), &self.scales);
        let back = self.force_per_mass * drag * speed;
        let up = self.force_per_mass * lift * square * (square * both);
        State {
            position: state.velocity,
            velocity: [
                up.times_plus(ax, tiny.of(0.0) - back * x),
                up.times_plus(ay, tiny.of(0.0) - back * y),
                up.times_plus(az, tiny.of(-GRAVITY_MPS2) - back * z),
            ],
            spin: tiny.of(0.0) - self.decay_per_m * state.spin * speed,
        }
    }

    /// Velocity against the air, with the wind's log law of height.
    #[inline(always)]
    fn through_air(&self, state: &State<R>) -> [R; 3] {
        let [x, y, z] = state.velocity;
        let Some([wx, wy]) = self.wind else { return [x, y, z] };
        let height = state.position[2].at_least(z.of(0.0));
        let growth = height.times_plus(z.of(1.0 / ROUGHNESS_M), z.of(1.0)).ln();
        [x - wx * growth, y - wy * growth, z]
    }

    /// The classical Runge-Kutta step of fourth order, over a time in s, from a state and its change.
    #[inline(always)]
    pub(super) fn step(&self, from: &State<R>, first: &State<R>, time: R) -> State<R> {
        let half = time.of(0.5) * time;
        let second = self.change(&from.after(half, first));
        let third = self.change(&from.after(half, &second));
        let fourth = self.change(&from.after(time, &third));
        let (one, two) = (time.of(1.0), time.of(2.0));
        let middle = second.after(one, &third);
        let sum = first.after(two, &middle).after(one, &fourth);
        from.after(time * time.of(1.0 / 6.0), &sum)
    }
}
