//! What a flight is answered with: the flight itself, and how far it may be believed.

use serde::Serialize;
use utoipa::ToSchema;

use super::request::{FlightWanted, LAUNCH, PathWanted};
use crate::{
    bag::{AirFlown, OtherModel},
    flight::{CAUTION, Conditions, Flight, Launch, RUN_BAND, Run, Scene, StillFlying, Trajectory},
};

/// A flight from the ball to its landing, an estimate: x is along the target line, y to the right, z up.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(super) struct FlownFlight {
    /// Whether the ball comes down within 30 s; if not, there are no figures.
    lands: bool,
    /// Straight from the ball to where it first lands, m.
    carry_m: Option<f64>,
    /// The part of the carry across the target line, m; right is positive.
    side_m: Option<f64>,
    /// The part along it, m; negative where the wind blew the ball back.
    downrange_m: Option<f64>,
    /// The side less where the launch direction alone would have put the ball, m.
    curve_m: Option<f64>,
    /// Greatest height, m.
    apex_m: Option<f64>,
    /// Time in the air, s.
    hang_time_s: Option<f64>,
    /// Angle of landing, degrees; down is positive.
    descent_angle_deg: Option<f64>,
    /// Speed at landing, m/s.
    landing_speed_mps: Option<f64>,
    /// Whole spin at landing, rpm.
    landing_spin_rpm: Option<f64>,
    /// Straight from the ball to where it comes to rest, m; only where a ground was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    total_m: Option<f64>,
    /// The part of the total across the target line, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    total_side_m: Option<f64>,
    /// Bounce and roll, in the direction of landing, m; negative where the ball comes back.
    #[serde(skip_serializing_if = "Option::is_none")]
    run_m: Option<f64>,
    /// Where the ball is and when; only where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    path: Option<Vec<PointOfPath>>,
    /// How far this may be believed.
    estimate: Estimate,
}

/// Where the ball is at a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
struct PointOfPath {
    /// Since the launch, s.
    t_s: f64,
    /// Along the target line, m.
    x_m: f64,
    /// To the right of it, m.
    y_m: f64,
    /// Above the ball's place, m.
    z_m: f64,
}

/// How far a computed flight may be believed, and what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
struct Estimate {
    /// The model of drag and lift.
    aerodynamics: &'static str,
    /// The air that the ball flies in.
    air: AirFlown,
    /// What the launch's spread and the model's own error come to; null where neither is known.
    uncertainty: Uncertainty,
    /// The same launch with the other model: where both differ, so may the truth.
    other_model: OtherModel,
    /// Whether the spin was worked out by a device rather than measured.
    inferred: bool,
    /// Whether the launch lies where no model was fitted: Reynolds number below 60,000 or spin ratio
    /// above 0.5, as of chips and part wedges.
    extrapolated: bool,
    /// What is unusual about what was sent, in the words of the flags of shots.
    flags: Vec<String>,
    /// What a reader should know about this flight.
    notes: Vec<&'static str>,
    /// What has to stand beside every computed flight.
    caution: &'static str,
}

/// How far figures may be off. The default model's own error is what it was off over the whole bag that
/// it was fitted to, in usual air; to that comes half of what the two models differ by in what these
/// conditions change against still reference air. Nobody knows the other model's own error.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, ToSchema)]
struct Uncertainty {
    /// Carry, m.
    carry_m: Option<Band>,
    /// Side, m: of the launch's spread alone.
    side_m: Option<Band>,
    /// Apex, m.
    apex_m: Option<Band>,
    /// Angle of descent, degrees.
    descent_angle_deg: Option<Band>,
    /// Total, m, with a run that is good to 30 %; only where a ground was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    total_m: Option<Band>,
}

/// How far a figure may be off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
struct Band {
    /// One standard deviation.
    sd: f64,
    /// With a chance of 95 % it is not below and not above: this end.
    low: f64,
    /// And this.
    high: f64,
}

const EXTRAPOLATED: &str = "The ball is so slow, or spins so fast for its speed, that no model was \
    fitted to such launches.";
const WRONG_PRESSURE: &str = "The pressure does not fit the altitude. One from a weather report is \
    mostly reduced to sea level: send it as sea_level_pressure_hpa.";
const STAYS_UP: &str = "The ball is still in the air after 30 s: no shot flies as long.";
const INFERRED: &str = "The spin was not measured, so the figures rest on inferred data.";
const UNKNOWN_ERROR: &str = "How far this model is off is not known: compare with the other one.";

