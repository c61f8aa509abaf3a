//! What opens and changes a trial, in the description. The parsers are in `shot`; a test of the API
//! holds both together.

use serde_json::{Map, Value, json};
use utoipa::openapi::{Ref, RefOr, Schema};

use super::members::{
    about, closed, list_of, members, moment, name, number, or_null, text, title, unit, word,
};
use crate::{
    api::endpoint::Components,
    shot::{
        BLOCK_SHOTS, BLOCK_SHOTS_USUAL, BRIEF_FIGURES, CANDIDATES_MAX, FLOOR_COMPUTED, Text,
        VISIT_SHOTS, VISIT_SHOTS_USUAL, units,
    },
};

/// What may be sent to open a trial.
pub(in crate::api) fn trial(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("Trial").into()
}

/// What may be sent to change one.
pub(in crate::api) fn trial_patch(_: &mut Components) -> RefOr<Schema> {
    Ref::from_schema_name("TrialPatch").into()
}

/// The schemas of both.
pub(super) fn schemas() -> Map<String, Value> {
    members([("Trial", opened()), ("StatedBrief", brief()), ("TrialPatch", patched())])
}

fn opened() -> Value {
    let mut candidates = list_of(&name());
    candidates["minItems"] = json!(1);
    candidates["maxItems"] = json!(CANDIDATES_MAX);
    candidates["uniqueItems"] = json!(true);
    let mut lies = list_of(&word("Lie"));
    lies["uniqueItems"] = json!(true);
    let brief = json!({"$ref": "#/components/schemas/StatedBrief"});
    let trial = members([
        ("name", title("What it is called.")),
        ("incumbent", about(name(), "The club whose place is wanted.")),
        ("candidates", about(candidates, "The clubs that are tried.")),
        ("brief", about(brief, "What they must do; as usual unless stated.")),
        ("lies", about(lies, "The lies to hit from, in turn; whichever unless stated.")),
        ("ball", about(name(), "The ball to hit; whichever unless stated.")),
        (
            "visit_shots",
            whole(
                (VISIT_SHOTS, VISIT_SHOTS_USUAL),
                "The most shots of a visit; each club is hit twice at least.",
            ),
        ),
        (
            "block_shots",
            whole(
                (BLOCK_SHOTS, BLOCK_SHOTS_USUAL),
                "The most shots in a row with one club within a round.",
            ),
        ),
        ("notes", text(Text::Notes, "Anything.")),
    ]);
    let trial = closed(&trial, &["incumbent", "candidates"]);
    about(trial, "A head-to-head: who shall take whose place, what they must do, how they are hit.")
}

fn whole(((low, high), usual): ((u32, u32), u32), what: &str) -> Value {
    json!({
        "type": "integer", "minimum": low, "maximum": high, "default": usual, "description": what,
    })
}

fn brief() -> Value {
    let mut brief = Map::new();
    for figure in BRIEF_FIGURES {
        let kept = units::spellings(figure.base, figure.dimension).next().unwrap_or_default();
        let spelt = units::spellings(figure.base, figure.dimension);
        for (of, spelling) in figure.dimension.units().iter().zip(spelt) {
            let schema = if spelling == kept {
                number((0.0, figure.high), figure.about)
            } else {
                unit(*of, (0.0, figure.high), &kept)
            };
            brief.insert(spelling, schema);
        }
    }
    let zone = json!({"type": "string"});
    brief.extend(members([
        (FLOOR_COMPUTED.0, about(json!({"type": "boolean"}), FLOOR_COMPUTED.1)),
        ("lie", about(word("Lie"), "Only shots from this lie.")),
        ("ball", about(name(), "Only shots with this ball.")),
        ("height", about(word("Height"), "Shots meant so high; stock unless given.")),
        ("shape", about(word("Shape"), "Shots meant to curve so; straight unless given.")),
        ("from", about(moment(), "Only shots hit at this instant or later.")),
        ("to", about(moment(), "Only shots hit before this instant.")),
        (
            "zone",
            about(zone, "Where the days of `from` and `to` begin, by its IANA name; else UTC."),
        ),
    ]));
    about(closed(&brief, &[]), "What a club must do that shall take another's place, as stated.")
}

fn patched() -> Value {
    let reason = "Why the state changes, in the words of who changes it; with `state` only.";
    let patch = members([
        ("state", about(word("TrialState"), "How it stands from now on.")),
        ("reason", text(Text::Reason, reason)),
        ("name", or_null(title("What it is called; null takes that away."))),
        ("notes", or_null(text(Text::Notes, "Anything; null takes it away."))),
    ]);
    let mut patch = closed(&patch, &[]);
    patch["dependentRequired"] = json!({"reason": ["state"]});
    about(
        patch,
        "A change of a trial (JSON Merge Patch, RFC 7396). What was fixed at the opening stays.",
    )
}
