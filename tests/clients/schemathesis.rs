//! schemathesis (an independent tool) holds the service against the published description: bodies
//! and parameters as described and not as described, and chains of requests along the links.

use std::{path::Path, time::Duration};

use crate::{
    python::{finish, program, told},
    service::Service,
};

/// Runs it on the published description, with all its checks.
fn run(more: &[&str], patience: Duration) {
    let service = Service::start();
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clients");
    let mut schemathesis = program("schemathesis");
    schemathesis.current_dir(&here).env("PYTHONPATH", &here).env("PYTHONDONTWRITEBYTECODE", "1");
    schemathesis.args(["--config-file", "schemathesis.toml", "run", "../../api-spec/openapi.json"]);
    schemathesis.args(["--url", &service.url, "--seed", "1", "--no-color"]);
    schemathesis.args(["--generation-database", "none"]).args(more);
    let output = finish("schemathesis", &mut schemathesis, patience);
    assert!(output.status.success(), "{}", told(&output));
    assert!(told(&output).contains("Tested: "), "{}", told(&output));
}

#[test]
fn schemathesis_finds_nothing() {
    run(&["--phases", "examples,fuzzing,stateful", "--max-examples", "4"], Duration::from_mins(3));
}

#[test]
#[ignore = "takes many minutes: thousands of cases, also of the values at every bound"]
fn schemathesis_finds_nothing_in_the_long_run() {
    run(&["--max-examples", "60"], Duration::from_mins(60));
}
