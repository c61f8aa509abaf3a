//! Scripts of Python against the service: an independent CloudEvents SDK, and parsers for the
//! examples that no interpreter runs here.

use std::{
    ffi::OsStr,
    path::{Path, PathBuf},
    time::Duration,
};

use crate::{
    python::{finish, program, told},
    service::Service,
};

const PATIENCE: Duration = Duration::from_mins(2);

fn run(script: &str, argument: impl AsRef<OsStr>) {
    let script = root().join("tests/clients").join(script);
    let mut python = program("python");
    python.env("PYTHONDONTWRITEBYTECODE", "1").arg(&script).arg(argument);
    let ran = finish("python", &mut python, PATIENCE);
    assert!(ran.status.success() && told(&ran).contains("all of it"), "{}", told(&ran));
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

#[test]
fn envelopes_of_an_independent_sdk_are_taken() {
    let service = Service::start();
    run("envelopes.py", &service.url);
}

#[test]
fn the_examples_that_are_not_run_are_well_formed() {
    run("examples.py", root().join("api-spec/examples"));
}
