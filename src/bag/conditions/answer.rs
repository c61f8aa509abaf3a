//! Two clubs flown in weather, as a comparison tells it.

use rayon::prelude::*;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    gathered::{ClubOfPair, PairToFly},
    kept::Models,
    range::{FIRM_GREEN_DEG, Holding, LosesLess, ModelRange, SOFT_GREEN_DEG},
    skies::{COLD_AND_WET, ConditionsQuestion, HEAD_20, STILL, Sky, WindSide, scenes, skies},
    weak::{Weak, WeakStrikes, median},
    words,
};
use crate::{
    bag::flown::{
        AirFlown, CalibrationTold, Launches, Quantiles, SolvedSpin, TypicalLaunch, WindFlown,
        sample_of, typical,
    },
    flight::{
        Aerodynamics, CAUTION, Calibration, Faults, Flight, Ground, Launch, Scene, Trajectory,
        fly_all,
    },
    shot::ClubId,
};

/// Flights of each club in each kind of weather at least.
const FLIGHTS: usize = 500;
const NOTHING: &str =
    "one of the clubs has no shot, like for like, whose launch and spin are known";

/// Two clubs in weather that may come, computed from the launches of their like-for-like shots: estimates,
/// by a model that is fitted to each club's own tracked shots where there are enough. In no verdict.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ConditionsOfPair {
    /// Why nothing was flown; null if something was.
    pub reason: Option<&'static str>,
    /// What the incumbent is flown from.
    pub incumbent: ClubUnderConditions,
    /// What the candidate is flown from.
    pub candidate: ClubUnderConditions,
    /// The main model of drag and lift.
    pub aerodynamics: &'static str,
    /// The model whose figures make the range: with as much drag as lets each club's typical strike carry
    /// as far in still air as by the main model, so that the range is of what weather does to it.
    pub range_of: &'static str,
    /// Whether figures rest on a spin that no device measured, of either club.
    pub inferred: bool,
    /// In still reference air; null if nothing was flown.
    pub still: Option<PairInWeather>,
    /// In that air and on the ground that was asked for, with winds of 10, 20 and 30 mph into the face, from
    /// behind, and from the right.
    pub winds: Vec<PairInWeather>,
    /// At the temperature and on the ground that were asked for; null if nothing was flown.
    pub cold_and_wet: Option<PairInWeather>,
    /// Weak strikes of both; null if nothing was flown.
    pub weak_strikes: Option<WeakStrikes>,
    /// Descents, in degrees, from which a firm green may hold a ball and does. Common practice, no source.
    pub firm_green_deg: [f64; 2],
    /// The same of a soft green. Common practice, no source.
    pub soft_green_deg: [f64; 2],
    /// The same in sentences, a line for each kind of weather.
    pub words: String,
    /// What has to stand beside every computed flight.
    pub caution: &'static str,
}

/// What one of two clubs is flown from.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubUnderConditions {
    /// The club.
    pub club: ClubId,
    /// Shots that count like for like, among the newest 500 strikes.
    pub counted: usize,
    /// Those among them that were flown.
    pub launches: usize,
    /// Strikes, mishits among them, that were flown or gave their weakest fifth.
    pub strikes: usize,
    /// Flown strikes whose spin no device measured.
    pub spin_inferred: usize,
    /// What was solved of those spins from tracked flights, and how far it may be off; null where none was.
    pub spin_solved: Option<SolvedSpin>,
    /// The centre of the counted launches; null without one.
    pub launch: Option<TypicalLaunch>,
    /// What the main model rests on.
    pub calibration: CalibrationTold,
    /// Flights in each kind of weather.
    pub flights: usize,
}

/// Both clubs in one kind of weather.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PairInWeather {
    /// Where the wind comes from.
    pub wind_side: WindSide,
    /// The wind.
    pub wind: WindFlown,
    /// The air at the tee.
    pub air: AirFlown,
    /// The ground where they land.
    pub ground: &'static str,
    /// The incumbent there.
    pub incumbent: ClubInWeather,
    /// The candidate there.
    pub candidate: ClubInWeather,
    /// What the candidate keeps of its carry in still reference air less what the incumbent keeps of its
    /// own, m; null where balls do not land.
    pub candidate_keeps_m: Option<ModelRange>,
    /// Which of them loses less, or gains more.
    pub loses_less: Option<LosesLess>,
}

/// A club in one kind of weather, by the main model: medians; null where no ball lands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct ClubInWeather {
    /// Carry, m.
    pub carry_m: Quantiles,
    /// The median carry less that in still reference air, m; negative where it loses.
    pub carry_change_m: Option<f64>,
    /// The median carry over that in still reference air.
    pub carry_kept: Option<f64>,
    /// How far the weather carries the ball aside, against the same launches in still reference air, m;
    /// right is positive.
    pub drift_m: Option<f64>,
    /// Apex, m.
    pub apex_m: Option<f64>,
    /// Angle of descent, degrees.
    pub descent_angle_deg: Option<f64>,
    /// Bounce and roll, m, good to 30 %.
    pub run_m: Option<f64>,
    /// Straight from the ball to its rest, m.
    pub total_m: Option<f64>,
    /// Whether a firm green holds it. Common practice, no source.
    pub firm_green: Option<Holding>,
    /// Whether a soft green holds it. Common practice, no source.
    pub soft_green: Option<Holding>,
}

