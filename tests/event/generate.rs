//! Events at random: well formed ones, and ones with a few members changed.

use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use serde_json::{Map, Value, json};

/// One of the groups of spellings of which an event has one at most, with its bounds.
#[derive(Debug, Clone)]
struct Quantity {
    object: &'static str,
    spellings: &'static [(&'static str, f64, f64)],
}

/// The quantities that stand alone: no other needs or excludes them.
const FREE: &[Quantity] = &[
    Quantity { object: "launch", spellings: &[("launch_direction_deg", -90.0, 90.0)] },
    Quantity {
        object: "clubhead",
        spellings: &[
            ("speed_mps", 1.0, 80.0),
            ("speed_mph", 2.236, 178.954),
            ("speed_kmh", 3.6, 288.0),
        ],
    },
    Quantity { object: "clubhead", spellings: &[("attack_angle_deg", -45.0, 45.0)] },
    Quantity { object: "clubhead", spellings: &[("strike_toe_mm", -80.0, 80.0)] },
    Quantity { object: "flight", spellings: &[("total_m", 0.0, 500.0), ("total_yd", 0.0, 546.0)] },
    Quantity {
        object: "flight",
        spellings: &[("side_m", -200.0, 200.0), ("side_yd", -218.0, 218.0)],
    },
    Quantity {
        object: "flight",
        spellings: &[("apex_m", 0.0, 120.0), ("apex_yd", 0.0, 131.0), ("apex_ft", 0.0, 393.0)],
    },
    Quantity { object: "flight", spellings: &[("hang_time_s", 0.0, 20.0)] },
    Quantity {
        object: "air",
        spellings: &[("temperature_c", -40.0, 60.0), ("temperature_f", -40.0, 140.0)],
    },
    Quantity {
        object: "air",
        spellings: &[
            ("pressure_hpa", 400.0, 1_100.0),
            ("pressure_inhg", 12.0, 32.0),
            ("sea_level_pressure_hpa", 400.0, 1_100.0),
            ("sea_level_pressure_inhg", 12.0, 32.0),
        ],
    },
    Quantity {
        object: "wind",
        spellings: &[("speed_mps", 0.0, 60.0), ("speed_kt", 0.0, 116.0), ("speed_kmh", 0.0, 216.0)],
    },
    Quantity {
        object: "wind",
        spellings: &[("from_deg", 0.0, 360.0), ("compass_from_deg", 0.0, 360.0)],
    },
    Quantity {
        object: "target",
        spellings: &[("distance_m", 0.0, 500.0), ("distance_yd", 0.0, 546.0)],
    },
];

/// Words of members that are no quantities.
const WORDS: &[(&str, &str, &[&str])] = &[
    ("", "lie", &["tee", "mat", "fairway", "tight", "wet_fairway", "light_rough", "sand", "other"]),
    ("", "purpose", &["practice", "warm_up", "trial", "course"]),
    ("", "place", &["indoor", "outdoor"]),
    ("", "ground", &["frozen", "firm", "medium", "soft", "soaked"]),
    ("intent", "height", &["stock", "low", "high"]),
    ("intent", "shape", &["straight", "draw", "fade"]),
    ("intent", "swing", &["full", "part"]),
    ("flight", "origin", &["tracked", "modelled"]),
];

/// A member: the object that holds it (none is the event), its name, its value.
type Member = (&'static str, &'static str, Value);

fn name() -> impl Strategy<Value = String> {
    prop_oneof![4 => "[a-z0-9 _/~%-]{1,12}", 1 => "[^\\p{Cc}\\x{FFFD}.]{1,40}"]
}

fn time() -> impl Strategy<Value = String> {
    let zone = prop_oneof![Just("Z".to_owned()), "[+-](0[0-9]|1[0-4]):(00|30|45)"];
    ("20[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8])T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,9})?", zone)
        .prop_map(|(local, zone)| local + &zone)
}

fn free() -> impl Strategy<Value = Member> {
    select(FREE).prop_flat_map(|quantity| {
        select(quantity.spellings).prop_flat_map(move |(name, low, high)| {
            (low..=high).prop_map(move |value| (quantity.object, name, json!(value)))
        })
    })
}

