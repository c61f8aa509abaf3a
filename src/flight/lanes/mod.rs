//! Many flights at once: four side by side on each core, a landed one at once followed by the next.
//!
//! The steps are longer than those of a single flight: good to 0.05 yd of carry, which is far below
//! what any launch monitor or model knows. A launch into the ground flies nowhere and takes no lane.

use std::array;

use rayon::prelude::*;
use wide::f64x4;

use super::aerodynamics::{Model, ScalesOf};
use super::fly::LONGEST_FLIGHT_S;
use super::landed::{Apex, Flight, StillFlying};
use super::launch::Trajectory;
use super::motion::{Forces, State};
use super::step::Step;

const LANES: usize = 4;
/// Flights that one core takes at a time.
const CHUNK: usize = 256;

/// Way through the air in a step, m: the faster a ball, the faster the air changes its flight.
///
/// The steps were chosen by measuring: worst error of carry or side, in yards, over 20,000 shots of
/// the whole bag, in still air and in wind up to 14 m/s from anywhere (the greater of both models).
///
/// | way m | at the ground s | share down, up | longest s | still | wind |
/// | --- | --- | --- | --- | --- | --- |
/// | – | 0.02 | 0.6, 0.6 | 0.5 | 0.010 | 0.012 |
/// | 36 | 0.02 | 0.6, 0.6 | 12/rise | 0.021 | 0.023 |
/// | 36 | 0.02 | 0.6, 1.0 | 0.7, 14/rise | 0.025 | 0.029 |
/// | 36 | 0.02 | 0.6, 1.0 | 0.8, 16/rise | 0.032 | 0.046 |
/// | 42 | 0.02 | 0.6, 1.5 | 12/rise | 0.030 | 0.044 |
/// | 40 | 0.02 | 0.6, 1.0 | 20/rise | 0.055 | 0.108 |
///
/// Steep, strongly tilted shots in a strong wind, whose spin axis comes to lie along their way, are
/// off by up to 0.3 yd.
const WAY_M: f64 = 36.0;
/// In wind steps are shorter near the ground: this, s, and a share of the time that the height lasts
/// at the present speed, falling and rising.
const AT_GROUND_S: f64 = 0.02;
const SHARE_FALLING: f64 = 0.6;
const SHARE_RISING: f64 = 1.0;

type Landed = Result<Flight, StillFlying>;

/// Flies many trajectories, on all cores; the answers come in the order of the questions.
///
/// Carries of shots within the trade's usual ranges are within 0.05 yd of [`Trajectory::fly`].
#[must_use]
pub fn fly_all(trajectories: &[Trajectory]) -> Vec<Landed> {
    let mut flights = vec![Err(StillFlying); trajectories.len()];
    let chunks = trajectories.par_chunks(CHUNK).zip(flights.par_chunks_mut(CHUNK));
    chunks.for_each(|(trajectories, flights)| {
        for (trajectory, flight) in trajectories.iter().zip(&mut *flights) {
            if trajectory.stays_down() {
                *flight = Ok(trajectory.grounded());
            }
        }
        // Lanes share one law and one kind of air.
        let kind = |of: &Trajectory| (of.forces.model, of.forces.wind.is_some());
        let mut kinds: Vec<(Model, bool)> = trajectories.iter().map(kind).collect();
        kinds.dedup();
        for (at, this) in kinds.iter().enumerate() {
            if kinds[..at].contains(this) {
                continue;
            }
            let alike = |of: &Trajectory| kind(of) == *this && !of.stays_down();
            let mut queue = trajectories.iter().enumerate().filter(|(_, of)| alike(of));
            fly_queue(&mut queue, flights);
        }
    });
    flights
}

/// Flies all of a queue; each answer goes to its place in `flights`.
fn fly_queue<'a>(
    queue: &mut impl Iterator<Item = (usize, &'a Trajectory)>,
    flights: &mut [Landed],
) {
    let Some(first) = queue.next() else { return };
    let mut lanes = Lanes::new(first);
    for lane in 1..LANES {
        lanes.seat(lane, queue.next());
    }
    while lanes.seats.iter().any(Option::is_some) {
        lanes.advance(queue, flights);
    }
}

/// A flight in a lane.
#[derive(Clone, Copy)]
struct Seat<'a> {
    place: usize,
    trajectory: &'a Trajectory,
    apex: Apex,
}

/// Four flights side by side, at times of their own.
struct Lanes<'a> {
    seats: [Option<Seat<'a>>; LANES],
    forces: Forces<f64x4>,
    state: State<f64x4>,
    time_s: f64x4,
    /// The longest step of each lane, s; 0 in one without a flight, so that its time stands still.
    longest_s: f64x4,
}

