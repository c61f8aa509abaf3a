//! A club flown in given conditions: its typical flight and its spread.

use serde::Serialize;
use utoipa::ToSchema;

use super::{
    AirFlown, ClubFlown, Flown, FlownThere, Launches, SolvedSpin, WindFlown, sample, spread::Known,
};
use crate::{
    bag::{filter::Filter, player::Player, profile::build_name, row::Surface},
    flight::{
        self, Aerodynamics, CAUTION, Calibration, Conditions, Fit, Ground, Launch, Scene, Weather,
        Wind,
    },
    shot::{BallId, ClubId, PlayerId, Sequence},
};

/// A club's counted shots with what names them: all that a [`ClubFlight`] is worked out from.
#[derive(Debug, Clone, PartialEq)]
pub struct ClubToFly {
    player: PlayerId,
    club: ClubId,
    build: Option<String>,
    as_of: Sequence,
    surface: Option<Surface>,
    ball: Option<BallId>,
    flown: ClubFlown,
}

/// Gathers what a club's flight is worked out from, under a filter: on the surface and with the ball
/// that its profile rests on.
#[must_use]
pub fn club_to_fly(player: Player<'_>, club: u32, filter: &Filter) -> Option<ClubToFly> {
    let named = player.clubs.get(club as usize)?;
    let flown = super::club_flown(player, player.newest_build(club), filter);
    Some(ClubToFly {
        player: player.id.clone(),
        club: named.id.clone(),
        build: named.document.builds.last().map(build_name),
        as_of: player.as_of,
        surface: flown.basis.map(|basis| basis.surface),
        ball: flown.basis.and_then(|basis| player.ball_id(basis.ball)).cloned(),
        flown,
    })
}

/// A club flown in given conditions, an estimate: from its own counted shots' launches, as its profile
/// counts them.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubFlight {
    /// Who.
    pub player: PlayerId,
    /// Which club.
    pub club: ClubId,
    /// What was last done to it; null while it is as it came.
    pub build: Option<String>,
    /// The last sequence that touched the player.
    pub as_of: Sequence,
    /// The surface that the launches are from; null without a counted shot.
    pub surface: Option<Surface>,
    /// The ball that the launches are of; null where unstated.
    pub ball: Option<BallId>,
    /// Counted shots that were looked at: the newest 1,000 unless asked otherwise.
    pub counted: usize,
    /// Those among them that were flown.
    pub launches: usize,
    /// Those that were not: no ball speed or launch angle was measured.
    pub without_launch: usize,
    /// Those that were not: their spin is not known, and nothing tells it.
    pub without_spin: usize,
    /// Flown launches whose spin no device measured.
    pub spin_inferred: usize,
    /// What was solved of those spins from tracked flights, and how far it may be off; null where none was.
    pub spin_solved: Option<SolvedSpin>,
    /// Why nothing was flown; null if something was.
    pub reason: Option<&'static str>,
    /// The centre of the launches; null if nothing was flown.
    pub launch: Option<TypicalLaunch>,
    /// The conditions asked for.
    pub conditions: ConditionsFlown,
    /// In the conditions asked for; null if nothing was flown.
    pub asked: Option<FlownThere>,
    /// In still reference air (20 °C, 1,013.25 hPa, 50 %), on the same ground; null if nothing was flown.
    pub reference: Option<FlownThere>,
    /// What the model of drag and lift rests on.
    pub calibration: CalibrationTold,
    /// The typical launch in the conditions asked for, with the other model as it is: where both differ,
    /// so may the truth.
    pub other_model: Option<OtherModel>,
    /// What is unusual about the conditions, in the words of the flags of shots.
    pub flags: Vec<String>,
    /// Flights that each spread is from.
    pub flights: usize,
    /// What has to stand beside every computed flight.
    pub caution: &'static str,
}

