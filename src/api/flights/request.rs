//! A flight that is asked for: launch, air and wind in the event's spellings, and what is wanted of it.

use crate::{
    api::{
        errors,
        limits::Limits,
        problem::{Kind, Problem},
    },
    flight::{Conditions, Ground, Launch, Model, Pressure, Weather, Wind},
    shot::{
        self, Air, At, Faults, Flags, Json, Measure, Quantity, Reading, SpinOrigin, air_flags,
        document, object, units,
    },
};

/// What was sent to be flown.
#[derive(Debug)]
pub(super) enum Wanted {
    /// One flight.
    One(Box<FlightWanted>),
    /// Many, each with conditions of its own.
    Many(Vec<FlightWanted>),
}

/// One flight that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FlightWanted {
    /// How the ball leaves the club.
    pub launch: Launch,
    /// Whether the spin was worked out by a device rather than measured.
    pub inferred: bool,
    /// How far each number of the launch may be off, one standard deviation each, in the order of
    /// [`LAUNCH`].
    pub spread: Option<[f64; LAUNCH.len()]>,
    /// Air, wind and model.
    pub conditions: Conditions,
    /// Where it lands, if it is to run.
    pub ground: Option<Ground>,
    /// What is wanted of the path.
    pub path: Option<PathWanted>,
    /// What is odd about what was sent.
    pub flags: Flags,
}

/// The points that are wanted of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum PathWanted {
    /// So many, evenly in time, begin and landing among them.
    Points(u32),
    /// One each so many seconds, and the landing.
    Every(f64),
}

/// The numbers of a launch, and the greatest spread that may be sent of each.
pub(in crate::api) const LAUNCH: [(Quantity, f64); 5] = [
    (Quantity::of(Measure::BallSpeed), 20.0),
    (Quantity::of(Measure::LaunchAngle), 20.0),
    (Quantity::of(Measure::LaunchDirection), 20.0),
    (Quantity::of(Measure::SpinRate), 5_000.0),
    (Quantity::of(Measure::SpinAxis), 30.0),
];

/// Models that may be asked for.
pub(in crate::api) const MODELS: [Model; 2] = [Model::Modern, Model::Ball1990s];

/// Points of a path at least and at most.
pub(in crate::api) const POINTS: (u32, u32) = (2, 1_000);
/// Seconds between the points of a path.
pub(in crate::api) const EVERY_S: (f64, f64) = (0.01, 10.0);
/// What a path has unless it says otherwise, s.
const USUAL_EVERY_S: f64 = 0.1;

impl PathWanted {
    /// How many points it has at most: no flight is longer than the flight room follows one.
    fn most_points(self) -> usize {
        match self {
            Self::Points(points) => points as usize,
            // Between 3 and 3,000.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            Self::Every(every_s) => (crate::flight::LONGEST_FLIGHT_S / every_s) as usize + 2,
        }
    }
}

impl Wanted {
    /// Reads what was sent. Too many flights are refused before any of them is looked at.
    pub(super) fn read(text: &[u8], limits: &Limits) -> Result<Self, Problem> {
        let mut asked = None;
        let wanted = document(text, "the request", |request| {
            if let Some(Json::List(flights)) = request.peek("flights") {
                asked = Some(flights.len());
                if flights.len() > limits.flights {
                    return None;
                }
            }
            if request.peek("flights").is_some() {
                let flights = request.list("flights", limits.flights, one_of_many)?;
                return Some(Self::Many(flights));
            }
            Some(Self::One(Box::new(flight(request)?)))
        });
        let most = limits.flights;
        if let Some(asked) = asked.filter(|asked| *asked > most) {
            let detail = format!("there are {asked} flights: send at most {most} in one request");
            return Err(Problem::new(Kind::BodyTooLarge, detail));
        }
        let wanted = wanted.map_err(errors::of_rejection)?;
        wanted.check_points(limits)?;
        Ok(wanted)
    }

    /// All flights that are wanted.
    pub(super) fn all(&self) -> &[FlightWanted] {
        match self {
            Self::One(flight) => std::slice::from_ref(flight),
            Self::Many(flights) => flights,
        }
    }

    fn check_points(&self, limits: &Limits) -> Result<(), Problem> {
        let paths = self.all().iter().filter_map(|flight| flight.path);
        let points: usize = paths.map(PathWanted::most_points).sum();
        let most = limits.path_points;
        if points <= most {
            return Ok(());
        }
        let detail = format!(
            "the paths may have {points} points together, and {most} are given in one request: ask for \
             fewer points, or for fewer flights at once"
        );
        Err(Problem::new(Kind::BodyTooLarge, detail))
    }
}

fn one_of_many(at: At<'_>, value: Json<'_>, faults: &mut Faults) -> Option<FlightWanted> {
    object("the flight", at.pointer(), value, faults, flight)
}

