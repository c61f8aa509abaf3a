//! The seeds of the fuzz targets, so that what they check holds in every run of the tests.

use std::{fs, path::Path};

use evencarry::shot::{CsvMapping, parse, parse_envelope};

#[path = "../fuzz/checks/envelope.rs"]
mod enveloped;
#[path = "../fuzz/checks/event.rs"]
mod plain;
#[path = "../fuzz/checks/table.rs"]
mod tabled;

/// Runs every seed of a target; how many are taken.
fn run(target: &str, check: fn(&[u8]), taken: fn(&[u8]) -> bool) -> usize {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(target);
    let seeds = fs::read_dir(folder).unwrap().map(|seed| fs::read(seed.unwrap().path()).unwrap());
    seeds.inspect(|seed| check(seed)).filter(|seed| taken(seed)).count()
}

/// Whether the first line of a seed is a mapping.
fn has_a_mapping(seed: &[u8]) -> bool {
    let line = seed.split(|byte| *byte == b'\n').next().unwrap_or_default();
    CsvMapping::from_json(line).is_ok()
}

#[test]
fn every_seed_holds() {
    assert!(run("event", plain::event, |seed| parse(seed).is_ok()) >= 3);
    assert!(run("envelope", enveloped::envelope, |seed| parse_envelope(seed).is_ok()) >= 3);
    assert!(run("table", tabled::table, has_a_mapping) >= 2);
}