impl<'a> Lanes<'a> {
    /// The first lane taken, the others idle at the same numbers.
    fn new(first: (usize, &'a Trajectory)) -> Self {
        let Trajectory { start, forces, .. } = first.1;
        let all = f64x4::splat;
        let mut lanes = Self {
            seats: [None; LANES],
            forces: Forces {
                model: forces.model,
                wind: forces.wind.map(|wind| wind.map(all)),
                axis: forces.axis.map(all),
                scales: ScalesOf {
                    drag: all(forces.scales.drag),
                    lift: all(forces.scales.lift),
                    spin_drag: all(forces.scales.spin_drag),
                },
                force_per_mass: all(forces.force_per_mass),
                reynolds_per_mps: all(forces.reynolds_per_mps),
                decay_per_m: all(forces.decay_per_m),
            },
            state: State {
                position: start.position.map(all),
                velocity: start.velocity.map(all),
                spin: all(start.spin),
            },
            time_s: f64x4::ZERO,
            longest_s: f64x4::ZERO,
        };
        lanes.seat(0, Some(first));
        lanes
    }

    /// Gives a lane to a flight, or leaves it idle.
    fn seat(&mut self, lane: usize, next: Option<(usize, &'a Trajectory)>) {
        self.seats[lane] =
            next.map(|(place, trajectory)| Seat { place, trajectory, apex: Apex::default() });
        let set = |to: &mut f64x4, value: f64| to.as_mut_array()[lane] = value;
        let Some((_, Trajectory { start, forces, .. })) = next else {
            set(&mut self.longest_s, 0.0);
            return;
        };
        set(&mut self.longest_s, longest_step(start.velocity[2]));
        set(&mut self.time_s, 0.0);
        for axis in 0..3 {
            set(&mut self.state.position[axis], start.position[axis]);
            set(&mut self.state.velocity[axis], start.velocity[axis]);
            set(&mut self.forces.axis[axis], forces.axis[axis]);
        }
        set(&mut self.state.spin, start.spin);
        if let (Some(ours), Some(wind)) = (&mut self.forces.wind, forces.wind) {
            set(&mut ours[0], wind[0]);
            set(&mut ours[1], wind[1]);
        }
        set(&mut self.forces.scales.drag, forces.scales.drag);
        set(&mut self.forces.scales.lift, forces.scales.lift);
        set(&mut self.forces.scales.spin_drag, forces.scales.spin_drag);
        set(&mut self.forces.force_per_mass, forces.force_per_mass);
        set(&mut self.forces.reynolds_per_mps, forces.reynolds_per_mps);
        set(&mut self.forces.decay_per_m, forces.decay_per_m);
    }

    /// One step of all lanes; the place of each flight that ended is taken by the next of the queue.
    fn advance(
        &mut self,
        queue: &mut impl Iterator<Item = (usize, &'a Trajectory)>,
        flights: &mut [Landed],
    ) {
        let from = self.state;
        let rise = from.velocity[2];
        let length = self.length();
        let change = self.forces.change(&from);
        let to = self.forces.step(&from, &change, length);
        let begin = self.time_s;
        self.state = to;
        self.time_s += length;
        let topped = rise.simd_gt(f64x4::ZERO) & to.velocity[2].simd_le(f64x4::ZERO);
        let down = to.position[2].simd_le(f64x4::ZERO);
        let late = self.time_s.simd_gt(f64x4::splat(LONGEST_FLIGHT_S));
        let ended = down | late;
        if !(topped | ended).any() {
            return;
        }
        for lane in 0..LANES {
            let is = |mask: f64x4| mask.to_bitmask() >> lane & 1 == 1;
            let Some(mut seat) = self.seats[lane].filter(|_| is(topped | ended)) else { continue };
            let step = Step {
                begin_s: begin.as_array()[lane],
                length_s: length.as_array()[lane],
                from: of_lane(&from, lane),
                change: of_lane(&change, lane),
                to: of_lane(&to, lane),
            };
            seat.apex = seat.apex.or_in(&step);
            if is(ended) {
                let landed = || {
                    let part = step.landing();
                    Flight::new(seat.trajectory, seat.apex, step.time(part), &step.at(part))
                };
                flights[seat.place] = if is(down) { Ok(landed()) } else { Err(StillFlying) };
                self.seat(lane, queue.next());
            } else {
                self.seats[lane] = Some(seat);
            }
        }
    }

    /// The length of each lane's next step, s.
    fn length(&self) -> f64x4 {
        let ([x, y, rise], height) = (self.state.velocity, self.state.position[2]);
        let speed = (x * x + y * y + rise * rise).max(f64x4::ONE).sqrt();
        let longest = self.longest_s.min(f64x4::splat(WAY_M) / speed);
        if self.forces.wind.is_none() {
            return longest;
        }
        let rising = rise.simd_gt(f64x4::ZERO);
        let share = rising.select(f64x4::splat(SHARE_RISING), f64x4::splat(SHARE_FALLING));
        let lasts = height / rise.abs().max(f64x4::ONE);
        longest.min(f64x4::splat(AT_GROUND_S) + share * lasts)
    }
}

/// The longest step of a launch that rises with this speed in m/s, s: shorter for one that flies low
/// and lands flat, and for one that climbs through more than any club makes it.
fn longest_step(rise: f64) -> f64 {
    0.7_f64.min(0.05 + rise / 18.0).min(14.0 / rise)
}

fn of_lane(state: &State<f64x4>, lane: usize) -> State<f64> {
    let of = |value: &f64x4| value.as_array()[lane];
    State {
        position: array::from_fn(|axis| of(&state.position[axis])),
        velocity: array::from_fn(|axis| of(&state.velocity[axis])),
        spin: of(&state.spin),
    }
}
