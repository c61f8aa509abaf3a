//! The description of the API: the published file is the running one, and answers are as it says.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::support::{Running, described, shot};

fn spec(service: &Running) -> Value {
    service.get("/openapi.json").json()
}

#[test]
fn the_published_description_is_what_the_service_gives() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/api-spec/openapi.json");
    let given = Running::start().get("/openapi.json").text().to_owned();
    if std::env::var_os("RENEW_SPEC").is_some() {
        std::fs::write(path, &given).unwrap();
    }
    let published = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        published == given,
        "api-spec/openapi.json is not what the service gives; if the change is meant, renew it: \
         RENEW_SPEC=1 cargo test --test http the_published_description"
    );
}

#[test]
fn the_given_schema_of_the_event_is_the_published_one() {
    let answer = Running::start().get("/schemas/shot-event.json");
    assert_eq!(answer.header("content-type"), Some("application/schema+json"));
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/api-spec/shot-event.schema.json");
    assert_eq!(answer.text(), std::fs::read_to_string(path).unwrap());
}

fn references(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => {
            if let Some(Value::String(reference)) = members.get("$ref") {
                found.insert(reference.clone());
            }
            members.values().for_each(|member| references(member, found));
        }
        Value::Array(items) => items.iter().for_each(|item| references(item, found)),
        _ => {}
    }
}

#[test]
fn everything_the_description_refers_to_is_in_it() {
    let spec = spec(&Running::start());
    assert_eq!(spec["openapi"], "3.1.0");
    let mut found = BTreeSet::new();
    references(&spec, &mut found);
    assert!(found.len() > 20);
    for reference in found {
        let pointer = reference.strip_prefix('#').unwrap();
        assert!(spec.pointer(pointer).is_some(), "{reference} leads nowhere");
    }
}

#[test]
fn answers_are_as_described() {
    // The client of these tests holds every answer against the description.
    let service = Running::start();
    let player = json!({"name": "Rowan", "hand": "left", "notes": ""});
    let club = json!({"name": "5-hybrid", "kind": "hybrid", "loft_deg": 25, "length_yd": 1.08,
        "demo": true, "ratings": {"look": 4}, "builds": [{"from": "2026-03-01", "what": "regripped"}]});
    let source = json!({"name": "Bay 3", "place": "indoor", "altitude_ft": 4850, "zone": "Europe/Madrid",
        "adjusted_for": ["air"]});
    let (one, other) = (shot("1"), shot("2"));
    let sent = [
        ("PUT", "/v1/players/rowan", player.to_string()),
        ("PUT", "/v1/players/rowan/clubs/5h", club.to_string()),
        ("PUT", "/v1/players/rowan/bags/b", json!({"name": "B", "clubs": ["5h"]}).to_string()),
        ("PUT", "/v1/balls/b", json!({"name": "B", "kind": "range"}).to_string()),
        ("PUT", "/v1/sources/bay-3", source.to_string()),
        ("PUT", "/v1/sources/bay-3/context", json!({"lie": "mat"}).to_string()),
        ("POST", "/v1/shots", one.clone()),
        ("POST", "/v1/shots", one.clone()),
        ("POST", "/v1/shots", one.replace("158.3", "1.3")),
        ("POST", "/v1/shots", format!("[{other},7]")),
        ("POST", "/v1/shots?all_or_nothing=true", format!("[{other},7]")),
        ("POST", "/v1/shots", String::from("{")),
        (
            "PATCH",
            "/v1/shots/bay-3/1",
            json!({"intent": {"height": "low"}, "set_aside": {"reason": "x"}}).to_string(),
        ),
        (
            "POST",
            "/v1/assignments",
            json!({"filter": {"source": "bay-3"}, "set": {"lie": "tee"}}).to_string(),
        ),
        (
            "POST",
            "/v1/retirements",
            json!({"filter": {"source": "bay-3"}, "dry_run": true}).to_string(),
        ),
    ];
    for (method, at, body) in sent {
        service.send(method, at, &body);
    }
    for at in [
        "/healthz",
        "/readyz",
        "/v1/shots?limit=1",
        "/v1/shots?limit=0",
        "/v1/shots/bay-3/1",
        "/v1/shots/bay-3/none",
        "/v1/players",
        "/v1/players/rowan",
        "/v1/players/rowan/clubs",
        "/v1/players/rowan/clubs/5h",
        "/v1/players/rowan/bags",
        "/v1/balls",
        "/v1/sources",
        "/v1/sources/bay-3/context",
        "/v1/players/rowan/clubs/5h/profile",
        "/v1/players/rowan/ladder?bag=b",
        "/v1/players/rowan/ladder",
    ] {
        service.get(at);
    }
    service.send("POST", "/v1/shots", &shot("3").replace("5h", "4i"));
    service.get("/v1/players/rowan/comparisons?incumbent=4i&candidate=5h");
    for more in [
        "",
        "&candidate=5h",
        "&candidate=5h&must_carry_m=100&slot_low_m=150&slot_high_m=170&descent_floor_deg=40",
    ] {
        let place = service.get(&format!("/v1/players/rowan/replacements?incumbent=4i{more}"));
        assert_eq!(place.status, 200, "{more}");
    }
}

