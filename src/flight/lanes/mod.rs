//! Many flights at once: several side by side on each core, a landed one at once followed by the next.
//!
//! The steps are longer than those of a single flight: good to 0.05 yd of carry, which is far below
//! what any launch monitor or model knows. A launch into the ground flies nowhere and takes no lane.
//!
//! How many stand side by side is the machine's: eight where it has AVX2 and fused multiplication, which
//! is asked once while the program runs, else four. Both are good to the same bound, and differ in the
//! last digits.

#![allow(clippy::inline_always)]

#[cfg(target_arch = "x86_64")]
mod avx2;
mod lane;

use std::array;

use rayon::prelude::*;
use wide::f64x4;

use self::lane::{Lane, MOST};
use super::aerodynamics::{Model, ScalesOf};
use super::fly::LONGEST_FLIGHT_S;
use super::landed::{Apex, Flight, StillFlying};
use super::launch::Trajectory;
use super::motion::{Forces, State};
use super::step::Step;

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
    chunks.for_each(|(trajectories, flights)| Chunk { trajectories, flights }.fly());
    flights
}

/// Flights that one core takes at a time, and where their answers go.
struct Chunk<'c> {
    trajectories: &'c [Trajectory],
    flights: &'c mut [Landed],
}

#[cfg(target_arch = "x86_64")]
impl Chunk<'_> {
    fn fly(self) {
        match pulp::x86::V3::try_new() {
            Some(simd) => simd.vectorize(On { chunk: self, zero: avx2::Eight::zero(simd) }),
            None => self.fly_in(f64x4::ZERO),
        }
    }
}

#[cfg(not(target_arch = "x86_64"))]
impl Chunk<'_> {
    fn fly(self) {
        self.fly_in(f64x4::ZERO);
    }
}

/// A chunk with a form of lanes.
#[cfg(target_arch = "x86_64")]
struct On<'c, R> {
    chunk: Chunk<'c>,
    zero: R,
}

#[cfg(target_arch = "x86_64")]
impl<R: Lane> pulp::NullaryFnOnce for On<'_, R> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.chunk.fly_in(self.zero);
    }
}

impl Chunk<'_> {
    /// Flies all of them in lanes like this.
    #[inline(always)]
    fn fly_in<R: Lane>(self, zero: R) {
        let Self { trajectories, flights } = self;
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
            fly_queue(zero, &mut queue, flights);
        }
    }
}

/// Flies all of a queue; each answer goes to its place in `flights`.
#[inline(always)]
fn fly_queue<'a, R: Lane>(
    zero: R,
    queue: &mut impl Iterator<Item = (usize, &'a Trajectory)>,
    flights: &mut [Landed],
) {
    let Some(first) = queue.next() else { return };
    let mut lanes = Lanes::new(zero, first);
    for lane in 1..R::WIDTH {
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

/// Flights side by side, at times of their own.
struct Lanes<'a, R> {
    seats: [Option<Seat<'a>>; MOST],
    forces: Forces<R>,
    state: State<R>,
    time_s: R,
    /// The longest step of each lane, s; 0 in one without a flight, so that its time stands still.
    longest_s: R,
}

impl<'a, R: Lane> Lanes<'a, R> {
    /// The first lane taken, the others idle at the same numbers.
    #[inline(always)]
    fn new(zero: R, first: (usize, &'a Trajectory)) -> Self {
        let Trajectory { start, forces, .. } = first.1;
        let all = |value: &f64| zero.of(*value);
        let mut lanes = Self {
            seats: [None; MOST],
            forces: Forces {
                model: forces.model,
                wind: forces.wind.as_ref().map(|wind| wind.each_ref().map(all)),
                axis: forces.axis.each_ref().map(all),
                scales: ScalesOf {
                    drag: all(&forces.scales.drag),
                    lift: all(&forces.scales.lift),
                    spin_drag: all(&forces.scales.spin_drag),
                },
                force_per_mass: all(&forces.force_per_mass),
                reynolds_per_mps: all(&forces.reynolds_per_mps),
                decay_per_m: all(&forces.decay_per_m),
            },
            state: State {
                position: start.position.each_ref().map(all),
                velocity: start.velocity.each_ref().map(all),
                spin: all(&start.spin),
            },
            time_s: zero,
            longest_s: zero,
        };
        lanes.seat(0, Some(first));
        lanes
    }

    /// Gives a lane to a flight, or leaves it idle.
    #[inline(always)]
    fn seat(&mut self, lane: usize, next: Option<(usize, &'a Trajectory)>) {
        self.seats[lane] =
            next.map(|(place, trajectory)| Seat { place, trajectory, apex: Apex::default() });
        let set = |to: &mut R, value: f64| to.set(lane, value);
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
    #[inline(always)]
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
        let zero = begin.of(0.0);
        self.state = to;
        self.time_s = self.time_s + length;
        let topped = rise.above(zero) & !to.velocity[2].above(zero);
        let down = !to.position[2].above(zero);
        let late = self.time_s.above(zero.of(LONGEST_FLIGHT_S));
        let ended = down | late;
        if (topped | ended) & ((1 << R::WIDTH) - 1) == 0 {
            return;
        }
        for lane in 0..R::WIDTH {
            let is = |mask: u32| mask >> lane & 1 == 1;
            let Some(mut seat) = self.seats[lane].filter(|_| is(topped | ended)) else { continue };
            let step = Step {
                begin_s: begin.get(lane),
                length_s: length.get(lane),
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
    #[inline(always)]
    fn length(&self) -> R {
        let ([x, y, rise], height) = (self.state.velocity, self.state.position[2]);
        let one = rise.of(1.0);
        let speed = x.times_plus(x, y.times_plus(y, rise * rise)).at_least(one).sqrt();
        let longest = self.longest_s.at_most(rise.of(WAY_M) / speed);
        if self.forces.wind.is_none() {
            return longest;
        }
        let share = rise.if_positive(rise.of(SHARE_RISING), rise.of(SHARE_FALLING));
        let falling = rise.of(0.0) - rise;
        let lasts = height / rise.at_least(falling).at_least(one);
        longest.at_most(share.times_plus(lasts, rise.of(AT_GROUND_S)))
    }
}

/// The longest step of a launch that rises with this speed in m/s, s: shorter for one that flies low
/// and lands flat, and for one that climbs through more than any club makes it.
fn longest_step(rise: f64) -> f64 {
    0.7_f64.min(0.05 + rise / 18.0).min(14.0 / rise)
}

#[inline(always)]
fn of_lane<R: Lane>(state: &State<R>, lane: usize) -> State<f64> {
    State {
        position: array::from_fn(|axis| state.position[axis].get(lane)),
        velocity: array::from_fn(|axis| state.velocity[axis].get(lane)),
        spin: state.spin.get(lane),
    }
}
