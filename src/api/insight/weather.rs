//! Air, wind, ground and model that clubs are to be flown in: the parameters, and what they become.

use crate::{
    api::{
        problem::{Kind, Problem},
        query::{Form, FromText, Parameter, Query, Words},
    },
    bag::{Calibrated, ConditionsQuestion},
    flight::{Conditions, Faults, Ground, Model, Pressure, Weather, Wind},
    shot::{self, Air, Flags, air_flags, units::Dimension},
};

/// The parameters.
pub(in crate::api) const PARAMETERS: &[Parameter] = &[
    quantity(
        "temperature",
        Dimension::Temperature,
        (-40.0, 60.0),
        "Temperature; 20 °C unless given.",
    ),
    quantity(
        "pressure",
        Dimension::Pressure,
        (400.0, 1_100.0),
        "Pressure as a barometer on the spot shows it; that of the altitude unless given.",
    ),
    quantity(
        "sea_level_pressure",
        Dimension::Pressure,
        (400.0, 1_100.0),
        "Pressure reduced to sea level, as in weather reports; needs the altitude beside it.",
    ),
    quantity("humidity", Dimension::Percent, (0.0, 100.0), "Relative humidity; 50 % unless given."),
    quantity(
        "altitude",
        Dimension::Height,
        (-500.0, 6_000.0),
        "Height above the sea; 0 unless given.",
    ),
    quantity(
        "wind_speed",
        Dimension::WindSpeed,
        (0.0, 60.0),
        "Speed of the wind; still air unless given.",
    ),
    quantity(
        "wind_from",
        Dimension::Angle,
        (0.0, 360.0),
        "Where the wind comes from against the target line: 0 into the face, 90 from the right.",
    ),
    quantity(
        "wind_height",
        Dimension::Height,
        (0.5, 100.0),
        "Height above ground at which the wind is taken; 10 m unless given.",
    ),
    Parameter::new(
        "ground",
        Form::OneOf(<shot::Ground as Words>::spellings),
        "Where the balls land; without it there are no totals.",
    ),
    Parameter::new(
        "aerodynamics",
        Form::OneOf(Model::spellings),
        "The model of drag and lift: `default`, a modern ball, or `ball-1990s`; default unless given.",
    ),
    CALIBRATION,
];

const CALIBRATION: Parameter = Parameter::new(
    "calibration",
    Form::OneOf(Calibrated::spellings),
    "Whether the model is fitted to a club's own tracked shots, where there are enough: `own`, or `none` for \
     the model as it is; own unless given.",
);

/// The parameters of two clubs in weather that is coming.
pub(in crate::api) const CONDITIONS: &[Parameter] = &[
    Parameter::new(
        "conditions",
        Form::Truth,
        "Fly both clubs too: in winds of 10, 20 and 30 mph, in the cold and the wet, with their weak \
         strikes. Not done unless asked, or unless one of the parameters below is given.",
    ),
    quantity(
        "temperature",
        Dimension::Temperature,
        (-40.0, 60.0),
        "The coldest that is coming; 5 °C unless given.",
    ),
    Parameter::new(
        "ground",
        Form::OneOf(<shot::Ground as Words>::spellings),
        "The wettest ground that is coming; soaked unless given.",
    ),
    MODELS_OF_PAIR[0],
    MODELS_OF_PAIR[1],
];

/// The parameters of what two clubs in weather are flown by.
pub(in crate::api) const MODELS_OF_PAIR: &[Parameter] = &[
    Parameter::new(
        "aerodynamics",
        Form::OneOf(Model::spellings),
        "The main model of drag and lift: `default`, a modern ball, or `ball-1990s`; default unless given. \
         The other one makes the range.",
    ),
    CALIBRATION,
];

const fn quantity(
    name: &'static str,
    dimension: Dimension,
    (low, high): (f64, f64),
    about: &'static str,
) -> Parameter {
    Parameter::new(name, Form::Quantity { dimension, low, high }, about)
}

/// What clubs are to be flown in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::api) struct WeatherAsked {
    pub(in crate::api) conditions: Conditions,
    pub(in crate::api) ground: Option<Ground>,
    pub(in crate::api) calibrated: Calibrated,
    /// What is unusual about it.
    pub(in crate::api) flags: Flags,
}

