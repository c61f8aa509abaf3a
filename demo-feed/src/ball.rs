//! The ball of the scenario, flown through the still air of the range. It is this program's own, so
//! that the service's flights are tried by data that they did not make.
//!
//! Drag and lift have the form of the service's default model; this ball has a little more of the one
//! and less of the other. The frame is x to the target, y to the right, z up.

use crate::event::Air;
use std::array;
use std::f64::consts::PI;

/// Mass, kg, and radius, m: the limits of the Rules of Golf.
const MASS_KG: f64 = 0.045_93;
const RADIUS_M: f64 = 0.042_67 / 2.0;
/// Standard gravity, m/s².
const GRAVITY_MPS2: f64 = 9.806_65;
/// Spin decays at this times spin × speed / radius (form of Smits and Ogg 2004).
const SPIN_DECAY: f64 = 2e-5;
/// One step of the integration, s: good to a few millimetres.
const STEP_S: f64 = 0.05;
/// Carry grows with about this power of the ball speed.
const CARRY_POWER: f64 = 1.65;
/// So many corrections find a ball speed to within a millimetre of carry.
const CORRECTIONS: usize = 12;

/// A ball, by how it differs from the model of drag and lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ball {
    /// Factor on all drag.
    pub(crate) drag: f64,
    /// Factor on all lift.
    pub(crate) lift: f64,
}

/// How a ball leaves the club.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Start {
    /// Ball speed, m/s.
    pub(crate) speed_mps: f64,
    /// Above the horizon, degrees.
    pub(crate) angle_deg: f64,
    /// Right of the target, degrees.
    pub(crate) direction_deg: f64,
    /// Whole spin, rpm.
    pub(crate) spin_rpm: f64,
    /// Tilt of the spin axis, degrees, positive curves right.
    pub(crate) axis_deg: f64,
}

/// Where and how a ball comes down, at the height it was hit from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Landing {
    /// Straight from the tee, m.
    pub(crate) carry_m: f64,
    /// Right of the target line, m.
    pub(crate) side_m: f64,
    /// Highest point, m.
    pub(crate) apex_m: f64,
    /// Below the horizon, degrees.
    pub(crate) descent_deg: f64,
}

/// Position (m), velocity (m/s) and spin (rad/s), or how they change in a second.
type State = [f64; 7];

impl Ball {
    /// Flies a ball that leaves the club upwards.
    #[must_use]
    pub(crate) fn fly(&self, start: &Start, air: &Air) -> Landing {
        let (density, viscosity) = (density_kgpm3(air), viscosity_pas(air));
        let axis = start.axis();
        let change = |state: &State| self.change(state, (&axis, density, viscosity));
        let (mut state, mut apex_m) = (start.state(), 0.0_f64);
        loop {
            let next = step(&state, change);
            if next[2] < 0.0 {
                // The last step's way is all but straight.
                let share = state[2] / (state[2] - next[2]);
                let [x, y, _, vx, vy, vz, _] =
                    array::from_fn(|i| state[i] + share * (next[i] - state[i]));
                let (carry_m, level) = (f64::hypot(x, y), f64::hypot(vx, vy));
                let descent_deg = (-vz).atan2(level).to_degrees();
                return Landing { carry_m, side_m: y, apex_m, descent_deg };
            }
            apex_m = apex_m.max(next[2]);
            state = next;
        }
    }

    /// The ball speed, m/s, at which a start (its own speed is only a first guess) carries so far.
    #[must_use]
    pub(crate) fn speed_mps(&self, carry_m: f64, start: &Start, air: &Air) -> f64 {
        (0..CORRECTIONS).fold(start.speed_mps, |speed_mps, _| {
            let flown = self.fly(&Start { speed_mps, ..*start }, air);
            speed_mps * (carry_m / flown.carry_m).powf(1.0 / CARRY_POWER)
        })
    }

    /// Drag against the way, lift across it and the spin axis, gravity, and the loss of spin.
    fn change(&self, state: &State, (axis, density, viscosity): (&[f64; 3], f64, f64)) -> State {
        let [_, _, _, x, y, z, spin] = *state;
        let [ex, ey, ez] = *axis;
        let across = [y * ez - z * ey, z * ex - x * ez, x * ey - y * ex];
        let (speed, width) = (norm([x, y, z]), norm(across));
        let spin_ratio = RADIUS_M * spin * width / (speed * speed);
        let reynolds = 2.0 * RADIUS_M * speed * density / viscosity;
        let [drag, lift] = self.coefficients(reynolds, spin_ratio);
        let force = density * PI * RADIUS_M * RADIUS_M / (2.0 * MASS_KG);
        let [ax, ay, az]: [f64; 3] = array::from_fn(|i| {
            let up = force * lift * speed * speed * across[i] / width;
            up - force * drag * speed * [x, y, z][i]
        });
        [x, y, z, ax, ay, az - GRAVITY_MPS2, -SPIN_DECAY * spin * speed / RADIUS_M]
    }

    /// Drag and lift at a Reynolds number and a spin ratio.
    fn coefficients(&self, reynolds: f64, spin_ratio: f64) -> [f64; 2] {
        let lift = 0.36 * (1.0 - (-spin_ratio / 0.16).exp());
        let crisis = 0.33 / (1.0 + (reynolds / 6.75e4).powi(8));
        let drag = 0.0893 + 0.52 * lift + 0.04 * reynolds / 1e5 + crisis;
        [self.drag * drag, self.lift * lift]
    }
}