/// Ends of 95 % in standard deviations: the 97.5 % point of the normal law.
const Z: f64 = 1.959_963_984_540_054;

impl FlownFlight {
    /// Flies what is wanted.
    pub(super) fn of(wanted: &FlightWanted) -> Option<Self> {
        let scene = Scene::new(&wanted.conditions).ok()?;
        let trajectory = scene.launch(&wanted.launch).ok()?;
        let (flight, path) = match wanted.path {
            Some(path) => followed(&trajectory, path)
                .map_or((None, None), |(flight, path)| (Some(flight), Some(path))),
            None => (trajectory.fly().ok(), None),
        };
        let run = flight.zip(wanted.ground).map(|(flight, ground)| ground.run(&flight));
        let estimate = Estimate::of(wanted, (&scene, &trajectory), flight.as_ref(), run.as_ref());
        let figure = |read: fn(&Flight) -> f64| flight.as_ref().map(read);
        Some(Self {
            lands: flight.is_some(),
            carry_m: figure(|flight| flight.carry_m),
            side_m: figure(|flight| flight.side_m),
            downrange_m: figure(|flight| flight.downrange_m),
            curve_m: figure(|flight| flight.curve_m),
            apex_m: figure(|flight| flight.apex_m),
            hang_time_s: figure(|flight| flight.hang_time_s),
            descent_angle_deg: figure(|flight| flight.descent_angle_deg),
            landing_speed_mps: figure(|flight| flight.landing_speed_mps),
            landing_spin_rpm: figure(|flight| flight.landing_spin_rpm),
            total_m: run.map(|run| run.total_m),
            total_side_m: run.map(|run| run.total_side_m),
            run_m: run.map(|run| run.run_m),
            path,
            estimate,
        })
    }
}

fn followed(
    trajectory: &Trajectory,
    path: PathWanted,
) -> Result<(Flight, Vec<PointOfPath>), StillFlying> {
    let every_s = match path {
        PathWanted::Every(every_s) => every_s,
        PathWanted::Points(points) => trajectory.fly()?.hang_time_s / f64::from(points - 1),
    };
    let (flight, path) = trajectory.path(every_s)?;
    let point = |at: crate::flight::PathPoint| PointOfPath {
        t_s: at.time_s,
        x_m: at.x_m,
        y_m: at.y_m,
        z_m: at.z_m,
    };
    Ok((flight, path.into_iter().map(point).collect()))
}

impl Estimate {
    fn of(
        wanted: &FlightWanted,
        (scene, trajectory): (&Scene, &Trajectory),
        flight: Option<&Flight>,
        run: Option<&Run>,
    ) -> Self {
        let model = wanted.conditions.aerodynamics.model;
        let extrapolated = trajectory.extrapolates();
        let flags = wanted.flags.words_in_si();
        let notes = [
            (flight.is_none(), STAYS_UP),
            (extrapolated, EXTRAPOLATED),
            (flags.iter().any(|flag| flag == "unusual:/air/pressure_hpa"), WRONG_PRESSURE),
            (wanted.inferred, INFERRED),
            (model.error().is_none(), UNKNOWN_ERROR),
        ];
        let notes = notes.into_iter().filter_map(|(holds, note)| holds.then_some(note)).collect();
        let other_model = OtherModel::of(&wanted.conditions, &wanted.launch);
        let uncertainty = flight.map(|flight| {
            let apart = models_apart(wanted, flight, &other_model);
            Uncertainty::of(wanted, (scene, apart), flight, run)
        });
        Self {
            aerodynamics: model.word(),
            air: AirFlown::of(&wanted.conditions, scene),
            uncertainty: uncertainty.unwrap_or_default(),
            other_model,
            inferred: wanted.inferred,
            extrapolated,
            flags,
            notes,
            caution: CAUTION,
        }
    }
}