impl WeatherAsked {
    /// Reads it from a query.
    pub(in crate::api) fn read(query: &mut Query<'_>) -> Self {
        let mut bounded = |name, (low, high): (f64, f64)| {
            // A bound in another unit is rounded outwards.
            query.quantity(name).map(|sent: f64| sent.clamp(low, high))
        };
        let air = Air {
            temperature_c: bounded("temperature", (-40.0, 60.0)),
            pressure_hpa: bounded("pressure", (400.0, 1_100.0)),
            sea_level_pressure_hpa: bounded("sea_level_pressure", (400.0, 1_100.0)),
            humidity_pct: bounded("humidity", (0.0, 100.0)),
            altitude_m: bounded("altitude", (-500.0, 6_000.0)),
        };
        let speed = bounded("wind_speed", (0.0, 60.0));
        let direction = bounded("wind_from", (0.0, 360.0));
        let height = bounded("wind_height", (0.5, 100.0));
        let usual = Conditions::default();
        let mut conditions = Conditions {
            weather: Weather {
                temperature_c: air.temperature_c.unwrap_or(usual.weather.temperature_c),
                pressure: pressure(query, &air),
                humidity_pct: air.humidity_pct.unwrap_or(usual.weather.humidity_pct),
            },
            wind: Wind {
                speed_mps: speed.unwrap_or(0.0),
                from_deg: direction.unwrap_or(0.0),
                height_m: height.unwrap_or(usual.wind.height_m),
            },
            ..usual
        };
        if let Some(model) = query.one("aerodynamics") {
            conditions.aerodynamics.model = model;
        }
        check_wind(query, speed);
        let ground: Option<shot::Ground> = query.one("ground");
        Self {
            conditions,
            ground: ground.map(crate::api::flights::landing),
            calibrated: query.one("calibration").unwrap_or_default(),
            flags: air_flags(&air),
        }
    }
}

/// Reads what two clubs are to be flown in and by, if they are.
pub(in crate::api) fn conditions(query: &mut Query<'_>) -> Option<ConditionsQuestion> {
    let usual = ConditionsQuestion::default();
    // A bound in another unit is rounded outwards.
    let temperature = query.quantity("temperature").map(|sent: f64| sent.clamp(-40.0, 60.0));
    let ground: Option<shot::Ground> = query.one("ground");
    let model: Option<Model> = query.one("aerodynamics");
    let calibrated: Option<Calibrated> = query.one("calibration");
    let named =
        temperature.is_some() || ground.is_some() || model.is_some() || calibrated.is_some();
    let asked = query.one("conditions").unwrap_or(named);
    asked.then(|| ConditionsQuestion {
        model: model.unwrap_or(usual.model),
        calibrated: calibrated.unwrap_or(usual.calibrated),
        temperature_c: temperature.unwrap_or(usual.temperature_c),
        ground: ground.map_or(usual.ground, crate::api::flights::landing),
    })
}

fn pressure(query: &mut Query<'_>, air: &Air) -> Pressure {
    let sent = |query: &Query<'_>, name| query.unit_sent(name).map(|unit| format!("{name}{unit}"));
    if let Some(reduced) = sent(query, "sea_level_pressure") {
        if let Some(station) = sent(query, "pressure") {
            let detail = format!("`{reduced}` says in another way what `{station}` says: give one");
            query.fault(&reduced, detail);
        }
        if query.unit_sent("altitude").is_none() {
            let detail =
                format!("`{reduced}` is of no use without the altitude: give `altitude_m` too");
            query.fault(&reduced, detail);
        }
    }
    match (air.pressure_hpa, air.sea_level_pressure_hpa, air.altitude_m) {
        (Some(hpa), ..) => Pressure::Station(hpa),
        (None, Some(hpa), Some(altitude_m)) => Pressure::SeaLevel { hpa, altitude_m },
        (None, _, altitude_m) => Pressure::Standard(altitude_m.unwrap_or(0.0)),
    }
}

/// A club that cannot be flown: what was read lies within all ranges of the flight room.
pub(in crate::api) fn lost(faults: &Faults) -> Problem {
    let problem = Problem::new(Kind::Internal, "the clubs could not be flown");
    problem.with_cause(faults.to_string())
}