impl PairToFly {
    /// Flies the two, by the model asked for and by the one that stands beside it.
    ///
    /// # Errors
    /// Conditions outside their ranges.
    pub fn fly(self, asked: &ConditionsQuestion) -> Result<ConditionsOfPair, Faults> {
        let skies = skies(asked)?;
        let ready = |at: usize| Readied::of(&self.clubs[at], asked);
        let (candidate, incumbent) = rayon::join(|| ready(0), || ready(1));
        let readied = [candidate, incumbent];
        let [candidate, incumbent] = [0, 1].map(|at| readied[at].told(&self.clubs[at]));
        let mut told = ConditionsOfPair {
            reason: Some(NOTHING),
            incumbent,
            candidate,
            aerodynamics: asked.model.word(),
            range_of: asked.model.other().word(),
            inferred: false,
            still: None,
            winds: Vec::new(),
            cold_and_wet: None,
            weak_strikes: None,
            firm_green_deg: FIRM_GREEN_DEG,
            soft_green_deg: SOFT_GREEN_DEG,
            words: words::nothing(),
            caution: CAUTION,
        };
        let [Some(candidate), Some(incumbent)] = readied.each_ref().map(|club| club.flown.as_ref())
        else {
            return Ok(told);
        };
        // Each flight is its own: what is worked out side by side has the same bytes as one by one.
        let aloft = |club: &ToFly, main| -> Result<[Aloft; 2], Faults> {
            let Models { main, other } = Models::of(main, &club.typical)?;
            let (main, other) = rayon::join(|| club.fly(&skies, main), || club.fly(&skies, other));
            Ok([main?, other?])
        };
        let (candidate_aloft, incumbent_aloft) =
            rayon::join(|| aloft(candidate, readied[0].main), || aloft(incumbent, readied[1].main));
        let both = Both { candidate: candidate_aloft?, incumbent: incumbent_aloft? };
        let weathers: Vec<PairInWeather> =
            skies.par_iter().enumerate().map(|(at, sky)| both.in_weather(sky, at)).collect();
        let mut weathers = weathers.into_iter();
        told.reason = None;
        told.inferred =
            [&told.candidate, &told.incumbent].iter().any(|club| club.spin_inferred > 0);
        told.still = weathers.next();
        told.winds = weathers.by_ref().take(COLD_AND_WET - 1).collect();
        told.cold_and_wet = weathers.next();
        told.weak_strikes = Some(both.weak([&candidate.weak, &incumbent.weak]));
        let names = self.clubs.each_ref().map(|club| club.name.as_str());
        told.words = words::all(&told, (names, self.units));
        Ok(told)
    }
}

/// A club ready to be flown, as far as its launches are known.
struct Readied {
    fitted: Calibration,
    main: Aerodynamics,
    launches: Launches,
    flown: Option<ToFly>,
}

/// What is flown of a club.
struct ToFly {
    typical: Launch,
    counted: usize,
    many: Vec<Launch>,
    weak: Weak,
}

impl Readied {
    fn of(club: &ClubOfPair, asked: &ConditionsQuestion) -> Self {
        let fitted = club.whole.calibration(asked.model, asked.calibrated);
        let main = Aerodynamics { model: asked.model, scales: fitted.scales };
        let launches = club.struck.strikes.launches(main);
        let counted: Vec<Launch> = launches
            .all
            .iter()
            .zip(&launches.of)
            .filter(|(_, shot)| club.struck.counts(**shot))
            .map(|(launch, _)| *launch)
            .collect();
        let flown = typical(&counted).map(|typical| ToFly {
            weak: Weak::of(&launches.all, &typical),
            many: sample_of(&counted, FLIGHTS),
            counted: counted.len(),
            typical,
        });
        Self { fitted, main, launches, flown }
    }

    fn told(&self, club: &ClubOfPair) -> ClubUnderConditions {
        let flown = self.flown.as_ref();
        ClubUnderConditions {
            club: club.id.clone(),
            counted: club.struck.counted(),
            launches: flown.map_or(0, |flown| flown.counted),
            strikes: self.launches.all.len(),
            spin_inferred: self.launches.spin_inferred,
            spin_solved: SolvedSpin::of(&self.launches.solved),
            launch: flown.map(|flown| TypicalLaunch::of(&flown.typical, &self.launches)),
            calibration: CalibrationTold::of(&self.fitted),
            flights: flown.map_or(0, |flown| flown.many.len()),
        }
    }
}

