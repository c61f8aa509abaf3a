//! The shapes of events, and the description of a stream of them.

use serde::Serialize;
use serde_json::{Value, json, value::RawValue};
use utoipa::{
    ToSchema,
    openapi::{
        RefOr, Schema,
        schema::{ObjectBuilder, Type},
    },
};

use crate::{
    api::{
        endpoint::{Components, shape},
        items::Item,
    },
    live::feed::End,
    shot::{PlayerId, Sequence, TrialId},
};

/// An act on shots.
#[derive(Serialize, ToSchema)]
pub(super) struct LiveCorrection<'a> {
    /// The act's place in the one order.
    pub(super) sequence: Sequence,
    /// What was done: `correct`, `assign`, `erase_shot`, `erase_player` or `retire`.
    pub(super) act: &'static str,
    /// Shots that this stream follows, as they are shown now.
    #[schema(value_type = Vec<Item<'static>>)]
    pub(super) shots: Vec<&'a RawValue>,
    /// Shots that this stream may have told of, and that are not to be shown any more: their content
    /// is gone, or they may have become another's. By their sequences.
    pub(super) left: Vec<Sequence>,
    /// Whether more was changed than is told here: who shows shots asks for them anew.
    pub(super) more: bool,
}

/// The last event of a stream that is ended by the service.
#[derive(Serialize, ToSchema)]
pub(super) struct LiveCut {
    /// Why: `slow`, `stopping` or `failed`.
    reason: &'static str,
    /// The same in a sentence.
    detail: &'static str,
    /// The sequence from which to go on, as `after` or `Last-Event-ID`.
    after: Sequence,
}

impl LiveCut {
    pub(super) fn of(end: End, after: Sequence) -> Self {
        let (reason, detail) = match end {
            End::Slow => (
                "slow",
                "the reader left too many events waiting: read faster, or follow less, and go on from \
                 `after`",
            ),
            End::Stopping => ("stopping", "the service stops: go on from `after` when it is back"),
            End::Failed => (
                "failed",
                "what happened could not be told, for a reason that the service's log gives: go on from \
                 `after`",
            ),
        };
        Self { reason, detail, after }
    }
}

/// Told first where a stream was to go on from a place that there is not.
#[derive(Serialize, ToSchema)]
pub(super) struct LiveReset {
    /// Why.
    pub(super) detail: &'static str,
    /// The sequence from which this stream goes on: what came before is asked for anew.
    pub(super) after: Sequence,
}

/// A trial that was taken out.
#[derive(Serialize, ToSchema)]
pub(super) struct LiveTrialRemoved<'a> {
    /// Its id.
    pub(super) id: &'a TrialId,
    /// Whose it was.
    pub(super) player: &'a PlayerId,
    /// The last sequence that touched the player.
    pub(super) as_of: Sequence,
    /// Always `removed`.
    pub(super) state: &'static str,
}

/// A text; the events' shapes are among the components.
pub(super) fn components(components: &mut Components) -> RefOr<Schema> {
    shape::<Item<'static>>(components);
    shape::<LiveCorrection<'static>>(components);
    shape::<LiveCut>(components);
    shape::<LiveReset>(components);
    shape::<LiveTrialRemoved<'static>>(components);
    RefOr::T(ObjectBuilder::new().schema_type(Type::String).into())
}

/// The kinds of events and the schemas of their data, any of several.
const EVENTS: &[(&str, &[&str])] = &[
    ("shot", &["StoredShot"]),
    ("correction", &["LiveCorrection"]),
    ("profile", &["Profile"]),
    ("verdict", &["Replacements"]),
    ("trial", &["TrialStanding", "LiveTrialRemoved"]),
    ("drift", &["Drifts"]),
    ("cut", &["LiveCut"]),
    ("reset", &["LiveReset"]),
];

/// The schema of a stream: a text, with what its events hold. No type is given, since checkers hold each
/// event against it too, as an object.
pub(in crate::api) fn schema() -> Value {
    let of = |data: &&str| json!({"$ref": format!("#/components/schemas/{data}")});
    let events = EVENTS.iter().map(|(kind, data)| {
        let shape = match data {
            [data] => of(data),
            several => json!({"oneOf": several.iter().map(of).collect::<Vec<_>>()}),
        };
        ((*kind).to_owned(), shape)
    });
    json!({
        "contentMediaType": "text/event-stream",
        "description": "Server-Sent Events (HTML Standard, 9.2). The data of each is one line of JSON, \
                        by the event's name as `x-events` says.",
        "x-events": events.collect::<serde_json::Map<_, _>>(),
    })
}