impl Uncertainty {
    fn of(
        wanted: &FlightWanted,
        (scene, apart): (&Scene, [f64; 3]),
        flight: &Flight,
        run: Option<&Run>,
    ) -> Self {
        let launch = wanted.spread.map(|spread| launch_variances(wanted, scene, &spread));
        let error = wanted.conditions.aerodynamics.model.error();
        let model = |at: usize, read: fn(crate::flight::ModelError) -> f64| {
            error.map(|error| read(error).powi(2) + (apart[at] / 2.0).powi(2))
        };
        let band = |at: usize, middle: f64, model: Option<f64>| {
            let launch = launch.map(|variances| variances[at]);
            Some(Band::above_zero(middle, launch.unwrap_or(0.0) + model?))
        };
        let carry = model(0, |error| error.carry_m);
        // The band of a run is taken for two standard deviations.
        let total = |run: &Run| {
            let run_sd = RUN_BAND * run.run_m.abs() / 2.0;
            let launch = launch.map_or(0.0, |[.., total]| total);
            Some(Band::above_zero(run.total_m, launch + carry? + run_sd * run_sd))
        };
        Self {
            carry_m: band(0, flight.carry_m, carry),
            side_m: launch.map(|variances| Band::around(flight.side_m, variances[1])),
            apex_m: band(2, flight.apex_m, model(1, |error| error.apex_m)),
            descent_angle_deg: band(
                3,
                flight.descent_angle_deg,
                model(2, |error| error.descent_angle_deg),
            ),
            total_m: run.and_then(total),
        }
    }
}

impl Band {
    fn around(middle: f64, variance: f64) -> Self {
        let sd = variance.sqrt();
        Self { sd, low: middle - Z * sd, high: middle + Z * sd }
    }

    /// The same of what is never negative.
    fn above_zero(middle: f64, variance: f64) -> Self {
        let band = Self::around(middle, variance);
        Self { low: band.low.max(0.0), ..band }
    }
}

/// By how much the two models differ in what the conditions do to carry, apex and descent, against still
/// reference air: 0 there, and where a ball does not land.
fn models_apart(wanted: &FlightWanted, flight: &Flight, there: &OtherModel) -> [f64; 3] {
    let Conditions { aerodynamics, .. } = wanted.conditions;
    let still = Conditions { aerodynamics, ..Conditions::default() };
    if wanted.conditions == still {
        return [0.0; 3];
    }
    let other = OtherModel::of(&still, &wanted.launch);
    let scene = Scene::new(&still).ok();
    let own = scene.and_then(|scene| scene.launch(&wanted.launch).ok()?.fly().ok());
    let apart = |here: f64, there: Option<f64>, own: Option<f64>, other: Option<f64>| {
        let changes = own.zip(there.zip(other));
        changes.map_or(0.0, |(own, (there, other))| ((here - own) - (there - other)).abs())
    };
    let own = |read: fn(&Flight) -> f64| own.as_ref().map(read);
    [
        apart(flight.carry_m, there.carry_m, own(|own| own.carry_m), other.carry_m),
        apart(flight.apex_m, there.apex_m, own(|own| own.apex_m), other.apex_m),
        apart(
            flight.descent_angle_deg,
            there.descent_angle_deg,
            own(|own| own.descent_angle_deg),
            other.descent_angle_deg,
        ),
    ]
}

/// What the spread of a launch makes of carry, side, apex, descent and total: variances, by flying each
/// number one standard deviation up and down, the others as they are.
fn launch_variances(
    wanted: &FlightWanted,
    scene: &Scene,
    spread: &[f64; LAUNCH.len()],
) -> [f64; 5] {
    let flown = |launch: Launch| {
        let flight = scene.launch(&launch.within_bounds()).ok()?.fly().ok()?;
        let total_m = wanted.ground.map_or(0.0, |ground| ground.run(&flight).total_m);
        let Flight { carry_m, side_m, apex_m, descent_angle_deg, .. } = flight;
        Some([carry_m, side_m, apex_m, descent_angle_deg, total_m])
    };
    let mut variances = [0.0; 5];
    for (at, sd) in spread.iter().enumerate().filter(|(_, sd)| **sd > 0.0) {
        let ends = [moved(wanted.launch, at, *sd), moved(wanted.launch, at, -sd)].map(flown);
        let [Some(up), Some(down)] = ends else { continue };
        for (variance, (up, down)) in variances.iter_mut().zip(up.iter().zip(down)) {
            *variance += ((up - down) / 2.0).powi(2);
        }
    }
    variances
}

/// A launch with one of its numbers moved, by its place in [`LAUNCH`].
fn moved(mut launch: Launch, at: usize, by: f64) -> Launch {
    let members = [
        &mut launch.ball_speed_mps,
        &mut launch.launch_angle_deg,
        &mut launch.launch_direction_deg,
        &mut launch.spin_rate_rpm,
        &mut launch.spin_axis_deg,
    ];
    if let Some(member) = members.into_iter().nth(at) {
        *member += by;
    }
    launch
}
