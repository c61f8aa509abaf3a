//! Flights a second, many at once, against a general solver of differential equations: the crate
//! `differential-equations` (its own figures put it before the Fortran original of DOP853), with the
//! landing found in its interpolation and the loosest tolerance that is as exact as ours.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod report;

use std::hint::black_box;

use differential_equations::{
    methods::{DormandPrince, Ordinary},
    prelude::{ControlFlag, ExplicitRungeKutta, IVP, Interpolation, ODE, Solout, Solution},
};
use evencarry::flight::{
    Aerodynamics, Conditions, DIAMETER_M, GRAVITY_MPS2, Launch, MASS_KG, RADIUS_M, ROUGHNESS_M,
    SPIN_DECAY, Scene, Trajectory, Wind, fly_all,
};
use rayon::prelude::*;
use report::{Figure, Size};

fn main() {
    let size = Size::asked();
    report::title(&format!("flights, on {} cores", rayon::current_num_threads()));
    run(size, "still air", Wind::STILL, (1e6, 2e6));
    let wind = Wind { speed_mps: 8.0, from_deg: 40.0, height_m: 10.0 };
    run(size, "8 m/s of wind", wind, (0.5e6, 1e6));
    println!("  load average after: {}", report::load());
}

/// One wind: our rate beside its floor and goal, the solver's, and the ratio.
fn run(size: Size, name: &str, wind: Wind, (floor, goal): (f64, f64)) {
    let conditions = Conditions { wind, ..Conditions::default() };
    let scene = Scene::new(&conditions).unwrap();
    let launches = launches(size.of(200_000, 200));
    let ours: Vec<Trajectory> =
        launches.iter().map(|launch| scene.launch(launch).unwrap()).collect();
    let few = launches.len().min(4_000);
    let theirs: Vec<Ball> =
        launches[..few].iter().map(|launch| Ball::new(launch, &conditions)).collect();
    let exact: Vec<f64> = ours[..few].iter().map(|of| of.fly().unwrap().carry_m).collect();
    let off = worst(&exact, &brisk(&ours[..few]));
    println!("  {name}: ours off by {off:.4} m at most");
    let solvers = [Solver::Dopri5, Solver::Dop853]
        .map(|solver| (solver, solver.as_exact(&theirs, &exact, off)));
    let mut rate = Figure::default();
    let mut scalar = Figure::default();
    let mut rates = [Figure::default(), Figure::default()];
    for _ in 0..size.of(9, 1) {
        let (wall, flights) = report::timed(|| fly_all(&ours));
        black_box(flights);
        rate.add(ours.len() as f64 / wall.as_secs_f64());
        let some = &ours[..ours.len().min(20_000)];
        let (wall, ()) =
            report::timed(|| some.iter().for_each(|of| assert!(black_box(of.fly()).is_ok())));
        scalar.add(some.len() as f64 / wall.as_secs_f64());
        for ((solver, tolerance), rate) in solvers.iter().zip(&mut rates) {
            let (wall, carries) = report::timed(|| solver.fly(&theirs, *tolerance));
            black_box(carries);
            rate.add(theirs.len() as f64 / wall.as_secs_f64());
        }
    }
    report::line(&format!("many at once, {name}"), &rate, "flights/s");
    println!(
        "  {:<44} floor {}: {}; goal {}: {}",
        "",
        report::readable(floor),
        size.word(rate.median() >= floor),
        report::readable(goal),
        size.word(rate.median() >= goal)
    );
    report::line("one by one, to 0.02 mm, on one core", &scalar, "flights/s");
    for ((solver, tolerance), theirs) in solvers.iter().zip(&rates) {
        let name = format!("{solver:?} at a tolerance of {tolerance:.1e}");
        report::line(&name, theirs, "flights/s");
        report::ratio("  many at once / it", &rate.over(theirs), (5.0, size));
    }
}

/// Shots of a whole bag with a player's scatter, made by a fixed sequence (Weyl's, by the golden
/// ratio).
fn launches(count: usize) -> Vec<Launch> {
    let mut at = 0.5_f64;
    let mut next = || {
        at = (at + 0.618_033_988_749_894_9).fract();
        at
    };
    let launch = |_| {
        let [long, speed, angle, direction, axis] = std::array::from_fn(|_| next());
        Launch {
            ball_speed_mps: 40.0 + 36.0 * long + 4.0 * (speed - 0.5),
            launch_angle_deg: 26.0 - 14.0 * long + 4.0 * (angle - 0.5),
            launch_direction_deg: 6.0 * (direction - 0.5),
            spin_rate_rpm: 9_500.0 - 6_800.0 * long,
            spin_axis_deg: 16.0 * (axis - 0.5),
        }
    };
    (0..count).map(launch).collect()
}

fn brisk(trajectories: &[Trajectory]) -> Vec<f64> {
    fly_all(trajectories).into_iter().map(|flight| flight.unwrap().carry_m).collect()
}

