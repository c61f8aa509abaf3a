//! The documents of the catalogue and the acts on shots, in the description: what may be sent, and
//! how it comes back. Their parsers are in `shot`; a test of the API holds both together.

use serde_json::{Map, Value, json};
use utoipa::openapi::{Ref, RefOr, Schema};

use crate::{
    api::endpoint::Components,
    shot::{
        Adjustment, BAG_MAX, BEARING_DEG, BUILDS_MAX, Bag, Ball, BallKind, CSV_COLUMNS_MAX, Club,
        ClubKind, Context, CsvMapping, DecimalMark, FlightOrigin, Hand, Height, LAST_MAX, LENGTH_M,
        LIE_DEG, LOFT_DEG, Lie, MARKS, Place, Player, Purpose, Shape, Source, SpeedOrigin,
        SpinOrigin, Swing,
    },
};

/// A document that has a place in the description.
pub(in crate::api) trait Documented {
    /// The name of its schema.
    const NAME: &'static str;
    /// The members that must be sent.
    const REQUIRED: &[&str] = &["name"];
    /// Its members.
    fn members() -> Map<String, Value>;
}

/// What may be sent as a document.
pub(in crate::api) fn document_of<D: Documented>(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name(D::NAME).into()
}

/// A document as it comes back: with its id and the sequence that changed it last.
pub(in crate::api) fn entry_of<D: Documented>(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name(format!("{}Entry", D::NAME)).into()
}

/// A list of documents.
pub(in crate::api) fn listing_of<D: Documented>(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name(format!("{}List", D::NAME)).into()
}

/// A context as it comes back.
pub(in crate::api) fn context_entry(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("ContextEntry").into()
}

/// What may be sent as a correction.
pub(in crate::api) fn correction(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("Correction").into()
}

/// What may be sent as an assignment.
pub(in crate::api) fn assignment(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("Assignment").into()
}

/// What may be sent as a retirement.
pub(in crate::api) fn retirement(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("Retirement").into()
}

/// The schemas of all documents and acts.
pub(super) fn schemas() -> Map<String, Value> {
    let mut schemas = Map::new();
    add::<Player>(&mut schemas);
    add::<Club>(&mut schemas);
    add::<Bag>(&mut schemas);
    add::<Ball>(&mut schemas);
    add::<Source>(&mut schemas);
    add::<CsvMapping>(&mut schemas);
    schemas.insert("Context".into(), closed(&Context::members(), &[]));
    let told = with(kept(Context::members()), [("as_of", sequence())]);
    schemas.insert("ContextEntry".into(), open(&told, &["as_of"]));
    schemas.insert("Correction".into(), closed(&corrected(), &[]));
    let assigned = assigned();
    let members =
        members([("filter", assigned["properties"]["filter"].clone()), ("dry_run", truth())]);
    schemas.insert("Retirement".into(), closed(&members, &["filter"]));
    schemas.insert("Assignment".into(), assigned);
    schemas
}

fn add<D: Documented>(schemas: &mut Map<String, Value>) {
    let entry = format!("{}Entry", D::NAME);
    let told = with(kept(D::members()), [("id", name()), ("as_of", sequence())]);
    let items =
        json!({"type": "array", "items": {"$ref": format!("#/components/schemas/{entry}")}});
    let list = with(Map::new(), [("items", items), ("as_of", sequence())]);
    schemas.insert(D::NAME.into(), closed(&D::members(), D::REQUIRED));
    schemas.insert(entry, open(&told, &["id", "name", "as_of"]));
    schemas.insert(format!("{}List", D::NAME), open(&list, &["items", "as_of"]));
}

/// The members that come back: lengths and altitudes in the unit they are kept in only.
fn kept(mut members: Map<String, Value>) -> Map<String, Value> {
    members.retain(|name, _| !name.ends_with("_yd") && !name.ends_with("_ft"));
    members
}

fn with<const N: usize>(
    mut members: Map<String, Value>,
    more: [(&str, Value); N],
) -> Map<String, Value> {
    members.extend(more.into_iter().map(|(name, schema)| (name.to_owned(), schema)));
    members
}

fn members<const N: usize>(members: [(&str, Value); N]) -> Map<String, Value> {
    with(Map::new(), members)
}

fn closed(members: &Map<String, Value>, required: &[&str]) -> Value {
    json!({
        "type": "object", "properties": members, "required": required, "additionalProperties": false,
    })
}

