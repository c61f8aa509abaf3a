//! The documents of the catalogue in the description: what may be sent, and how it comes back. Their
//! parsers are in `shot`; a test of the API holds both together.

use serde_json::{Map, Value, json};
use utoipa::openapi::{Ref, RefOr, Schema};

use super::members::{
    about, closed, list_of, members, name, number, open, sequence, text, title, truth, unit, with,
    word,
};
use crate::{
    api::endpoint::Components,
    shot::{
        BAG_MAX, BEARING_DEG, BUILDS_MAX, Bag, Ball, CSV_COLUMNS_MAX, CSV_VALUES_MAX, Club,
        Context, CsvMapping, LENGTH_M, LIE_DEG, LOFT_DEG, MARKS, Player, Source, Text, units,
    },
};

/// A document that has a place in the description.
pub(in crate::api) trait Documented {
    /// The name of its schema.
    const NAME: &'static str;
    /// What it is.
    const ABOUT: &'static str;
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

/// The schemas of all documents.
pub(super) fn schemas() -> Map<String, Value> {
    let mut schemas = Map::new();
    add::<Player>(&mut schemas);
    add::<Club>(&mut schemas);
    add::<Bag>(&mut schemas);
    add::<Ball>(&mut schemas);
    add::<Source>(&mut schemas);
    add::<CsvMapping>(&mut schemas);
    schemas.insert("CsvTime".into(), csv_time());
    schemas.insert("CsvId".into(), csv_id());
    add_context(&mut schemas);
    schemas.insert("ClubRatings".into(), ratings());
    schemas.insert("ClubBuild".into(), build());
    schemas
}

const AS_OF: &str = "The sequence that changed it last.";

fn add<D: Documented>(schemas: &mut Map<String, Value>) {
    let entry = format!("{}Entry", D::NAME);
    let id = about(name(), "Its id, as the path names it.");
    let told = with(kept(D::members()), [("id", id), ("as_of", about(sequence(), AS_OF))]);
    let items = json!({"$ref": format!("#/components/schemas/{entry}")});
    let list = members([
        ("items", about(list_of(&items), "The entries, by id.")),
        ("as_of", about(sequence(), "The last sequence that changed any of them.")),
    ]);
    let sent = about(closed(&D::members(), D::REQUIRED), D::ABOUT);
    let come_back = format!("{} As it comes back.", D::ABOUT);
    let shown = [&["id", "as_of"], D::REQUIRED].concat();
    schemas.insert(D::NAME.into(), sent);
    schemas.insert(entry, about(open(&told, &shown), &come_back));
    let all = about(open(&list, &["items", "as_of"]), "A list of the catalogue.");
    schemas.insert(format!("{}List", D::NAME), all);
}

/// A context comes back without an id: it is its source's.
fn add_context(schemas: &mut Map<String, Value>) {
    let told = with(kept(Context::members()), [("as_of", about(sequence(), AS_OF))]);
    let come_back = format!("{} As it comes back.", Context::ABOUT);
    schemas.insert("ContextEntry".into(), about(open(&told, &["as_of"]), &come_back));
    schemas.insert(Context::NAME.into(), about(closed(&Context::members(), &[]), Context::ABOUT));
}

/// The members that come back: lengths and altitudes in the unit they are kept in only. Bounds are
/// checked in the unit that was sent, rounded outwards, so that what is kept may be past its own.
fn kept(mut members: Map<String, Value>) -> Map<String, Value> {
    members.retain(|name, _| !name.ends_with("_yd") && !name.ends_with("_ft"));
    for member in members.values_mut().filter_map(Value::as_object_mut) {
        member.remove("minimum");
        member.remove("maximum");
    }
    members
}

/// Altitudes, m: the event's bounds.
const ALTITUDE_M: (f64, f64) = (-500.0, 6_000.0);

fn called() -> Value {
    title("What it is called.")
}

fn notes() -> Value {
    text(Text::Notes, "Anything.")
}

fn ratings() -> Value {
    let mark = |what| {
        let mark = json!({"type": "integer", "minimum": MARKS.0, "maximum": MARKS.1});
        about(mark, what)
    };
    let marks = members([
        ("look", mark("How it looks.")),
        ("feel", mark("How it feels.")),
        ("trust", mark("How far it is trusted.")),
    ]);
    about(closed(&marks, &[]), "A player's marks for a club, kept and shown, never scored.")
}

fn build() -> Value {
    let day = json!({"type": "string", "format": "date"});
    let build = members([
        ("from", about(day, "The first day with it, by the sender's calendar.")),
        ("what", text(Text::Line, "What was changed.")),
    ]);
    about(closed(&build, &["from"]), "A change of a club: regripped, bent, reshafted.")
}

impl Documented for Player {
    const NAME: &'static str = "Player";
    const ABOUT: &'static str = "A player.";

