//! One flight at a time, as exactly as the reference.

use super::flight::{Apex, Flight, StillFlying};
use super::launch::Trajectory;
use super::step::{Rule, Step};

/// A flight that has not landed by then is given up, s. No launch within the bounds is known to
/// come near it.
pub const LONGEST_FLIGHT_S: f64 = 30.0;

/// Within 0.02 mm of the reference in any wind, at about 100 steps; in still air, where every step
/// is the longest, within 0.01 mm.
const EXACT: Rule = Rule { longest_s: 0.1, shortest_s: 0.002, share: 0.2 };

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
            while points * every_s < step.time(until) {
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
            let length_s = match self.forces.wind {
                None => EXACT.longest_s,
                Some(_) => EXACT.in_wind(at.position[2], at.velocity[2]),
            };
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
}

impl Apex {
    /// This, or the top within a step if there is a higher one.
    pub(super) fn or_in(self, step: &Step) -> Self {
        if step.from.velocity[2] <= 0.0 || step.to.velocity[2] > 0.0 {
            return self;
        }
        let top = step.top();
        let PathPoint { time_s, x_m, z_m, .. } = point(step, top);
        if z_m > self.height_m {
            Self { height_m: z_m, downrange_m: x_m, time_s }
        } else {
            self
        }
    }
}

fn point(step: &Step, part: f64) -> PathPoint {
    let [x_m, y_m, z_m] = step.at(part).position;
    PathPoint { time_s: step.time(part), x_m, y_m, z_m }
}