/// A club's flights by one model.
struct Aloft {
    /// In each kind of weather.
    skies: Vec<Vec<Option<Flight>>>,
    /// Of the weak strikes, in still air and into 20 mph.
    weak: Vec<Vec<Option<Flight>>>,
}

impl ToFly {
    fn fly(&self, skies: &[Sky], aerodynamics: Aerodynamics) -> Result<Aloft, Faults> {
        let scenes = scenes(skies, aerodynamics)?;
        Ok(Aloft {
            skies: fly(&scenes, &self.many),
            weak: fly(&[scenes[STILL], scenes[HEAD_20]], &self.weak.launches),
        })
    }
}

/// Flies launches, which lie within their bounds, in each of some scenes.
fn fly(scenes: &[Scene], launches: &[Launch]) -> Vec<Vec<Option<Flight>>> {
    let all: Vec<Trajectory> = scenes
        .iter()
        .flat_map(|scene| launches.iter().filter_map(|launch| scene.launch(launch).ok()))
        .collect();
    let mut flights = fly_all(&all).into_iter().map(Result::ok);
    scenes.iter().map(|_| flights.by_ref().take(launches.len()).collect()).collect()
}

impl Aloft {
    fn carry(&self, sky: usize) -> Option<f64> {
        carry(&self.skies[sky])
    }

    /// The median carry in some weather less that in still air.
    fn change(&self, sky: usize) -> Option<f64> {
        Some(self.carry(sky)? - self.carry(STILL)?)
    }

    /// How much less a weak strike carries than the median one: in still air (0) or into the wind (1).
    fn weak_loses(&self, at: usize) -> Option<f64> {
        Some(self.carry([STILL, HEAD_20][at])? - carry(&self.weak[at])?)
    }

    fn in_weather(&self, sky: usize, ground: Ground) -> ClubInWeather {
        let there = &self.skies[sky];
        let of = |figure: fn(&Flight) -> f64| median(there.iter().flatten().map(figure));
        let runs = || there.iter().flatten().map(|flight| ground.run(flight));
        let [run_m, total_m] =
            [median(runs().map(|run| run.run_m)), median(runs().map(|run| run.total_m))];
        let descent_angle_deg = of(|flight| flight.descent_angle_deg);
        let held = |by| descent_angle_deg.map(|descent| Holding::of(descent, by));
        let aside = there
            .iter()
            .zip(&self.skies[STILL])
            .filter_map(|(there, still)| Some(there.as_ref()?.side_m - still.as_ref()?.side_m));
        ClubInWeather {
            carry_m: Quantiles::of(there.iter().flatten().map(|flight| flight.carry_m)),
            carry_change_m: self.change(sky),
            carry_kept: self.carry(sky).zip(self.carry(STILL)).map(|(here, still)| here / still),
            drift_m: median(aside),
            apex_m: of(|flight| flight.apex_m),
            descent_angle_deg,
            run_m,
            total_m,
            firm_green: held(FIRM_GREEN_DEG),
            soft_green: held(SOFT_GREEN_DEG),
        }
    }
}

fn carry(flights: &[Option<Flight>]) -> Option<f64> {
    median(flights.iter().flatten().map(|flight| flight.carry_m))
}

/// Both clubs' flights, each by the main model and by the other.
struct Both {
    candidate: [Aloft; 2],
    incumbent: [Aloft; 2],
}

impl Both {
    /// Candidate minus incumbent by both models.
    fn difference(&self, of: impl Fn(&Aloft) -> Option<f64>) -> Option<ModelRange> {
        let by = |model: usize| Some(of(&self.candidate[model])? - of(&self.incumbent[model])?);
        Some(ModelRange::of(by(0)?, by(1)?))
    }

    fn in_weather(&self, sky: &Sky, at: usize) -> PairInWeather {
        let changes = self.difference(|aloft| aloft.change(at)).filter(|_| at != STILL);
        PairInWeather {
            wind_side: sky.side,
            wind: WindFlown::of(&sky.conditions.wind),
            air: sky.air,
            ground: sky.ground.word(),
            incumbent: self.incumbent[0].in_weather(at, sky.ground),
            candidate: self.candidate[0].in_weather(at, sky.ground),
            candidate_keeps_m: changes,
            loses_less: changes.map(LosesLess::of),
        }
    }

    fn weak(&self, [candidate, incumbent]: [&Weak; 2]) -> WeakStrikes {
        let strike = |weak: &Weak, aloft: &Aloft| {
            let of = |at: usize, sky| (aloft.weak[at].as_slice(), aloft.carry(sky));
            weak.strike([of(0, STILL), of(1, HEAD_20)])
        };
        WeakStrikes {
            incumbent: strike(incumbent, &self.incumbent[0]),
            candidate: strike(candidate, &self.candidate[0]),
            costs_more_still_m: self.difference(|aloft| aloft.weak_loses(0)),
            costs_more_into_wind_m: self.difference(|aloft| aloft.weak_loses(1)),
        }
    }
}
