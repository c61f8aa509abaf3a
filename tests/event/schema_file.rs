//! The published schema file is the one that the code makes.

use evencarry::shot::schema::shot_event;

#[test]
fn the_schema_file_is_what_the_code_makes() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/api-spec/shot-event.schema.json");
    let made = format!("{:#}\n", shot_event());
    if std::env::var_os("RENEW_SCHEMA").is_some() {
        std::fs::write(path, &made).unwrap();
    }
    let published = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        published == made,
        "api-spec/shot-event.schema.json is not what the code makes; if the change is meant, renew \
         it: RENEW_SCHEMA=1 cargo test --test event schema_file"
    );
}

#[test]
fn the_schema_is_a_schema_of_its_dialect() {
    assert!(jsonschema::meta::is_valid(&shot_event()));
}

#[test]
fn the_schema_keeps_one_type_at_its_root() {
    let schema = shot_event();
    assert_eq!(schema["type"], "object");
    assert!(schema.get("anyOf").is_none() && schema.get("oneOf").is_none());
}

#[test]
fn the_schema_stays_small() {
    // Linear in the spellings: a product of alternatives would be ten times this.
    let size = shot_event().to_string().len();
    assert!(size < 16 * 1024, "{size} bytes");
}