fn open(members: &Map<String, Value>, required: &[&str]) -> Value {
    json!({"type": "object", "properties": members, "required": required})
}

fn name() -> Value {
    json!({"$ref": "#/components/schemas/Name"})
}

fn sequence() -> Value {
    json!({"$ref": "#/components/schemas/Sequence"})
}

fn text() -> Value {
    json!({"type": "string"})
}

fn title() -> Value {
    json!({"type": "string", "minLength": 1})
}

fn truth() -> Value {
    json!({"type": "boolean"})
}

fn number((low, high): (f64, f64)) -> Value {
    json!({"type": "number", "minimum": low, "maximum": high})
}

fn words<W: Copy>(all: &[W], spelling: fn(W) -> &'static str) -> Value {
    let words: Vec<&str> = all.iter().map(|word| spelling(*word)).collect();
    json!({"type": "string", "enum": words})
}

macro_rules! words {
    ($Word:ident) => {
        words($Word::ALL, $Word::as_str)
    };
}

/// The same, or null, which lifts an earlier correction.
fn or_null(mut schema: Value) -> Value {
    match schema["type"].as_str() {
        Some(kind) => schema["type"] = json!([kind, "null"]),
        None => return json!({"anyOf": [schema, {"type": "null"}]}),
    }
    if let Some(words) = schema["enum"].as_array_mut() {
        words.push(Value::Null);
    }
    schema
}

fn unit(of: (f64, f64), numerator: f64) -> Value {
    json!({"type": "number", "description": "In place of the same in metres.",
           "minimum": of.0 / numerator - 0.001, "maximum": of.1 / numerator + 0.001})
}

/// Altitudes, m: the event's bounds.
const ALTITUDE_M: (f64, f64) = (-500.0, 6_000.0);

impl Documented for Player {
    const NAME: &'static str = "Player";

    fn members() -> Map<String, Value> {
        members([("name", title()), ("hand", words!(Hand)), ("notes", text())])
    }
}

impl Documented for Club {
    const NAME: &'static str = "Club";

    fn members() -> Map<String, Value> {
        let mark = json!({"type": "integer", "minimum": MARKS.0, "maximum": MARKS.1});
        let marks = members([("look", mark.clone()), ("feel", mark.clone()), ("trust", mark)]);
        let day = json!({"type": "string", "format": "date"});
        let build = closed(&members([("from", day), ("what", text())]), &["from"]);
        members([
            ("name", title()),
            ("kind", words!(ClubKind)),
            ("model", text()),
            ("loft_deg", number(LOFT_DEG)),
            ("measured_loft_deg", number(LOFT_DEG)),
            ("lie_deg", number(LIE_DEG)),
            ("length_m", number(LENGTH_M)),
            ("length_yd", unit(LENGTH_M, 0.9144)),
            ("shaft", text()),
            ("setting", text()),
            ("demo", truth()),
            ("notes", text()),
            ("ratings", closed(&marks, &[])),
            ("builds", json!({"type": "array", "items": build, "maxItems": BUILDS_MAX})),
        ])
    }
}

impl Documented for Bag {
    const NAME: &'static str = "Bag";

    fn members() -> Map<String, Value> {
        let clubs =
            json!({"type": "array", "items": name(), "maxItems": BAG_MAX, "uniqueItems": true});
        members([("name", title()), ("clubs", clubs)])
    }
}

impl Documented for Ball {
    const NAME: &'static str = "Ball";

    fn members() -> Map<String, Value> {
        members([("name", title()), ("kind", words!(BallKind)), ("batch", text())])
    }
}

impl Documented for Source {
    const NAME: &'static str = "Source";

    fn members() -> Map<String, Value> {
        let adjusted = json!({"type": "array", "items": words!(Adjustment), "uniqueItems": true});
        members([
            ("name", title()),
            ("place", words!(Place)),
            ("lie", words!(Lie)),
            ("ball", name()),
            ("altitude_m", number(ALTITUDE_M)),
            ("altitude_ft", unit(ALTITUDE_M, 0.3048)),
            ("target_bearing_deg", number(BEARING_DEG)),
            ("zone", text()),
            ("flight_origin", words!(FlightOrigin)),
            ("spin_origin", words!(SpinOrigin)),
            ("speed_origin", words!(SpeedOrigin)),
            ("adjusted_for", adjusted),
        ])
    }
}