fn word() -> impl Strategy<Value = Member> {
    select(WORDS).prop_flat_map(|(object, name, words)| {
        select(words).prop_map(move |word| (object, name, json!(word)))
    })
}

fn spin() -> impl Strategy<Value = Vec<Member>> {
    let origin = ("launch", "spin_origin", json!("from_flight"));
    prop_oneof![
        Just(vec![]),
        (0_u32..=20_000)
            .prop_map(move |rate| vec![("launch", "spin_rate_rpm", json!(rate)), origin.clone()]),
        (0_u32..=20_000, -90.0..=90.0_f64).prop_map(|(rate, axis)| {
            vec![("launch", "spin_rate_rpm", json!(rate)), ("launch", "spin_axis_deg", json!(axis))]
        }),
        (-20_000.0..=20_000.0_f64, -20_000_i32..=20_000).prop_map(|(back, side)| {
            vec![("launch", "backspin_rpm", json!(back)), ("launch", "sidespin_rpm", json!(side))]
        }),
    ]
}

/// What makes an event a shot.
fn measured() -> impl Strategy<Value = Vec<Member>> {
    let launch =
        (select(&["ball_speed_mps", "ball_speed_mph", "ball_speed_kmh"][..]), -20..=80_i32)
            .prop_map(|(speed, angle)| {
                vec![("launch", speed, json!(60)), ("launch", "launch_angle_deg", json!(angle))]
            });
    let carry = select(&["carry_m", "carry_yd"][..])
        .prop_map(|carry| vec![("flight", carry, json!(120.5))]);
    prop_oneof![launch, carry]
}

fn adjusted() -> impl Strategy<Value = Member> {
    subsequence(vec!["air", "altitude", "wind", "ball"], 0..=4)
        .prop_map(|list| ("flight", "adjusted_for", json!(list)))
}

fn other() -> impl Strategy<Value = Member> {
    prop_oneof![
        (select(&["player", "club", "session", "ball"][..]), name()).prop_map(|(member, name)| (
            "",
            member,
            json!(name)
        )),
        any::<bool>().prop_map(|wet| ("", "wet", json!(wet))),
        adjusted(),
        Just(("", "ext", json!({"a": [1, {"b": null}], "c": 1e300}))),
    ]
}

/// A well-formed event.
pub(crate) fn well_formed() -> impl Strategy<Value = Value> {
    let members = prop_oneof![3 => free(), 2 => word(), 1 => other()];
    (name(), name(), time(), measured(), spin(), prop::collection::vec(members, 0..16)).prop_map(
        |(id, source, time, measured, spin, others)| {
            let mut event = json!({"id": id, "source": source, "time": time});
            for (object, name, value) in measured.into_iter().chain(spin).chain(others) {
                put_unless_spelled(&mut event, object, name, value);
            }
            event
        },
    )
}

/// Puts a member, unless its quantity is there already in a spelling.
fn put_unless_spelled(event: &mut Value, object: &str, name: &str, value: Value) {
    let into = if object.is_empty() { event } else { &mut event[object] };
    let same = |other: &&str| into.get(*other).is_some();
    let group = FREE
        .iter()
        .filter(|quantity| quantity.object == object)
        .find(|quantity| quantity.spellings.iter().any(|(spelling, _, _)| *spelling == name));
    let spelled = group.is_some_and(|quantity| {
        quantity.spellings.iter().map(|(spelling, _, _)| spelling).any(same)
    });
    if !spelled {
        into[name] = value;
    }
}