    fn members() -> Map<String, Value> {
        members([("name", called()), ("hand", word("Hand")), ("notes", notes())])
    }
}

impl Documented for Club {
    const NAME: &'static str = "Club";
    const ABOUT: &'static str = "A club of a player.";

    fn members() -> Map<String, Value> {
        let ratings = json!({"$ref": "#/components/schemas/ClubRatings"});
        let mut builds = list_of(&json!({"$ref": "#/components/schemas/ClubBuild"}));
        builds["maxItems"] = json!(BUILDS_MAX);
        let changes = "Its changes, one a day; each starts new evidence.";
        let demo = about(truth(), "Whether it is tried, not owned; false unless said.");
        members([
            ("name", called()),
            ("kind", word("ClubKind")),
            ("model", text(Text::Line, "Its model.")),
            ("loft_deg", number(LOFT_DEG, "The loft stamped on it, degrees.")),
            ("measured_loft_deg", number(LOFT_DEG, "The loft measured on it, degrees.")),
            ("lie_deg", number(LIE_DEG, "Its lie angle, degrees.")),
            ("length_m", number(LENGTH_M, "Its length, metres.")),
            ("length_yd", unit(units::YD, LENGTH_M, "length_m")),
            ("shaft", text(Text::Line, "Its shaft.")),
            ("setting", text(Text::Line, "How its adjustable parts are set.")),
            ("demo", demo),
            ("notes", notes()),
            ("ratings", about(ratings, "The player's marks for it.")),
            ("builds", about(builds, changes)),
        ])
    }
}

impl Documented for Bag {
    const NAME: &'static str = "Bag";
    const ABOUT: &'static str = "A bag of a player.";

    fn members() -> Map<String, Value> {
        let mut clubs = list_of(&name());
        clubs["maxItems"] = json!(BAG_MAX);
        clubs["uniqueItems"] = json!(true);
        members([
            ("name", called()),
            ("clubs", about(clubs, "The player's clubs in it, each once.")),
        ])
    }
}

impl Documented for Ball {
    const NAME: &'static str = "Ball";
    const ABOUT: &'static str = "A ball.";

    fn members() -> Map<String, Value> {
        let batch = text(Text::Line, "Its batch.");
        members([("name", called()), ("kind", word("BallKind")), ("batch", batch)])
    }
}

impl Documented for Source {
    const NAME: &'static str = "Source";
    const ABOUT: &'static str = "A source of shots, and what its shots have by default.";

