//! One flight at a time, as exactly as the reference.

use super::landed::{Apex, Flight, StillFlying};
use super::launch::Trajectory;
use super::motion::State;
use super::step::Step;

/// A flight that has not landed by then is given up, s. Within the bounds of launch and conditions the
/// longest known is 23 s.
pub const LONGEST_FLIGHT_S: f64 = 30.0;

/// The longest step, s: in still air, where all are, within 0.01 mm of the reference.
const LONGEST_STEP_S: f64 = 0.1;
/// In wind steps are shorter near the ground, where its law bends within centimetres: this, s, and
/// a share of the time that the height lasts at the present speed. Within 0.02 mm of the reference
/// in any wind, at about 100 steps.
const AT_GROUND_S: f64 = 0.002;
const SHARE_OF_HEIGHT: f64 = 0.2;

/// Where the ball is at a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// s.
    pub time_s: f64,
    /// Along the target line, m.
    pub x_m: f64,
    /// To the right, m.
    pub y_m: f64,
    /// Up, m.
    pub z_m: f64,
}

impl Trajectory {
    /// Flies the ball until it lands.
    ///
    /// # Errors
    /// [`StillFlying`] after [`LONGEST_FLIGHT_S`].
    pub fn fly(&self) -> Result<Flight, StillFlying> {
        self.follow(|_, _| {})
    }

    /// The flight and where the ball was: at the begin, after each `every_s` and at the landing.
    /// Nothing below a hundredth of a second is told apart.
    ///
    /// # Errors
    /// [`StillFlying`] after [`LONGEST_FLIGHT_S`].
    pub fn path(&self, every_s: f64) -> Result<(Flight, Vec<PathPoint>), StillFlying> {
        let every_s = if every_s >= 0.01 { every_s } else { 0.01 };
        let mut path = vec![PathPoint { time_s: 0.0, x_m: 0.0, y_m: 0.0, z_m: 0.0 }];
        let mut points = 1.0;
        let flight = self.follow(|step, until| {
            // The landing is a point of its own: none is a rounding error before it.
            while points * every_s < step.time(until) - 1e-9 {
                path.push(point(step, (points * every_s - step.begin_s) / step.length_s));
                points += 1.0;
            }
        })?;
        path.push(PathPoint {
            time_s: flight.hang_time_s,
            x_m: flight.downrange_m,
            y_m: flight.side_m,
            z_m: 0.0,
        });
        Ok((flight, path))
    }

    /// Whether the ball does not leave the ground: a launch downwards, or a level one without the
    /// lift to carry it.
    pub(super) fn stays_down(&self) -> bool {
        let rise = self.start.velocity[2];
        rise < 0.0 || rise == 0.0 && self.forces.change(&self.start).velocity[2] <= 0.0
    }

    /// The flight of a ball that does not leave the ground.
    pub(super) fn grounded(&self) -> Flight {
        Flight::new(self, Apex::default(), 0.0, &self.start)
    }

    /// Flies the ball and shows every step, with the part of it that is in the air.
    fn follow(&self, mut see: impl FnMut(&Step, f64)) -> Result<Flight, StillFlying> {
        if self.stays_down() {
            return Ok(self.grounded());
        }
        let (mut at, mut begin_s, mut apex) = (self.start, 0.0, Apex::default());
        while begin_s < LONGEST_FLIGHT_S {
            let length_s = self.step_s(&at);
            let change = self.forces.change(&at);
            let to = self.forces.step(&at, &change, length_s);
            let step = Step { begin_s, length_s, from: at, change, to };
            apex = apex.or_in(&step);
            if to.position[2] <= 0.0 {
                let part = step.landing();
                see(&step, part);
                return Ok(Flight::new(self, apex, step.time(part), &step.at(part)));
            }
            see(&step, 1.0);
            (at, begin_s) = (to, step.time(1.0));
        }
        Err(StillFlying)
    }

    fn step_s(&self, at: &State<f64>) -> f64 {
        if self.forces.wind.is_none() {
            return LONGEST_STEP_S;
        }
        let lasts = at.position[2] / at.velocity[2].abs().max(1.0);
        LONGEST_STEP_S.min(AT_GROUND_S + SHARE_OF_HEIGHT * lasts)
    }
}

impl Apex {
    /// This, or the top within a step if there is a higher one.
    pub(super) fn or_in(self, step: &Step) -> Self {
        if step.from.velocity[2] <= 0.0 || step.to.velocity[2] > 0.0 {
            return self;
        }
        let top = step.top();
        let PathPoint { time_s, x_m, z_m, .. } = point(step, top);
        if z_m > self.height_m { Self { height_m: z_m, downrange_m: x_m, time_s } } else { self }
    }
}

fn point(step: &Step, part: f64) -> PathPoint {
    let [x_m, y_m, z_m] = step.at(part).position;
    PathPoint { time_s: step.time(part), x_m, y_m, z_m }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::flight::{Conditions, Launch, Scene, fly_all};

    fn trajectory() -> Trajectory {
        let launch = Launch {
            ball_speed_mps: 60.0,
            launch_angle_deg: 12.0,
            launch_direction_deg: 0.0,
            spin_rate_rpm: 4_000.0,
            spin_axis_deg: 0.0,
        };
        Scene::new(&Conditions::default()).unwrap().launch(&launch).unwrap()
    }

    #[test]
    fn a_ball_that_stays_up_is_reported_as_such_and_the_others_land() {
        let mut thrown = trajectory();
        // Without air and at ten times any ball's speed: no input can ask for it.
        (thrown.start.velocity[2], thrown.forces.force_per_mass) = (1_000.0, 0.0);
        assert_eq!(thrown.fly(), Err(StillFlying));
        let flights = fly_all(&[trajectory(), thrown, trajectory()]);
        assert_eq!(flights[1], Err(StillFlying));
        assert!(flights[0].is_ok() && flights[0] == flights[2]);
    }

    /// Fluid mechanics textbooks: a ball falls at last with v² = 2 m g/(ρ A c), c the drag. The speeds are the
    /// reference's root of that, for 20 °C and no spin.
    #[test]
    fn a_falling_ball_comes_to_its_terminal_speed() {
        use crate::flight::{Aerodynamics, Model, Scales};
        for (model, speed) in [(Model::Modern, 58.17), (Model::Ball1990s, 44.04)] {
            let aerodynamics = Aerodynamics { model, scales: Scales::NONE };
            let scene = Scene::new(&Conditions { aerodynamics, ..Conditions::default() }).unwrap();
            let launch = Launch {
                ball_speed_mps: 1.0,
                launch_angle_deg: 80.0,
                launch_direction_deg: 0.0,
                spin_rate_rpm: 0.0,
                spin_axis_deg: 0.0,
            };
            let mut dropped = scene.launch(&launch).unwrap();
            (dropped.start.position[2], dropped.start.velocity) = (2_000.0, [0.0; 3]);
            let mut at = dropped.start;
            while at.position[2] > 500.0 {
                at = dropped.forces.step(&at, &dropped.forces.change(&at), 0.1);
            }
            assert!((-at.velocity[2] - speed).abs() < 0.01, "{model:?}: {}", at.velocity[2]);
        }
    }
}