#[test]
fn answers_about_tables_are_as_described() {
    let service = Running::start();
    let mapping = json!({
        "name": "x", "columns": {"a": "/id", "b": "/time", "c": "/flight/carry_m"},
        "set": {"source": "bay-3", "ext": {"x": 1.5}}
    });
    let at = "/v1/csv-mappings/export";
    service.send("PUT", at, &mapping.to_string());
    service.get(at);
    service.get("/v1/csv-mappings");
    for query in ["&dry_run=true", ""] {
        let path = format!("/v1/shots?mapping=export{query}");
        let table = b"a,b,c\n9,2026-04-11T10:15:04Z,150\n10,x,150\n";
        let answer = service.send_as("text/csv", "POST", &path, table);
        assert_eq!(answer.status, 200, "{path}");
    }
}

#[test]
fn described_documents_are_taken_and_others_are_not() {
    let service = Running::start();
    let valid = |name: &str, document: &Value| {
        let schema = json!({"$ref": format!("#/components/schemas/{name}")});
        described::validator(&schema).is_valid(document)
    };
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    for (name, path, document) in [
        ("Player", "/v1/players/x", json!({"name": "x", "hand": "right"})),
        ("Player", "/v1/players/x", json!({"hand": "right"})),
        ("Player", "/v1/players/x", json!({"name": "", "hand": "both"})),
        ("Player", "/v1/players/x", json!({"name": "x", "handicap": 3})),
        ("Club", "/v1/players/rowan/clubs/x", json!({"name": "x", "loft_deg": 81})),
        (
            "Club",
            "/v1/players/rowan/clubs/x",
            json!({"name": "x", "loft_deg": 80, "length_yd": 1.0}),
        ),
        ("Club", "/v1/players/rowan/clubs/x", json!({"name": "x", "ratings": {"look": 6}})),
        (
            "Club",
            "/v1/players/rowan/clubs/x",
            json!({"name": "x", "ratings": {}, "builds": [{"what": "x"}]}),
        ),
        ("Ball", "/v1/balls/x", json!({"name": "x", "kind": "limited_flight", "batch": "B"})),
        ("Ball", "/v1/balls/x", json!({"name": "x", "kind": "square"})),
        ("Source", "/v1/sources/x", json!({"name": "x", "altitude_m": 6_001})),
        (
            "Source",
            "/v1/sources/x",
            json!({"name": "x", "altitude_m": 6_000, "target_bearing_deg": 360}),
        ),
        ("Source", "/v1/sources/x", json!({"name": "x", "adjusted_for": ["air", "air"]})),
        ("Context", "/v1/sources/x/context", json!({"player": "rowan", "club": "5h"})),
        ("Context", "/v1/sources/x/context", json!({"name": "x"})),
        (
            "CsvMapping",
            "/v1/csv-mappings/x",
            json!({"name": "x", "columns": {"a": "/id", "c": "/flight/carry_m"}, "optional": ["a"],
                   "time": {"columns": ["d"], "format": "%Y-%m-%d %H:%M", "zone": "Europe/Madrid"},
                   "decimal_mark": ",", "delimiter": ";", "set": {"source": "bay-3"}}),
        ),
        ("CsvMapping", "/v1/csv-mappings/x", json!({"name": "x"})),
        ("CsvMapping", "/v1/csv-mappings/x", json!({"name": "x", "columns": {"a": 1}})),
        ("CsvMapping", "/v1/csv-mappings/x", json!({"name": "x", "columns": {}, "separator": ";"})),
    ] {
        let taken = service.send("PUT", path, &document.to_string()).status < 300;
        assert_eq!(taken, valid(name, &document), "{name} {document}");
    }
}
