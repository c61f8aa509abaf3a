//! Answers that come in two systems of units. The schema in imperial units is made from the one in
//! SI by the same renaming that the answers themselves go through, so that both stay true.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};
use utoipa::{
    PartialSchema, ToSchema,
    openapi::{Discriminator, Ref, RefOr, Schema, schema::OneOfBuilder},
};

use crate::{
    api::endpoint::Components,
    shot::units::{self, FT, Unit, YD},
};

const SCHEMAS: &str = "#/components/schemas/";
const TWIN: &str = "Imperial";
/// The member of an answer that says which of the two it is.
const UNITS: &str = "units";

/// The shape of an answer that takes `units`.
pub(in crate::api) fn in_units<T: ToSchema>(components: &mut Components) -> RefOr<Schema> {
    in_units_as::<T>(&T::name(), components)
}

/// The same under a name of its own, since only an answer says its units, and never a part of one.
pub(in crate::api) fn in_units_as<T: ToSchema>(
    name: &str,
    components: &mut Components,
) -> RefOr<Schema> {
    T::schemas(components);
    components.push((name.to_owned(), <T as PartialSchema>::schema()));
    let twin = format!("{name}{TWIN}");
    let mapping = [("si", format!("{SCHEMAS}{name}")), ("imperial", format!("{SCHEMAS}{twin}"))];
    let either = OneOfBuilder::new()
        .item(Ref::from_schema_name(name))
        .item(Ref::from_schema_name(twin))
        .discriminator(Some(Discriminator::with_mapping(UNITS, mapping)));
    RefOr::T(either.into())
}

/// Adds the schemas in imperial units of all answers that come in both, and of what they hold.
pub(super) fn add_twins(api: &mut Value) {
    let mut roots = BTreeSet::new();
    find_roots(&api["paths"], &mut roots);
    let Some(schemas) = api["components"]["schemas"].as_object_mut() else { return };
    let mut twins = Map::new();
    for root in &roots {
        let renamed = renamed_below(root, schemas);
        for name in renamed.iter().chain([root]) {
            let mut twin = schemas.get(name).cloned().unwrap_or_default();
            rename(&mut twin, &renamed);
            twins.insert(format!("{name}{TWIN}"), twin);
        }
    }
    for root in roots {
        for (all, units, name) in
            [(&mut *schemas, "si", root.clone()), (&mut twins, "imperial", format!("{root}{TWIN}"))]
        {
            if let Some(schema) = all.get_mut(&name) {
                say_units(schema, units);
            }
        }
    }
    schemas.extend(twins);
}

/// Every schema that an answer in SI is described by where it may come in imperial units too.
fn find_roots(value: &Value, roots: &mut BTreeSet<String>) {
    let root = value["discriminator"]["mapping"]["si"].as_str();
    if let Some(name) = root.and_then(|root| root.strip_prefix(SCHEMAS)) {
        roots.insert(name.to_owned());
    }
    match value {
        Value::Object(members) => members.values().for_each(|member| find_roots(member, roots)),
        Value::Array(items) => items.iter().for_each(|item| find_roots(item, roots)),
        _ => {}
    }
}

/// The schemas reachable from one that hold something that is renamed, itself or further down.
fn renamed_below(root: &str, schemas: &Map<String, Value>) -> BTreeSet<String> {
    let mut reached = BTreeSet::from([root.to_owned()]);
    let mut renamed = BTreeSet::new();
    let mut before = (0, 0);
    while before != (reached.len(), renamed.len()) {
        before = (reached.len(), renamed.len());
        for name in reached.clone() {
            let schema = schemas.get(&name).cloned().unwrap_or_default();
            let mut below = BTreeSet::new();
            let changes = holds_renamed(&schema, &mut below);
            if changes || below.iter().any(|below| renamed.contains(below)) {
                renamed.insert(name);
            }
            reached.extend(below);
        }
    }
    renamed
}

/// Whether a schema has a member of its own that is renamed; notes what it refers to.
fn holds_renamed(schema: &Value, below: &mut BTreeSet<String>) -> bool {
    match schema {
        Value::Object(members) => {
            if let Some(name) = reference(members) {
                below.insert(name.to_owned());
            }
            let own =
                members.get("properties").and_then(Value::as_object).is_some_and(|properties| {
                    properties.keys().any(|name| units::imperial(name).is_some())
                });
            members.values().fold(own, |own, member| holds_renamed(member, below) | own)
        }
        Value::Array(items) => {
            items.iter().fold(false, |own, item| holds_renamed(item, below) | own)
        }
        _ => false,
    }
}

fn reference(members: &Map<String, Value>) -> Option<&str> {
    members.get("$ref")?.as_str()?.strip_prefix(SCHEMAS)
}

/// Renames members and what is required of them, and refers to twins where there are any.
fn rename(schema: &mut Value, twins: &BTreeSet<String>) {
    match schema {
        Value::Object(members) => {
            if let Some(name) = reference(members).filter(|name| twins.contains(*name)) {
                let twin = format!("{SCHEMAS}{name}{TWIN}");
                members.insert("$ref".into(), twin.into());
            }
            if let Some(Value::Object(properties)) = members.get_mut("properties") {
                *properties =
                    std::mem::take(properties).into_iter().map(renamed_property).collect();
            }
            if let Some(Value::Array(required)) = members.get_mut("required") {
                for name in required {
                    if let Some((renamed, _)) = name.as_str().and_then(units::imperial) {
                        *name = renamed.into();
                    }
                }
            }
            if let Some(Value::String(about)) = members.get_mut("description") {
                *about = about
                    .replace(", SI", ", in imperial units")
                    .replace("all SI", "in imperial units");
            }
            members.values_mut().for_each(|member| rename(member, twins));
        }
        Value::Array(items) => items.iter_mut().for_each(|item| rename(item, twins)),
        _ => {}
    }
}

fn renamed_property((name, mut schema): (String, Value)) -> (String, Value) {
    let Some((renamed, unit)) = units::imperial(&name) else { return (name, schema) };
    if let Some(Value::String(about)) = schema.get_mut("description") {
        *about = about.replace("metres", called(unit));
    }
    (renamed, schema)
}

/// How a unit of lengths is called in a sentence.
fn called(unit: Unit) -> &'static str {
    match unit {
        YD => "yards",
        FT => "feet",
        other => other.suffix(),
    }
}

/// Adds the member that says the units.
fn say_units(schema: &mut Value, units: &str) {
    let member =
        json!({"type": "string", "enum": [units], "description": "The units of the answer."});
    if let Some(properties) = schema["properties"].as_object_mut() {
        properties.insert(UNITS.into(), member);
    }
    if let Some(required) = schema["required"].as_array_mut() {
        required.push(UNITS.into());
    }
}