/// A change of an event that may or may not make it invalid.
#[derive(Debug, Clone)]
pub(crate) enum Mutation {
    Remove(usize),
    Rename(usize, &'static str),
    Replace(usize, Value),
    Add(usize, &'static str, Value),
}

/// Names that are known somewhere, and some that are known nowhere.
const NAMES: &[&str] = &[
    "carry_m",
    "carry_yd",
    "carry_ft",
    "carry",
    "ball_speed_mps",
    "ball_speed_mph",
    "speed_mps",
    "speed_kt",
    "launch_angle_deg",
    "spin_rate_rpm",
    "spin_axis_deg",
    "backspin_rpm",
    "sidespin_rpm",
    "spin_origin",
    "speed_origin",
    "origin",
    "adjusted_for",
    "pressure_hpa",
    "sea_level_pressure_inhg",
    "from_deg",
    "compass_from_deg",
    "height_ft",
    "height_m",
    "launch",
    "flight",
    "clubhead",
    "air",
    "ext",
    "id",
    "source",
    "time",
    "lie",
    "wet",
    "height",
    "other",
];

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        (-30_000..30_000_i32).prop_map(Value::from),
        (-500.0..500.0_f64).prop_map(Value::from),
        any::<f64>().prop_filter_map("JSON has finite numbers only", |number| {
            serde_json::Number::from_f64(number).map(Value::Number)
        }),
        any::<u64>().prop_map(Value::from),
        "\\PC{0,6}".prop_map(Value::from),
        ".{0,3}".prop_map(Value::from),
        (0..140_usize).prop_map(|length| "\u{e9}".repeat(length).into()),
        select(&[".", "..", "tee", "measured", "full", "a\u{fffd}b", "a\tb", "\u{85}"][..])
            .prop_map(Value::from),
        select(&["2026-04-11T10:15:04Z", "2026-04-11", "2026-04-11T10:15:04.Z"][..])
            .prop_map(Value::from),
        Just(json!([])),
        Just(json!({})),
        Just(json!(["air"])),
        Just(json!(["air", "air"])),
        Just(json!(["air", "rain", 1])),
        Just(json!({"carry_m": 100})),
        Just(json!({"ball_speed_kmh": 200, "launch_angle_deg": 12.5})),
    ]
}

/// A few changes.
pub(crate) fn mutations() -> impl Strategy<Value = Vec<Mutation>> {
    let place = any::<usize>;
    let change = prop_oneof![
        place().prop_map(Mutation::Remove),
        (place(), select(NAMES)).prop_map(|(place, name)| Mutation::Rename(place, name)),
        (place(), value()).prop_map(|(place, value)| Mutation::Replace(place, value)),
        (place(), select(NAMES), value())
            .prop_map(|(place, name, value)| Mutation::Add(place, name, value)),
    ];
    prop::collection::vec(change, 1..4)
}

/// Applies a change at one of the members of the event or of its objects.
pub(crate) fn mutate(event: &mut Value, mutation: &Mutation) {
    let place = match mutation {
        Mutation::Remove(place)
        | Mutation::Rename(place, _)
        | Mutation::Replace(place, _)
        | Mutation::Add(place, _, _) => *place,
    };
    let members = paths(event);
    let Some((object, name)) = members.get(place % members.len().max(1)).cloned() else { return };
    let Some(object) = object_at(event, &object) else { return };
    match mutation {
        Mutation::Remove(_) => {
            object.remove(&name);
        }
        Mutation::Rename(_, other) => {
            let value = object.remove(&name).unwrap_or_default();
            object.insert((*other).to_owned(), value);
        }
        Mutation::Replace(_, value) => {
            object.insert(name, value.clone());
        }
        Mutation::Add(_, other, value) => {
            object.insert((*other).to_owned(), value.clone());
        }
    }
}

/// Every member of the event and of the objects in it, as object and name.
fn paths(event: &Value) -> Vec<(String, String)> {
    let mut paths = Vec::new();
    for (name, value) in event.as_object().into_iter().flatten() {
        paths.push((String::new(), name.clone()));
        let inner = value.as_object().into_iter().flatten();
        paths.extend(inner.map(|(member, _)| (name.clone(), member.clone())));
    }
    paths
}

fn object_at<'a>(event: &'a mut Value, object: &str) -> Option<&'a mut Map<String, Value>> {
    if object.is_empty() { event.as_object_mut() } else { event.get_mut(object)?.as_object_mut() }
}
