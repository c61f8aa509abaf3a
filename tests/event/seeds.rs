//! The seeds of the fuzz target, so that what it checks holds in every run of the tests.

use std::{fs, path::Path};

#[path = "../fuzz/checks/event.rs"]
mod check;

#[test]
fn every_seed_holds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus/event");
    let mut taken = 0;
    for seed in fs::read_dir(folder).unwrap() {
        let text = fs::read(seed.unwrap().path()).unwrap();
        check::event(&text);
        taken += usize::from(evencarry::shot::parse(&text).is_ok());
    }
    assert!(taken >= 3, "only {taken} seeds are events");
}