    fn members() -> Map<String, Value> {
        let mut adjusted = list_of(&word("Adjustment"));
        adjusted["uniqueItems"] = json!(true);
        let zone = json!({"type": "string"});
        members([
            ("name", called()),
            ("place", word("Place")),
            ("lie", word("Lie")),
            ("ball", about(name(), "The ball there.")),
            ("altitude_m", number(ALTITUDE_M, "Its height above the sea, metres.")),
            ("altitude_ft", unit(units::FT, ALTITUDE_M, "altitude_m")),
            ("target_bearing_deg", bearing("Where its target line points, degrees from north.")),
            ("zone", about(zone, "Its time zone by its IANA name, such as `Europe/Madrid`.")),
            ("flight_origin", word("FlightOrigin")),
            ("spin_origin", word("SpinOrigin")),
            ("speed_origin", word("SpeedOrigin")),
            ("adjusted_for", about(adjusted, "What it corrects its flights for.")),
        ])
    }
}

const CSV_SET: &str = "Members that all rows have, as in an event.";
const CSV_COLUMNS: &str = "By column, a pointer to the member of the event that it fills, unit \
    included: `/flight/carry_yd`.";
const CSV_VALUES: &str =
    "By column, what is stored for the texts in it; no other text is then taken.";

fn cells(what: &str) -> Value {
    let mut cells = list_of(&json!({"type": "string"}));
    cells["maxItems"] = json!(CSV_COLUMNS_MAX);
    about(cells, what)
}

fn csv_time() -> Value {
    let time = members([
        ("columns", cells("The columns, joined by a space.")),
        ("format", text(Text::Reason, "Their form in directives of strptime.")),
        ("zone", title("The IANA zone that it is local to, unless the form has an offset.")),
    ]);
    about(closed(&time, &["columns", "format"]), "A time that is put together of columns.")
}

fn csv_id() -> Value {
    let id = members([
        ("prefix", title("What it begins with.")),
        ("columns", cells("The columns that make it.")),
        ("row", about(truth(), "Whether the number of the row is its end.")),
    ]);
    about(closed(&id, &[]), "An id that is put together, its parts joined by `-`.")
}

impl Documented for CsvMapping {
    const NAME: &'static str = "CsvMapping";
    const ABOUT: &'static str = "How the columns of a CSV table become events.";
    const REQUIRED: &[&str] = &["name", "columns"];

    fn members() -> Map<String, Value> {
        let named = |values, most: usize| json!({"type": "object", "additionalProperties": values, "maxProperties": most});
        let text = json!({"type": "string"});
        let by_column = named(named(text.clone(), CSV_VALUES_MAX), CSV_COLUMNS_MAX);
        let columns = named(text, CSV_COLUMNS_MAX);
        let delimiter = json!({"type": "string", "minLength": 1, "maxLength": 1});
        let between = "What stands between cells; a comma if absent.";
        let time = "The time where no one column has it as RFC 3339.";
        let id = "The id where no one column has it. Row numbers repeat in the next file, so they \
            need a prefix or a column.";
        let referred = |name: &str| json!({"$ref": format!("#/components/schemas/{name}")});
        members([
            ("name", called()),
            ("delimiter", about(delimiter, between)),
            ("decimal_mark", word("DecimalMark")),
            ("columns", about(columns, CSV_COLUMNS)),
            ("optional", cells("Those of `columns` that a file need not have.")),
            ("ignored", cells("Columns that are left alone.")),
            ("values", about(by_column, CSV_VALUES)),
            ("absent", cells("Texts that say no more than an empty cell.")),
            ("time", about(referred("CsvTime"), time)),
            ("row_id", about(referred("CsvId"), id)),
            ("set", json!({"type": "object", "description": CSV_SET})),
        ])
    }
}

fn bearing(what: &str) -> Value {
    number(BEARING_DEG, what)
}

impl Documented for Context {
    const NAME: &'static str = "Context";
    const ABOUT: &'static str = "What a source's shots inherit from now on.";

    fn members() -> Map<String, Value> {
        let club =
            "With which club; inherited only with this player, or when the event names them.";
        members([
            ("player", about(name(), "Who hits.")),
            ("club", about(name(), club)),
            ("lie", word("Lie")),
            ("ball", about(name(), "With which ball.")),
            ("place", word("Place")),
            ("target_bearing_deg", bearing("Where the target line points, degrees from north.")),
            ("altitude_m", number(ALTITUDE_M, "The height above the sea, metres.")),
            ("altitude_ft", unit(units::FT, ALTITUDE_M, "altitude_m")),
        ])
    }
}
