//! Corrections, assignments and retirements in the description. Their parsers are in `shot`; a test of the API
//! holds both together.

use serde_json::{Map, Value, json};
use utoipa::openapi::{Ref, RefOr, Schema};

use super::members::{about, closed, members, moment, name, or_null, text, truth, word};
use crate::{
    api::endpoint::Components,
    shot::{LAST_MAX, Text},
};

/// A context as it comes back.
pub(in crate::api) fn context_entry(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("ContextEntry").into()
}

/// What may be sent as a correction.
pub(in crate::api) fn correction(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("Correction").into()
}

/// What was corrected of a shot.
pub(in crate::api) fn corrected() -> RefOr<Schema> {
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

/// The schemas of all acts.
pub(super) fn schemas() -> Map<String, Value> {
    members([
        ("Correction", about(closed(&patched(), &[]), CORRECTION)),
        ("CorrectedIntent", about(closed(&intent(), &[]), "What was meant, member by member.")),
        ("SettingAside", about(closed(&aside(), &["reason"]), "That a shot does not count.")),
        ("Assignment", assigned()),
        ("Retirement", retired()),
        ("ShotFilter", filter()),
    ])
}

const CORRECTION: &str = "A correction of what is effective of a shot (JSON Merge Patch, RFC 7396): a \
    member that is set wins over what was sent or inherited, null lifts an earlier correction, and \
    absent members stay as they are.";

fn referred(schema: &str) -> Value {
    json!({"$ref": format!("#/components/schemas/{schema}")})
}

fn intent() -> Map<String, Value> {
    members([
        ("height", about(or_null(word("Height")), "The flight's height that was meant.")),
        ("shape", about(or_null(word("Shape")), "The curve that was meant.")),
        ("swing", about(or_null(word("Swing")), "How much of a swing was meant.")),
    ])
}

fn aside() -> Map<String, Value> {
    members([("reason", text(Text::Reason, "Why, in the words of who sets it aside."))])
}

fn patched() -> Map<String, Value> {
    let intent =
        about(or_null(referred("CorrectedIntent")), "What was meant; null lifts it whole.");
    let aside = "That the shot does not count, and why; null lets it count again.";
    members([
        ("player", about(or_null(name()), "Who hit it.")),
        ("club", about(or_null(name()), "With which club.")),
        ("session", about(or_null(name()), "In which visit.")),
        ("lie", about(or_null(word("Lie")), "From what surface.")),
        ("intent", intent),
        ("purpose", about(or_null(word("Purpose")), "What for.")),
        ("ball", about(or_null(name()), "With which ball.")),
        ("wet", about(or_null(truth()), "Whether ball or face was wet.")),
        ("place", about(or_null(word("Place")), "Where.")),
        ("set_aside", about(or_null(referred("SettingAside")), aside)),
    ])
}

fn assigned() -> Value {
    let mut set = about(referred("Correction"), "What to set: one member at least.");
    set["minProperties"] = json!(1);
    let assignment = members([
        ("filter", about(referred("ShotFilter"), "Which shots.")),
        ("set", set),
        ("dry_run", about(truth(), "Whether only to count what it would change.")),
    ]);
    about(closed(&assignment, &["filter", "set"]), "A correction of all shots that a filter finds.")
}

fn retired() -> Value {
    let retirement = members([
        ("filter", about(referred("ShotFilter"), "Which shots.")),
        ("dry_run", about(truth(), "Whether only to count them.")),
    ]);
    let retirement = closed(&retirement, &["filter"]);
    about(retirement, "A retirement of all shots that a filter finds: their content goes.")
}

fn filter() -> Value {
    let zone = json!({"type": "string"});
    let last = json!({"type": "integer", "minimum": 1, "maximum": LAST_MAX});
    let newest = "Of those that pass all else, the last so many in sequence order.";
    let filter = members([
        ("player", about(name(), "Of this player.")),
        ("club", about(name(), "With this club.")),
        ("session", about(name(), "Of this visit.")),
        ("lie", about(word("Lie"), "From this surface.")),
        ("height", about(word("Height"), "Meant to fly so high.")),
        ("shape", about(word("Shape"), "Meant to curve so.")),
        ("swing", about(word("Swing"), "Meant as this much of a swing.")),
        ("purpose", about(word("Purpose"), "Hit for this.")),
        ("ball", about(name(), "With this ball.")),
        ("source", about(name(), "Of this source.")),
        ("id", about(name(), "Of this id within its source, which is needed beside it.")),
        ("flag", about(word("Flag"), "With this flag.")),
        (
            "from",
            about(moment(), "Hit at this instant or later, or from the beginning of this day."),
        ),
        ("to", about(moment(), "Hit before this instant, or before the beginning of this day.")),
        (
            "zone",
            about(zone, "Where the days of `from` and `to` begin, by its IANA name; else UTC."),
        ),
        ("unassigned", about(truth(), "Without (true) or with (false) a player and a club.")),
        ("last", about(last, newest)),
    ]);
    let mut filter = closed(&filter, &[]);
    filter["minProperties"] = json!(1);
    filter["dependentRequired"] = json!({"id": ["source"]});
    // A zone alone chooses nothing.
    filter["dependentSchemas"] = json!({"zone": {"minProperties": 2}});
    about(filter, "Which shots, by what is effective for them: those that pass every member.")
}