impl Start {
    fn state(&self) -> State {
        let (right, ahead) = self.direction_deg.to_radians().sin_cos();
        let (rise, level) = self.angle_deg.to_radians().sin_cos();
        let [vx, vy, vz] = [level * ahead, level * right, rise].map(|part| self.speed_mps * part);
        [0.0, 0.0, 0.0, vx, vy, vz, self.spin_rpm * PI / 30.0]
    }

    /// The spin axis: level and to the right of the way, then tilted about the way.
    fn axis(&self) -> [f64; 3] {
        let (right, ahead) = self.direction_deg.to_radians().sin_cos();
        let (rise, level) = self.angle_deg.to_radians().sin_cos();
        let (tilt, untilted) = self.axis_deg.to_radians().sin_cos();
        let (across, up) = ([-right, ahead, 0.0], [-rise * ahead, -rise * right, level]);
        array::from_fn(|i| untilted * across[i] - tilt * up[i])
    }
}

/// The classical Runge-Kutta step of fourth order.
fn step(from: &State, change: impl Fn(&State) -> State) -> State {
    let after = |time: f64, by: &State| array::from_fn(|i| from[i] + time * by[i]);
    let first = change(from);
    let second = change(&after(STEP_S / 2.0, &first));
    let third = change(&after(STEP_S / 2.0, &second));
    let fourth = change(&after(STEP_S, &third));
    let mean = |i: usize| (first[i] + 2.0 * second[i] + 2.0 * third[i] + fourth[i]) / 6.0;
    after(STEP_S, &array::from_fn(mean))
}

fn norm(way: [f64; 3]) -> f64 {
    way.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// Density of moist air, kg/m³: an ideal gas, with the vapour pressure by Magnus' formula (WMO No. 8).
fn density_kgpm3(air: &Air) -> f64 {
    let t = air.temperature_c;
    let vapour_hpa = air.humidity_pct / 100.0 * 6.112 * (17.62 * t / (243.12 + t)).exp();
    100.0 * (air.pressure_hpa - 0.378 * vapour_hpa) / (287.05 * (t + 273.15))
}

/// Dynamic viscosity, Pa s, by Sutherland's law (US Standard Atmosphere 1976).
fn viscosity_pas(air: &Air) -> f64 {
    let kelvins = air.temperature_c + 273.15;
    1.458e-6 * kelvins.powf(1.5) / (kelvins + 110.4)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::collections::HashMap;

    /// An independent program's flights (see `tests/data/flight/README.md` of the service).
    const REFERENCE: &str =
        concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/data/flight/reference.csv");

    /// The reference's rows in still air by the default model, by column.
    fn reference() -> Vec<HashMap<String, String>> {
        let text = std::fs::read_to_string(REFERENCE).unwrap();
        let mut lines = text.lines().map(|line| line.split(',').map(str::to_owned));
        let columns: Vec<_> = lines.next().unwrap().collect();
        let rows = lines.map(|line| columns.iter().cloned().zip(line).collect());
        rows.filter(|row: &HashMap<_, String>| row["model"] == "default" && row["wind_mps"] == "0")
            .collect()
    }

    #[test]
    fn without_factors_it_flies_as_an_independent_program_has_it() {
        let (ball, rows) = (Ball { drag: 1.0, lift: 1.0 }, reference());
        assert!(rows.len() > 20, "{}", rows.len());
        for row in rows {
            let figure = |column: &str| row[column].parse::<f64>().unwrap();
            let start = Start {
                speed_mps: figure("ball_speed_mps"),
                angle_deg: figure("launch_angle_deg"),
                direction_deg: figure("launch_direction_deg"),
                spin_rpm: figure("spin_rate_rpm"),
                axis_deg: figure("spin_axis_deg"),
            };
            let air = Air {
                temperature_c: figure("temperature_c"),
                pressure_hpa: figure("pressure_hpa"),
                humidity_pct: figure("humidity_pct"),
                altitude_m: figure("altitude_m"),
            };
            let flown = ball.fly(&start, &air);
            // The tolerances are this air's: its density is that of an ideal gas.
            for (column, ours, within) in [
                ("carry_m", flown.carry_m, 0.15),
                ("side_m", flown.side_m, 0.1),
                ("apex_m", flown.apex_m, 0.1),
                ("descent_angle_deg", flown.descent_deg, 0.1),
            ] {
                let theirs = figure(column);
                assert!((ours - theirs).abs() < within, "{} {column} {ours} {theirs}", row["case"]);
            }
        }
    }

    #[test]
    fn a_ball_speed_is_found_for_every_carry() {
        let ball = Ball { drag: 1.02, lift: 0.97 };
        let air =
            Air { temperature_c: 4.0, pressure_hpa: 845.0, humidity_pct: 45.0, altitude_m: 1480.0 };
        let start = Start {
            speed_mps: 50.0,
            angle_deg: 15.0,
            direction_deg: 0.0,
            spin_rpm: 5000.0,
            axis_deg: 0.0,
        };
        for carry_m in [75.0, 158.0, 214.0] {
            let speed_mps = ball.speed_mps(carry_m, &start, &air);
            let flown = ball.fly(&Start { speed_mps, ..start }, &air);
            assert!((flown.carry_m - carry_m).abs() < 1e-3, "{carry_m}: {flown:?}");
        }
    }
}