impl Documented for CsvMapping {
    const NAME: &'static str = "CsvMapping";
    const REQUIRED: &[&str] = &["name", "columns"];

    fn members() -> Map<String, Value> {
        let about = |mut schema: Value, about: &str| {
            schema["description"] = json!(about);
            schema
        };
        let texts = || json!({"type": "object", "additionalProperties": text()});
        let list = || json!({"type": "array", "items": text(), "maxItems": CSV_COLUMNS_MAX});
        let by_column = json!({"type": "object", "additionalProperties": texts()});
        let time = [("columns", list()), ("format", title()), ("zone", title())];
        let time = closed(&members(time), &["columns", "format"]);
        let id = [("prefix", title()), ("columns", list()), ("row", truth())];
        members([
            ("name", title()),
            (
                "delimiter",
                json!({"type": "string", "minLength": 1, "maxLength": 1,
                "description": "What stands between cells; a comma if absent."}),
            ),
            ("decimal_mark", words!(DecimalMark)),
            (
                "columns",
                about(
                    texts(),
                    "By column, a pointer to the member of the event that it \
                fills, unit included: `/flight/carry_yd`.",
                ),
            ),
            ("optional", about(list(), "Those of `columns` that a file need not have.")),
            ("ignored", about(list(), "Columns that are left alone.")),
            (
                "values",
                about(
                    by_column,
                    "By column, what is stored for the texts in it; no other \
                text is then taken.",
                ),
            ),
            ("absent", about(list(), "Texts that say no more than an empty cell.")),
            (
                "time",
                about(
                    time,
                    "The time where no one column has it as RFC 3339: columns joined \
                by a space, their form in directives of strptime, and the IANA zone.",
                ),
            ),
            (
                "id",
                about(
                    closed(&members(id), &[]),
                    "The id where no one column has it: prefix, \
                columns and row number, joined by `-`. Row numbers repeat in the next file, so \
                they need a prefix or a column.",
                ),
            ),
            ("set", json!({"type": "object", "description": "Members that all rows have."})),
        ])
    }
}

impl Documented for Context {
    const NAME: &'static str = "Context";

    fn members() -> Map<String, Value> {
        members([
            ("player", name()),
            ("club", name()),
            ("lie", words!(Lie)),
            ("ball", name()),
            ("place", words!(Place)),
            ("target_bearing_deg", number(BEARING_DEG)),
            ("altitude_m", number(ALTITUDE_M)),
            ("altitude_ft", unit(ALTITUDE_M, 0.3048)),
        ])
    }
}

/// The members of a correction.
fn corrected() -> Map<String, Value> {
    let intent = members([
        ("height", or_null(words!(Height))),
        ("shape", or_null(words!(Shape))),
        ("swing", or_null(words!(Swing))),
    ]);
    let aside = closed(&members([("reason", title())]), &["reason"]);
    members([
        ("player", or_null(name())),
        ("club", or_null(name())),
        ("session", or_null(name())),
        ("lie", or_null(words!(Lie))),
        ("intent", or_null(closed(&intent, &[]))),
        ("purpose", or_null(words!(Purpose))),
        ("ball", or_null(name())),
        ("wet", or_null(truth())),
        ("place", or_null(words!(Place))),
        ("set_aside", or_null(aside)),
    ])
}

fn assigned() -> Value {
    let instant = json!({"type": "string", "format": "date-time"});
    let filter = members([
        ("player", name()),
        ("club", name()),
        ("session", name()),
        ("lie", words!(Lie)),
        ("height", words!(Height)),
        ("shape", words!(Shape)),
        ("swing", words!(Swing)),
        ("purpose", words!(Purpose)),
        ("ball", name()),
        ("source", name()),
        ("id", name()),
        ("flag", text()),
        ("from", instant.clone()),
        ("to", instant),
        ("unassigned", truth()),
        ("last", json!({"type": "integer", "minimum": 1, "maximum": LAST_MAX})),
    ]);
    let mut filter = closed(&filter, &[]);
    filter["description"] = json!(
        "Shots that pass every member; `id` needs `source`, and `last` is of those that pass all else."
    );
    filter["minProperties"] = json!(1);
    let set = json!({"$ref": "#/components/schemas/Correction"});
    closed(&members([("filter", filter), ("set", set), ("dry_run", truth())]), &["filter", "set"])
}
