//! A club's counted shots, gathered to be flown.

use super::{Calibrated, Flown};
use crate::{
    bag::{
        filter::{Basis, Evidence, Filter, SUMMARY_SHOTS},
        marks::Build,
        player::Player,
    },
    flight::{
        Aerodynamics, Calibration, Launch, Model, Observed, SpinEstimate, calibrate, missing_spin,
    },
    shot::Sequence,
    stats,
};

/// The newest shots with a tracked carry that a calibration rests on: three factors need no more.
const CALIBRATION_SHOTS: usize = 200;
/// The newest shots whose missing spin is looked for in what was tracked of them, at some 300 flights
/// each; the others take theirs from these and from the measured ones.
const SOLVED_SHOTS: usize = 60;
/// Shots of known spin below which none is learned from them.
const LEARNED_SHOTS: usize = 5;

/// What a club's counted shots on one surface and with one ball give the flight room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ClubFlown {
    /// The surface and ball; `None` without a counted shot.
    pub basis: Option<Basis>,
    /// Counted shots that were looked at, the newest of all.
    pub counted: usize,
    /// Those among them that have a launch, newest first.
    pub shots: Vec<Flown>,
}

/// Launches that can be flown.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Launches {
    /// One for each shot, newest first. What was not measured of one is the club's own centre.
    pub all: Vec<Launch>,
    /// Which shot each of them is.
    pub of: Vec<Sequence>,
    /// How many have a spin that no device measured.
    pub spin_inferred: usize,
    /// What was solved of spins from tracked flights, newest first.
    pub solved: Vec<SpinEstimate>,
    /// How many were left out, since their spin is not known and nothing tells it.
    pub without_spin: usize,
    /// Whether the direction was measured of any.
    pub direction_known: bool,
    /// Whether the tilt of the spin's axis was measured of any.
    pub axis_known: bool,
}

impl Launches {
    /// Whether anything is known of where the ball goes aside: it takes direction and axis.
    #[must_use]
    pub const fn are_aimed(&self) -> bool {
        self.direction_known && self.axis_known
    }
}

/// Gathers the newest counted shots of a build under a filter, on the surface and with the ball that its
/// figures rest on.
#[must_use]
pub fn club_flown(player: Player<'_>, build: Build, filter: &Filter) -> ClubFlown {
    let newest = filter.last.unwrap_or(SUMMARY_SHOTS);
    club_flown_from(player, build, (&player.evidence(filter), newest))
}

/// The same of the evidence of a question, so many shots at most.
pub(in crate::bag) fn club_flown_from(
    player: Player<'_>,
    build: Build,
    (evidence, newest): (&Evidence, usize),
) -> ClubFlown {
    let basis = player.basis(build, evidence);
    let rows = player.counted(build, evidence).filter(|row| basis == Some(Basis::of(row)));
    let mut gathered = ClubFlown { basis, ..ClubFlown::default() };
    for row in rows.take(newest) {
        gathered.counted += 1;
        gathered.shots.extend(Flown::of(row));
    }
    gathered
}

impl ClubFlown {
    /// A model fitted to what was tracked of the newest shots with a measured spin, if it may be.
    #[must_use]
    pub fn calibration(&self, model: Model, calibrated: Calibrated) -> Calibration {
        if calibrated == Calibrated::None {
            return Calibration::NONE;
        }
        let aerodynamics = Aerodynamics { model, ..Aerodynamics::default() };
        let observed = |shot: &Flown| shot.observed(shot.spin_rate_rpm?, aerodynamics);
        let newest: Vec<Observed> = self.calibrating().filter_map(observed).collect();
        calibrate(&newest)
    }

    /// The shots that a model is fitted to.
    pub(super) fn calibrating(&self) -> impl Iterator<Item = &Flown> {
        let is_tracked = |shot: &&Flown| {
            let carries = shot.tracked.is_some_and(|tracked| tracked.carry_m.is_some());
            carries && shot.spin_measured && shot.spin_rate_rpm.is_some()
        };
        self.shots.iter().filter(is_tracked).take(CALIBRATION_SHOTS)
    }

