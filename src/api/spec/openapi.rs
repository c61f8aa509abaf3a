//! The rows of the endpoints as one description, OpenAPI 3.1.

use serde_json::{Map, Value, json};
use utoipa::ToSchema;

use super::{acts, documents, examples, flights, imperial, operation, responses, schemas, trials};
use crate::{
    api::{
        endpoint::{Components, shape},
        limits::Limits,
        problem::ProblemBody,
        progress::Refusal,
        routes,
    },
    bag::{Interval, MetricSummary, schemas_by_metric},
    shot::{
        self, Adjustment, BallKind, ClubKind, DecimalMark, Flags, FlightOrigin, Ground, Hand,
        Height, Lie, Place, Purpose, Sequence, Shape, SpeedOrigin, SpinOrigin, Swing, TrialState,
    },
};

const ABOUT: &str = "Takes golf shots, keeps them, and says which club can take another's place. \
    Every field that holds a quantity ends in its unit; answers are in SI unless asked \
    otherwise. A success of a write means that it is on the disk. Every refusal is a problem (RFC \
    9457) that names what is wrong and the mend. `as_of` is the last sequence that touched what an \
    answer is about.";

/// What each group of operations is about.
const TAGS: &[(&str, &str)] = &[
    (
        "flights",
        "Launches flown in given air, wind and ground: estimates, never for designing nets, screens, \
         fences or safe distances.",
    ),
    ("assignments", "Many shots corrected at once."),
    ("balls", "The balls of the catalogue."),
    ("csv-mappings", "How the columns of CSV tables become events."),
    ("export", "Everything, or one player's, out."),
    ("import", "An export, in again."),
    ("live", "What happens, as it happens."),
    ("players", "Players, their clubs and bags, and what is asked about them."),
    ("retirements", "The content of shots let go after its time."),
    ("service", "Whether the service runs, and what describes it."),
    ("shots", "Shots in, corrected, and out again."),
    ("sources", "Sources of shots, and what their shots inherit."),
];

/// The description of the API of a service with these limits.
pub(super) fn describe(limits: &Limits) -> Value {
    let mut components = Components::new();
    let paths = paths(&mut components);
    add_shared(&mut components);
    let mut api = json!({
        "openapi": "3.1.0",
        "info": info(),
        "servers": [{"url": "/", "description": "The service that gives this description."}],
        "tags": TAGS.iter().map(|(name, what)| json!({"name": name, "description": what}))
            .collect::<Vec<_>>(),
        "paths": paths,
        "components": {"schemas": all_schemas(components, limits), "responses": responses::refusals()},
    });
    imperial::add_twins(&mut api);
    api
}

fn info() -> Value {
    json!({
        "title": "Evencarry",
        "version": env!("CARGO_PKG_VERSION"),
        "summary": "Finds the club that can replace another, from measured shots.",
        "description": ABOUT,
        "license": {"name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0"},
    })
}

/// The group of a path: what it starts with.
pub(super) fn tag(path: &str) -> &str {
    let versioned = path.strip_prefix("/v1/");
    versioned.map_or("service", |rest| rest.split('/').next().unwrap_or_default())
}

fn paths(components: &mut Components) -> Value {
    let mut paths = Map::new();
    for endpoint in routes::endpoints() {
        let described = operation::describe(endpoint, components);
        let item = paths.entry(endpoint.path).or_insert_with(|| json!({}));
        item[endpoint.verb.described()] = described;
    }
    for item in paths.values_mut() {
        examples::add(item);
    }
    paths.into()
}

/// What hand-written schemas and refusals refer to.
fn add_shared(components: &mut Components) {
    fn add<T: ToSchema>(components: &mut Components) {
        shape::<T>(components);
    }
    let shared = [
        add::<ProblemBody<'static>>,
        add::<Refusal>,
        add::<MetricSummary>,
        add::<Interval>,
        add::<Sequence>,
        add::<Flags>,
        add::<Adjustment>,
        add::<BallKind>,
        add::<ClubKind>,
        add::<DecimalMark>,
        add::<FlightOrigin>,
        add::<Ground>,
        add::<Hand>,
        add::<Height>,
        add::<Lie>,
        add::<Place>,
        add::<Purpose>,
        add::<Shape>,
        add::<SpeedOrigin>,
        add::<SpinOrigin>,
        add::<Swing>,
        add::<TrialState>,
    ];
    for add in shared {
        add(components);
    }
    components.extend(schemas_by_metric().map(|(name, schema)| (name.to_owned(), schema)));
}

fn all_schemas(components: Components, limits: &Limits) -> Map<String, Value> {
    let mut all: Map<String, Value> =
        components.into_iter().map(|(name, schema)| (name, schemas::json(&schema))).collect();
    schemas::let_problems_tell_progress(&mut all);
    all.extend(documents::schemas());
    all.extend(acts::schemas());
    all.extend(flights::schemas(limits));
    all.extend(trials::schemas());
    all.extend(schemas::moved("ShotEvent", shot::schema::shot_event()));
    all.extend(schemas::moved("CloudEvent", shot::schema::cloud_event()));
    all.insert("PageItems".into(), page_items(limits));
    all.insert("Wait".into(), wait(limits));
    all
}

fn wait(limits: &Limits) -> Value {
    json!({
        "description": "How many seconds an answer may wait.",
        "type": "integer",
        "minimum": 1,
        "maximum": limits.wait_time.as_secs(),
    })
}

fn page_items(limits: &Limits) -> Value {
    json!({
        "description": "How many items a page holds.",
        "type": "integer",
        "minimum": 1,
        "maximum": limits.page_items,
        "default": limits.page_items_usual,
    })
}