/// The centre of a club's launches (Huber's, which a stray shot hardly moves).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct TypicalLaunch {
    /// Ball speed, m/s.
    pub ball_speed_mps: f64,
    /// Up from level, degrees.
    pub launch_angle_deg: f64,
    /// Right of the target line, degrees; null where it was never measured.
    pub launch_direction_deg: Option<f64>,
    /// Whole spin, rpm.
    pub spin_rate_rpm: f64,
    /// Tilt of the spin's axis, degrees; null where it was never measured.
    pub spin_axis_deg: Option<f64>,
    /// Whether the spin of some was not measured.
    pub inferred: bool,
}

/// What balls are flown in.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ConditionsFlown {
    /// The air at the tee.
    pub air: AirFlown,
    /// The wind.
    pub wind: WindFlown,
    /// The ground where they land; null where none was named: then there are no totals.
    pub ground: Option<&'static str>,
    /// The model of drag and lift.
    pub aerodynamics: &'static str,
}

/// Whether a model is fitted to a club's own shots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Calibrated {
    /// Where there are enough of them.
    #[default]
    Own,
    /// Never: the model as it is.
    None,
}

impl Calibrated {
    /// All, in order.
    pub const ALL: [Self; 2] = [Self::Own, Self::None];

    /// Its word in a query.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Own => "own",
            Self::None => "none",
        }
    }
}

/// What the model of drag and lift rests on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct CalibrationTold {
    /// The model as it is, or fitted to the club's own tracked shots.
    pub source: CalibrationSource,
    /// Shots that it looked at: with a measured spin and a tracked, unadjusted carry, the newest 200 at
    /// most; fewer than 10 are too few, and none are looked at where the model was wanted as it is.
    pub shots: usize,
    /// Factor on all drag.
    pub drag: f64,
    /// Factor on all lift.
    pub lift: f64,
    /// Factor on the drag that comes with spin.
    pub spin_drag: f64,
    /// By how much the factors lower the mean error of carry of shots that they were not fitted to, m;
    /// where that is not above 0.05 m, the model stays as it is. Null with too few shots.
    pub cross_validated_improvement_m: Option<f64>,
}

/// Where factors on a model are from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationSource {
    /// The model as it is.
    Default,
    /// The club's own tracked shots.
    Own,
}

/// A typical flight with another model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct OtherModel {
    /// The model of drag and lift.
    pub aerodynamics: &'static str,
    /// Carry, m.
    pub carry_m: Option<f64>,
    /// Apex, m.
    pub apex_m: Option<f64>,
    /// Angle of descent, degrees.
    pub descent_angle_deg: Option<f64>,
}

impl OtherModel {
    /// A launch flown with the model that stands beside that of the conditions.
    #[must_use]
    pub fn of(conditions: &Conditions, launch: &Launch) -> Self {
        let model = conditions.aerodynamics.model.other();
        let aerodynamics = Aerodynamics { model, ..Aerodynamics::default() };
        let scene = Scene::new(&Conditions { aerodynamics, ..*conditions }).ok();
        let trajectory = scene.and_then(|scene| scene.launch(launch).ok());
        let flight = trajectory.and_then(|trajectory| trajectory.fly().ok());
        Self {
            aerodynamics: model.word(),
            carry_m: flight.map(|flight| flight.carry_m),
            apex_m: flight.map(|flight| flight.apex_m),
            descent_angle_deg: flight.map(|flight| flight.descent_angle_deg),
        }
    }
}

const NO_SHOTS: &str = "no shot counts";
const NO_LAUNCH: &str = "no counted shot has both a ball speed and a launch angle";
const NO_SPIN: &str = "no counted shot has a spin, and too little was tracked to tell it";

impl ClubToFly {
    /// The last sequence that touched the player.
    #[must_use]
    pub const fn as_of(&self) -> Sequence {
        self.as_of
    }

    /// The shots that it is worked out from, newest first.
    #[must_use]
    pub fn shots(&self) -> &[Flown] {
        &self.flown.shots
    }