fn flight(from: &mut Reading<'_, '_>) -> Option<FlightWanted> {
    let mut flags = Flags::NONE;
    from.need("launch");
    let launch = from.object("launch", |from| launch(from, &mut flags));
    let spread = from.object("launch_spread", |from| Some(spread(from)));
    let weather = from.object("air", |from| weather(from, &mut flags));
    let wind = from.object("wind", |from| Some(wind(from, &mut flags)));
    let ground: Option<shot::Ground> = from.word("ground");
    let model = from.read("aerodynamics", |at, value, faults| model(at, &value, faults));
    let path = from.read("path", path);
    let (launch, inferred) = launch?;
    let mut conditions = Conditions {
        weather: weather.unwrap_or_default(),
        wind: wind.unwrap_or_default(),
        ..Conditions::default()
    };
    conditions.aerodynamics.model = model.unwrap_or_default();
    Some(FlightWanted {
        launch,
        inferred,
        spread,
        conditions,
        ground: ground.map(landing),
        path,
        flags,
    })
}

/// A quantity of the event in one of its spellings, in the unit kept; what is unusual is flagged.
fn quantity(from: &mut Reading<'_, '_>, flags: &mut Flags, quantity: Quantity) -> Option<f64> {
    let row = quantity.row();
    let sent = from.quantity(row.base, row.dimension, row.bounds)?;
    let (low, high) = row.usual;
    if sent < low || sent > high {
        *flags |= Flags::unusual(quantity);
    }
    // A bound in another unit is rounded outwards.
    Some(sent.clamp(row.bounds.0, row.bounds.1))
}

/// The same of one that must be there.
fn needed(from: &mut Reading<'_, '_>, flags: &mut Flags, wanted: Quantity) -> Option<f64> {
    if spelled(from, wanted).is_none() {
        let row = wanted.row();
        from.need(&format!("{}_{}", row.base, row.dimension.si().suffix()));
    }
    quantity(from, flags, wanted)
}

/// How a quantity was spelled, if it was sent.
fn spelled(from: &Reading<'_, '_>, quantity: Quantity) -> Option<String> {
    let row = quantity.row();
    units::spellings(row.base, row.dimension).find(|name| from.peek(name).is_some())
}

/// The launch, and whether its spin is inferred.
fn launch(from: &mut Reading<'_, '_>, flags: &mut Flags) -> Option<(Launch, bool)> {
    let [speed, angle, direction, ..] = LAUNCH.map(|(quantity, _)| quantity);
    let speed = needed(from, flags, speed);
    let angle = needed(from, flags, angle);
    let direction = quantity(from, flags, direction);
    let spin = spin(from, flags);
    let origin: Option<SpinOrigin> = from.word("spin_origin");
    let [spin_rate_rpm, spin_axis_deg] = spin?;
    let launch = Launch {
        ball_speed_mps: speed?,
        launch_angle_deg: angle?,
        launch_direction_deg: direction.unwrap_or(0.0),
        spin_rate_rpm,
        spin_axis_deg,
    };
    Some((launch, origin.is_some_and(|origin| origin != SpinOrigin::Measured)))
}

/// Rate and axis: sent as such, or as a pair.
fn spin(from: &mut Reading<'_, '_>, flags: &mut Flags) -> Option<[f64; 2]> {
    let [.., (rate, _), (axis, _)] = LAUNCH;
    let paired = [Quantity::BACKSPIN, Quantity::SIDESPIN].map(|half| spelled(from, half));
    let pair = paired.iter().flatten().next().cloned();
    if let Some(sent) = &pair
        && (spelled(from, rate).is_some() || spelled(from, axis).is_some())
    {
        let detail = "says in another way what spin_rate_rpm and spin_axis_deg say: send one way";
        from.fault_at(sent, detail);
    }
    if pair.is_none() {
        let rate = needed(from, flags, rate);
        let axis = quantity(from, flags, axis).unwrap_or(0.0);
        return Some([rate?, axis]);
    }
    let [rate, axis] = [rate, axis].map(|half| quantity(from, flags, half));
    let back = needed(from, flags, Quantity::BACKSPIN);
    let side = needed(from, flags, Quantity::SIDESPIN);
    if rate.is_some() || axis.is_some() { None } else { turned(from, [back?, side?]) }
}

/// Rate and axis of a spin that was sent as a pair.
fn turned(from: &mut Reading<'_, '_>, [back, side]: [f64; 2]) -> Option<[f64; 2]> {
    let most = Quantity::of(Measure::SpinRate).row().bounds.1;
    if back < 0.0 {
        from.fault_at("backspin_rpm", "is below 0: a ball with topspin is not flown");
        return None;
    }
    if back.hypot(side) > most {
        let detail = format!("makes with sidespin_rpm more than {most} rpm: no ball spins so fast");
        from.fault_at("backspin_rpm", &detail);
        return None;
    }
    Some([back.hypot(side), side.atan2(back).to_degrees()])
}