/// A wind needs both its speed and its direction.
fn check_wind(query: &mut Query<'_>, speed: Option<f64>) {
    let [has_speed, has_direction] =
        ["wind_speed", "wind_from"].map(|name| query.unit_sent(name).is_some());
    if has_direction && !has_speed {
        query.fault("wind_speed_mps", "a wind needs its speed: give `wind_speed_mps` too");
    }
    if speed.is_some_and(|speed| speed > 0.0) && !has_direction {
        query.fault("wind_from_deg", "a wind comes from somewhere: give `wind_from_deg` too");
    }
}

impl Words for Model {
    fn spellings() -> Vec<&'static str> {
        crate::api::flights::MODELS.map(Self::word).to_vec()
    }
}

impl FromText for Model {
    fn from_text(text: &str) -> Result<Self, String> {
        let model = crate::api::flights::MODELS.into_iter().find(|model| model.word() == text);
        model.ok_or_else(|| format!("is `{text}`: give one of {}", Self::spellings().join(", ")))
    }
}

impl Words for Calibrated {
    fn spellings() -> Vec<&'static str> {
        Self::ALL.map(Self::word).to_vec()
    }
}

impl FromText for Calibrated {
    fn from_text(text: &str) -> Result<Self, String> {
        let calibrated = Self::ALL.into_iter().find(|calibrated| calibrated.word() == text);
        calibrated.ok_or_else(|| format!("is `{text}`: give own or none"))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::shot::Quantity;

    fn asked(raw: &str) -> Result<WeatherAsked, Problem> {
        let mut query = Query::read(raw, &[PARAMETERS])?;
        let asked = WeatherAsked::read(&mut query);
        query.done()?;
        Ok(asked)
    }

    fn faults(raw: &str) -> Vec<String> {
        let refused = asked(raw).unwrap_err();
        refused.errors().iter().filter_map(|fault| fault.parameter.clone()).collect()
    }

    #[test]
    fn bounds_are_the_event_s() {
        let event = [
            Quantity::TEMPERATURE,
            Quantity::PRESSURE,
            Quantity::SEA_LEVEL_PRESSURE,
            Quantity::HUMIDITY,
            Quantity::ALTITUDE,
            Quantity::WIND_SPEED,
            Quantity::WIND_FROM,
            Quantity::WIND_HEIGHT,
        ];
        for (parameter, quantity) in PARAMETERS.iter().zip(event) {
            let row = quantity.row();
            let Form::Quantity { dimension, low, high } = parameter.form else { unreachable!() };
            assert_eq!((dimension, (low, high)), (row.dimension, row.bounds), "{}", parameter.name);
        }
    }

    #[test]
    fn nothing_asked_is_still_reference_air() {
        let asked = asked("").unwrap();
        assert_eq!((asked.conditions, asked.ground), (Conditions::default(), None));
    }

    #[test]
    fn any_unit_is_taken_and_halves_are_not() {
        let there = asked(
            "wind_speed_mph=20&wind_from_deg=0&temperature_f=41&altitude_ft=5000&ground=soft",
        );
        let there = there.unwrap();
        assert!((there.conditions.wind.speed_mps - 8.9408).abs() < 1e-12);
        assert!((there.conditions.weather.temperature_c - 5.0).abs() < 1e-12);
        assert_eq!(there.conditions.weather.pressure, Pressure::Standard(1_524.0));
        assert_eq!(there.ground, Some(Ground::Soft));
        assert!(asked("wind_speed_mps=0").is_ok());
        assert_eq!(faults("wind_speed_mps=5"), ["wind_from_deg"]);
        assert_eq!(faults("wind_from_deg=5"), ["wind_speed_mps"]);
        assert_eq!(faults("sea_level_pressure_hpa=1000"), ["sea_level_pressure_hpa"]);
        assert_eq!(
            faults("sea_level_pressure_hpa=1000&pressure_hpa=1000&altitude_m=0"),
            ["sea_level_pressure_hpa"]
        );
        assert_eq!(faults("ground=sand&aerodynamics=vacuum"), ["aerodynamics", "ground"]);
        assert_eq!(faults("calibration=mine"), ["calibration"]);
    }

    #[test]
    fn a_pressure_that_does_not_fit_the_altitude_is_flagged() {
        let trap = asked("pressure_hpa=1013.25&altitude_m=1600").unwrap();
        assert_eq!(trap.flags.words_in_si(), ["unusual:/air/pressure_hpa"]);
    }
}