    /// Flies the club. The model of the conditions may be fitted to the club's own tracked shots, where
    /// there are enough.
    ///
    /// # Errors
    /// Conditions outside their ranges.
    pub fn fly(
        self,
        (conditions, ground): (&Conditions, Option<Ground>),
        calibrated: Calibrated,
    ) -> Result<ClubFlight, flight::Faults> {
        let model = conditions.aerodynamics.model;
        let fitted = self.flown.calibration(model, calibrated);
        let aerodynamics = Aerodynamics { model, scales: fitted.scales };
        let asked = Conditions { aerodynamics, ..*conditions };
        let still = Conditions { weather: Weather::REFERENCE, wind: Wind::STILL, aerodynamics };
        let scenes = [Scene::new(&asked)?, Scene::new(&still)?];
        let launches = self.flown.launches(aerodynamics);
        let many = sample(&launches.all);
        let typical = typical(&launches.all);
        let known = Known { aimed: launches.are_aimed(), ground };
        let [there, reference] =
            scenes.each_ref().map(|scene| Some(known.flown(scene, &typical?, &many)));
        Ok(ClubFlight {
            reason: self.reason(&launches),
            player: self.player,
            club: self.club,
            build: self.build,
            as_of: self.as_of,
            surface: self.surface,
            ball: self.ball,
            counted: self.flown.counted,
            launches: launches.all.len(),
            without_launch: self.flown.counted - self.flown.shots.len(),
            without_spin: launches.without_spin,
            spin_inferred: launches.spin_inferred,
            spin_solved: SolvedSpin::of(&launches.solved),
            launch: typical.map(|launch| TypicalLaunch::of(&launch, &launches)),
            conditions: ConditionsFlown {
                air: AirFlown::of(&asked, &scenes[0]),
                wind: WindFlown::of(&asked.wind),
                ground: ground.map(Ground::word),
                aerodynamics: model.word(),
            },
            asked: there,
            reference,
            calibration: CalibrationTold::of(&fitted),
            other_model: typical.map(|launch| OtherModel::of(&asked, &launch)),
            flags: Vec::new(),
            flights: many.len(),
            caution: CAUTION,
        })
    }

    fn reason(&self, launches: &Launches) -> Option<&'static str> {
        match (self.flown.counted, self.flown.shots.len(), launches.all.len()) {
            (0, ..) => Some(NO_SHOTS),
            (_, 0, _) => Some(NO_LAUNCH),
            (_, _, 0) => Some(NO_SPIN),
            _ => None,
        }
    }
}

/// The centre of each number of some launches.
pub(in crate::bag) fn typical(launches: &[Launch]) -> Option<Launch> {
    let centre = |of: fn(&Launch) -> f64| super::club::centre(launches.iter().map(of));
    Some(Launch {
        ball_speed_mps: centre(|launch| launch.ball_speed_mps)?,
        launch_angle_deg: centre(|launch| launch.launch_angle_deg)?,
        launch_direction_deg: centre(|launch| launch.launch_direction_deg)?,
        spin_rate_rpm: centre(|launch| launch.spin_rate_rpm)?,
        spin_axis_deg: centre(|launch| launch.spin_axis_deg)?,
    })
}

impl TypicalLaunch {
    pub(in crate::bag) fn of(launch: &Launch, launches: &Launches) -> Self {
        Self {
            ball_speed_mps: launch.ball_speed_mps,
            launch_angle_deg: launch.launch_angle_deg,
            launch_direction_deg: launches.direction_known.then_some(launch.launch_direction_deg),
            spin_rate_rpm: launch.spin_rate_rpm,
            spin_axis_deg: launches.axis_known.then_some(launch.spin_axis_deg),
            inferred: launches.spin_inferred > 0,
        }
    }
}

impl CalibrationTold {
    pub(in crate::bag) fn of(fitted: &Calibration) -> Self {
        let errors = fitted.plain_error_m.zip(fitted.fitted_error_m);
        Self {
            source: match fitted.fit {
                Fit::Fitted => CalibrationSource::Own,
                Fit::NotAsked | Fit::TooFewShots | Fit::NoBetter => CalibrationSource::Default,
            },
            shots: fitted.shots,
            drag: fitted.scales.drag,
            lift: fitted.scales.lift,
            spin_drag: fitted.scales.spin_drag,
            cross_validated_improvement_m: errors.map(|(plain, fitted)| plain - fitted),
        }
    }
}
