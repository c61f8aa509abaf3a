//! Flights that are asked for, in the description. Their parser is beside the endpoint; the members of
//! launch, air and wind are those of the event, from its own table. A test of the API holds both together.

use serde_json::{Map, Value, json};
use utoipa::openapi::{Ref, RefOr, Schema};

use super::{
    members::{about, closed, list_of, members, number, truth, word},
    one_of,
};
use crate::{
    api::{
        endpoint::Components,
        flights::{EVERY_S, LAUNCH, MODELS, POINTS},
        limits::Limits,
    },
    flight::Model,
    shot::{event_object, units},
};

/// What may be sent to be flown.
pub(in crate::api) fn flights_wanted(_: &mut Components) -> RefOr<Schema> {
    let [one, many] = ["FlightWanted", "FlightsWanted"];
    one_of([Ref::from_schema_name(one).into(), Ref::from_schema_name(many).into()])
}

/// The schemas of what may be sent.
pub(super) fn schemas(limits: &Limits) -> Map<String, Value> {
    let mut flights = list_of(&json!({"$ref": "#/components/schemas/FlightWanted"}));
    flights["maxItems"] = json!(limits.flights);
    let flights = about(flights, "The flights; each has conditions of its own.");
    let many = closed(&members([("flights", flights)]), &["flights"]);
    members([
        ("FlightWanted", wanted()),
        ("FlightsWanted", about(many, "Many flights that are wanted.")),
        ("LaunchWanted", launch()),
        ("LaunchSpread", spread()),
        ("AirWanted", air()),
        ("WindWanted", wind()),
        ("PathWanted", path()),
    ])
}

fn referred(schema: &str, what: &str) -> Value {
    about(json!({"$ref": format!("#/components/schemas/{schema}")}), what)
}

fn wanted() -> Value {
    let models = json!({"type": "string", "enum": MODELS.map(Model::word)});
    let models = about(
        models,
        "The model of drag and lift: `default`, a modern ball, or `ball-1990s`, one of the 1990s.",
    );
    let path = json!({"oneOf": [truth(), {"$ref": "#/components/schemas/PathWanted"}]});
    let path = about(path, "Whether to give the path, ten points a second, or which points of it.");
    let wanted = members([
        ("launch", referred("LaunchWanted", "How the ball leaves the club.")),
        ("launch_spread", referred("LaunchSpread", "How far the launch may be off.")),
        (
            "air",
            referred("AirWanted", "The air at the tee; 20 °C, 1,013.25 hPa and 50 % unless given."),
        ),
        ("wind", referred("WindWanted", "The wind; still air unless given.")),
        ("ground", word("Ground")),
        ("aerodynamics", models),
        ("path", path),
    ]);
    about(
        closed(&wanted, &["launch"]),
        "A flight that is wanted. Without `ground` there is no total.",
    )
}

const SPIN_PAIR: &str = "A launch: speed, angle and spin must be there. A pair of backspin and sidespin \
    makes 20,000 rpm at most.";

fn launch() -> Value {
    let mut launch = about(event_object("launch"), SPIN_PAIR);
    launch["properties"]["backspin_rpm"]["minimum"] = json!(0);
    launch["required"] = json!(["launch_angle_deg"]);
    launch["allOf"] = json!([
        any_of(&["ball_speed_mps", "ball_speed_mph", "ball_speed_kmh"]),
        any_of(&["spin_rate_rpm", "backspin_rpm"])
    ]);
    launch
}

fn any_of(names: &[&str]) -> Value {
    let required = |name: &&str| json!({"required": [name]});
    json!({"anyOf": names.iter().map(required).collect::<Vec<_>>()})
}

fn spread() -> Value {
    let mut spread = Map::new();
    let mut beside = Map::new();
    for (quantity, most) in LAUNCH {
        let row = quantity.row();
        let names: Vec<String> = units::spellings(row.base, row.dimension).collect();
        for (at, (name, unit)) in names.iter().zip(row.dimension.units()).enumerate() {
            let what = "One standard deviation; 0 unless given.";
            spread.insert(name.clone(), number(unit.bounds((0.0, most)), what));
            let later: Map<_, _> =
                names[at + 1..].iter().map(|name| (name.clone(), false.into())).collect();
            if !later.is_empty() {
                beside.insert(name.clone(), json!({"properties": later}));
            }
        }
    }
    let mut spread = closed(&spread, &[]);
    spread["dependentSchemas"] = beside.into();
    about(spread, "How far each number of a launch may be off, one standard deviation.")
}

fn air() -> Value {
    let mut air = about(event_object("air"), "The air at the tee.");
    for reduced in ["sea_level_pressure_hpa", "sea_level_pressure_inhg"] {
        let needs = any_of(&["altitude_m", "altitude_ft"]);
        air["dependentSchemas"][reduced]["anyOf"] = needs["anyOf"].clone();
    }
    air
}

const SPEEDS: [&str; 4] = ["speed_mps", "speed_mph", "speed_kmh", "speed_kt"];

fn wind() -> Value {
    let mut wind = about(event_object("wind"), "The wind, against the target line.");
    if let Some(properties) = wind["properties"].as_object_mut() {
        properties.remove("compass_from_deg");
    }
    let dependent = &mut wind["dependentSchemas"];
    dependent["from_deg"] = any_of(&SPEEDS);
    for speed in SPEEDS {
        dependent[speed]["anyOf"] =
            json!([{"required": ["from_deg"]}, {"properties": {speed: {"maximum": 0}}}]);
    }
    wind
}

fn path() -> Value {
    let points = json!({"type": "integer", "minimum": POINTS.0, "maximum": POINTS.1});
    let points = about(
        points,
        "So many, evenly in time, begin and landing among them; never closer than a hundredth of a \
         second.",
    );
    let path = members([
        ("points", points),
        ("every_s", number(EVERY_S, "One each so many seconds, and the landing.")),
    ]);
    let mut path = closed(&path, &[]);
    (path["minProperties"], path["maxProperties"]) = (json!(1), json!(1));
    about(path, "Which points of a path: so many, or so often.")
}