fn spread(from: &mut Reading<'_, '_>) -> [f64; LAUNCH.len()] {
    LAUNCH.map(|(quantity, most)| {
        let row = quantity.row();
        from.quantity(row.base, row.dimension, (0.0, most)).unwrap_or(0.0)
    })
}

fn weather(from: &mut Reading<'_, '_>, flags: &mut Flags) -> Option<Weather> {
    let usual = Weather::REFERENCE;
    let air = Air {
        temperature_c: quantity(from, flags, Quantity::TEMPERATURE),
        pressure_hpa: quantity(from, flags, Quantity::PRESSURE),
        sea_level_pressure_hpa: quantity(from, flags, Quantity::SEA_LEVEL_PRESSURE),
        humidity_pct: quantity(from, flags, Quantity::HUMIDITY),
        altitude_m: quantity(from, flags, Quantity::ALTITUDE),
    };
    *flags |= air_flags(&air);
    let pressure = match (air.pressure_hpa, air.sea_level_pressure_hpa, air.altitude_m) {
        (Some(_), Some(_), _) => {
            let detail = "says in another way what pressure_hpa says: send one of them";
            from.fault_at("sea_level_pressure_hpa", detail);
            return None;
        }
        (None, Some(_), None) => {
            let detail = "is of no use without an altitude: send altitude_m, or pressure_hpa";
            from.fault_at("sea_level_pressure_hpa", detail);
            return None;
        }
        (Some(hpa), None, _) => Pressure::Station(hpa),
        (None, Some(hpa), Some(altitude_m)) => Pressure::SeaLevel { hpa, altitude_m },
        (None, None, altitude_m) => Pressure::Standard(altitude_m.unwrap_or(0.0)),
    };
    Some(Weather {
        temperature_c: air.temperature_c.unwrap_or(usual.temperature_c),
        pressure,
        humidity_pct: air.humidity_pct.unwrap_or(usual.humidity_pct),
    })
}

fn wind(from: &mut Reading<'_, '_>, flags: &mut Flags) -> Wind {
    if from.take("compass_from_deg").is_some() {
        let detail = "needs a target line, and a flight has none: send from_deg, against that line";
        from.fault_at("compass_from_deg", detail);
    }
    let height = quantity(from, flags, Quantity::WIND_HEIGHT);
    let sent = [Quantity::WIND_SPEED, Quantity::WIND_FROM].map(|one| spelled(from, one).is_some());
    let (speed, direction) = if sent == [false, false] {
        (None, None)
    } else {
        let speed = needed(from, flags, Quantity::WIND_SPEED);
        // Still air comes from nowhere.
        let direction = match speed {
            Some(0.0) => quantity(from, flags, Quantity::WIND_FROM),
            _ => needed(from, flags, Quantity::WIND_FROM),
        };
        (speed, direction)
    };
    Wind {
        speed_mps: speed.unwrap_or(0.0),
        from_deg: direction.unwrap_or(0.0),
        height_m: height.unwrap_or(Wind::STILL.height_m),
    }
}

fn model(at: At<'_>, value: &Json<'_>, faults: &mut Faults) -> Option<Model> {
    let text = at.text(value, faults)?;
    let model = MODELS.into_iter().find(|model| model.word() == text);
    if model.is_none() {
        let known = MODELS.map(Model::word).join(" or ");
        faults.add(|| at.fault(format!("is no model: send {known}")));
    }
    model
}

/// `true`, or how many points or how often; `false` is none.
fn path(at: At<'_>, value: Json<'_>, faults: &mut Faults) -> Option<PathWanted> {
    if let Json::Bool(wanted) = value {
        return wanted.then_some(PathWanted::Every(USUAL_EVERY_S));
    }
    if !matches!(value, Json::Object(_)) {
        return at.wrong_kind(&value, "true, or an object with points or every_s", faults);
    }
    object("path", at.pointer(), value, faults, |from| {
        let before = from.count_faults();
        let points = from.whole("points", POINTS);
        let every_s = from.read("every_s", |at, value, faults| at.number(&value, EVERY_S, faults));
        match (points, every_s) {
            (Some(points), None) => Some(PathWanted::Points(points)),
            (None, Some(every_s)) => Some(PathWanted::Every(every_s)),
            (None, None) if from.count_faults() > before => None,
            (None, None) => {
                from.fault("says neither points nor every_s: send one of them, or true");
                None
            }
            (Some(_), Some(_)) => {
                from.fault_at("every_s", "says in another way what points says: send one of them");
                None
            }
        }
    })
}

/// The flight room's ground of the event's word.
pub(in crate::api) fn landing(ground: shot::Ground) -> Ground {
    match ground {
        shot::Ground::Frozen => Ground::Frozen,
        shot::Ground::Firm => Ground::Firm,
        shot::Ground::Medium => Ground::Medium,
        shot::Ground::Soft => Ground::Soft,
        shot::Ground::Soaked => Ground::Soaked,
    }
}