    /// The launches of the shots. A missing spin is solved from what was tracked, else learned from the
    /// club's other shots; a missing direction or axis is their centre.
    #[must_use]
    pub fn launches(&self, aerodynamics: Aerodynamics) -> Launches {
        let (spins, solved) = self.spins(aerodynamics);
        let learned = SpinByLaunch::learn(&self.shots, &spins);
        let centre_of =
            |value: fn(&Flown) -> Option<f64>| centre(self.shots.iter().filter_map(value));
        let direction = centre_of(|shot| shot.launch_direction_deg);
        let axis = centre_of(|shot| shot.spin_axis_deg);
        let mut launches = Launches {
            solved,
            direction_known: direction.is_some(),
            axis_known: axis.is_some(),
            ..Launches::default()
        };
        for (shot, spin) in self.shots.iter().zip(spins) {
            let known = spin.or_else(|| learned.map(|law| law.spin_rpm(shot.launch_angle_deg)));
            let Some(spin) = known else {
                launches.without_spin += 1;
                continue;
            };
            let measured = shot.spin_rate_rpm.is_some() && shot.spin_measured;
            launches.spin_inferred += usize::from(!measured);
            launches.of.push(shot.sequence);
            launches.all.push(Launch {
                launch_direction_deg: shot.launch_direction_deg.or(direction).unwrap_or(0.0),
                spin_axis_deg: shot.spin_axis_deg.or(axis).unwrap_or(0.0),
                ..shot.launch_with(spin)
            });
        }
        launches
    }

    /// Each shot's spin, rpm, as told by its device or by its own flight; and what was solved.
    fn spins(&self, aerodynamics: Aerodynamics) -> (Vec<Option<f64>>, Vec<SpinEstimate>) {
        let (mut tried, mut solved) = (0, Vec::new());
        let mut solve = |shot: &Flown| {
            if shot.tracked.is_none() || tried == SOLVED_SHOTS {
                return None;
            }
            tried += 1;
            let estimate = missing_spin(&shot.observed(0.0, aerodynamics)?)?;
            solved.push(estimate);
            Some(estimate.spin_rate_rpm)
        };
        let spins =
            self.shots.iter().map(|shot| shot.spin_rate_rpm.or_else(|| solve(shot))).collect();
        (spins, solved)
    }
}

/// Huber's centre; that of one value is the value.
pub(super) fn centre(values: impl Iterator<Item = f64>) -> Option<f64> {
    let values: Vec<f64> = values.collect();
    stats::Summary::of(&values).ok().and_then(|summary| summary.huber.or(summary.median))
}

/// How a club's spin goes with its launch angle: a line through the medians with the median of all
/// pairs' slopes (Theil 1950, Sen 1968), which a stray shot hardly moves.
#[derive(Clone, Copy, Debug)]
struct SpinByLaunch {
    middle: [f64; 2],
    slope: f64,
}

impl SpinByLaunch {
    /// From the newest shots of known spin; `None` with too few.
    fn learn(shots: &[Flown], spins: &[Option<f64>]) -> Option<Self> {
        let known = |(shot, spin): (&Flown, &Option<f64>)| Some([shot.launch_angle_deg, (*spin)?]);
        let points: Vec<[f64; 2]> =
            shots.iter().zip(spins).filter_map(known).take(CALIBRATION_SHOTS).collect();
        if points.len() < LEARNED_SHOTS {
            return None;
        }
        let median = |values: &[f64]| stats::median(values).ok().flatten();
        let of = |at: usize| points.iter().map(|point| point[at]).collect::<Vec<f64>>();
        let mut slopes = Vec::new();
        for (at, [angle, spin]) in points.iter().enumerate() {
            let steps = points[..at].iter().map(|[a, s]| [angle - a, spin - s]);
            // Steps of less than a tenth of a degree tell of nothing but noise.
            slopes.extend(steps.filter(|[by, _]| by.abs() > 0.1).map(|[by, more]| more / by));
        }
        let slope = median(&slopes).unwrap_or(0.0);
        Some(Self { middle: [median(&of(0))?, median(&of(1))?], slope })
    }

    /// The spin at a launch angle, rpm, within what a launch may have.
    fn spin_rpm(self, launch_angle_deg: f64) -> f64 {
        let [angle, spin] = self.middle;
        (spin + self.slope * (launch_angle_deg - angle)).clamp(0.0, 20_000.0)
    }
}