fn worst(exact: &[f64], carries: &[f64]) -> f64 {
    exact.iter().zip(carries).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// The same equations, as one would write them for a general solver.
struct Ball {
    start: [f64; 7],
    axis: [f64; 3],
    aerodynamics: Aerodynamics,
    force: f64,
    reynolds: f64,
    wind: Option<[f64; 2]>,
}

impl Ball {
    fn new(launch: &Launch, conditions: &Conditions) -> Self {
        let air = *Scene::new(conditions).unwrap().air();
        let [direction, angle, tilt] =
            [launch.launch_direction_deg, launch.launch_angle_deg, launch.spin_axis_deg]
                .map(|angle| angle.to_radians().sin_cos());
        let v = launch.ball_speed_mps;
        let up = [-angle.0 * direction.1, -angle.0 * direction.0, angle.1];
        let right = [-direction.0, direction.1, 0.0];
        let Wind { speed_mps, from_deg, height_m } = conditions.wind;
        let unit = speed_mps / ((height_m + ROUGHNESS_M) / ROUGHNESS_M).ln();
        let from = from_deg.to_radians();
        let area = std::f64::consts::PI * RADIUS_M * RADIUS_M;
        Self {
            start: [
                0.0,
                0.0,
                0.0,
                v * angle.1 * direction.1,
                v * angle.1 * direction.0,
                v * angle.0,
                launch.spin_rate_rpm * std::f64::consts::PI / 30.0,
            ],
            axis: std::array::from_fn(|i| tilt.1 * right[i] - tilt.0 * up[i]),
            aerodynamics: conditions.aerodynamics,
            force: 0.5 * air.density_kgpm3 * area / MASS_KG,
            reynolds: DIAMETER_M * air.density_kgpm3 / air.viscosity_pas,
            wind: (speed_mps > 0.0).then(|| [-unit * from.cos(), -unit * from.sin()]),
        }
    }
}

impl ODE<f64, [f64; 7]> for Ball {
    fn diff(&self, _: f64, y: &[f64; 7], change: &mut [f64; 7]) {
        let [mut vx, mut vy, vz] = [y[3], y[4], y[5]];
        if let Some([wx, wy]) = self.wind {
            let growth = (y[2].max(0.0) / ROUGHNESS_M).ln_1p();
            (vx, vy) = (vx - wx * growth, vy - wy * growth);
        }
        let [ex, ey, ez] = self.axis;
        let across = [vy * ez - vz * ey, vz * ex - vx * ez, vx * ey - vy * ex];
        let square = vx * vx + vy * vy + vz * vz;
        let speed = square.sqrt();
        let width = across.iter().map(|part| part * part).sum::<f64>().sqrt();
        let [drag, lift] = self
            .aerodynamics
            .drag_and_lift(self.reynolds * speed, RADIUS_M * y[6] * width / square);
        let (back, up) = (self.force * drag * speed, self.force * lift * square / width);
        change[..3].copy_from_slice(&y[3..6]);
        change[3] = up * across[0] - back * vx;
        change[4] = up * across[1] - back * vy;
        change[5] = up * across[2] - back * vz - GRAVITY_MPS2;
        change[6] = -SPIN_DECAY * y[6] * speed / RADIUS_M;
    }
}

/// Ends where the ball lands, found within the solver's own interpolation; keeps nothing else.
struct Landing;

impl Solout<f64, [f64; 7]> for Landing {
    fn solout<I: Interpolation<f64, [f64; 7]> + ?Sized>(
        &mut self,
        now: f64,
        before: f64,
        here: &[f64; 7],
        there: &[f64; 7],
        within: &mut I,
        solution: &mut Solution<f64, [f64; 7]>,
    ) -> ControlFlag<f64, [f64; 7]> {
        if here[2] > 0.0 || now <= before {
            return ControlFlag::Continue;
        }
        // Regula falsi, the kept end halved (the Illinois rule).
        let (mut above, mut below) = ((before, there[2]), (now, here[2]));
        let mut at = (now, *here);
        for _ in 0..20 {
            let time = below.0 - below.1 * (below.0 - above.0) / (below.1 - above.1);
            at = (time, within.interpolate(time).unwrap());
            let height = at.1[2];
            if height.abs() < 1e-4 {
                break;
            }
            if height > 0.0 {
                (above, below.1) = ((time, height), 0.5 * below.1);
            } else {
                (below, above.1) = ((time, height), 0.5 * above.1);
            }
        }
        solution.push(at.0, at.1);
        ControlFlag::Terminate
    }
}

/// The general solver's methods that do best here.
#[derive(Debug, Clone, Copy)]
enum Solver {
    Dopri5,
    Dop853,
}

impl Solver {
    /// The loosest tolerance at which no carry is off by more than `off`, m.
    fn as_exact(self, balls: &[Ball], exact: &[f64], off: f64) -> f64 {
        let tolerances = (4..=20).map(|half| 10_f64.powf(-0.5 * f64::from(half)));
        tolerances
            .into_iter()
            .find(|&tolerance| worst(exact, &self.fly(balls, tolerance)) <= off)
            .expect("a tolerance that is exact enough")
    }

    /// Carries, on all cores.
    fn fly(self, balls: &[Ball], tolerance: f64) -> Vec<f64> {
        balls.par_iter().with_min_len(64).map(|ball| self.carry(ball, tolerance)).collect()
    }

    fn carry(self, ball: &Ball, tolerance: f64) -> f64 {
        match self {
            Self::Dopri5 => {
                landing(ball, ExplicitRungeKutta::dopri5().rtol(tolerance).atol(tolerance))
            }
            Self::Dop853 => {
                landing(ball, ExplicitRungeKutta::dop853().rtol(tolerance).atol(tolerance))
            }
        }
    }
}

type Method<const O: usize, const S: usize, const I: usize> =
    ExplicitRungeKutta<Ordinary, DormandPrince, f64, [f64; 7], O, S, I>;

fn landing<const O: usize, const S: usize, const I: usize>(
    ball: &Ball,
    method: Method<O, S, I>,
) -> f64 {
    let solution =
        IVP::ode(ball, 0.0, 30.0, ball.start).method(method).solout(Landing).solve().unwrap();
    let [x, y, ..] = solution.y.last().unwrap();
    x.hypot(*y)
}
