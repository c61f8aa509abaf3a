//! schemathesis (an independent tool) holds the service against the published description: bodies
//! and parameters as described and not as described, and chains of requests along the links.

use std::{path::Path, time::Duration};

use crate::{
    python::{finish, program, told},
    service::Service,
};

const PATIENCE: Duration = Duration::from_mins(3);

/// Runs it on the published description, with all its checks; gives what it tells.
fn run(more: &[&str], patience: Duration) -> String {
    let service = Service::start();
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clients");
    let mut schemathesis = program("schemathesis");
    schemathesis.current_dir(&here).env("PYTHONPATH", &here).env("PYTHONDONTWRITEBYTECODE", "1");
    schemathesis.args(["--config-file", "schemathesis.toml", "run", "../../api-spec/openapi.json"]);
    schemathesis.args(["--url", &service.url, "--seed", "1", "--no-color"]);
    schemathesis.args(["--generation-database", "none"]).args(more);
    let output = finish("schemathesis", &mut schemathesis, patience);
    assert!(output.status.success(), "{}", told(&output));
    told(&output)
}

/// How many links between operations were followed.
fn links(report: &str) -> usize {
    let covered = report.split("API Links:").nth(1).and_then(|rest| rest.split_whitespace().next());
    covered.and_then(|number| number.parse().ok()).unwrap_or_else(|| panic!("{report}"))
}

/// How many requests were made up and sent.
fn cases(report: &str) -> usize {
    let told = report.split("Test cases:").nth(1).and_then(|rest| rest.split_whitespace().next());
    let number = told.map(|number| number.replace(',', "").parse());
    number.and_then(Result::ok).unwrap_or_else(|| panic!("{report}"))
}

#[test]
fn schemathesis_finds_nothing() {
    let report = run(&["--phases", "examples,fuzzing", "--max-examples", "4"], PATIENCE);
    assert!(report.contains("Tested: "), "{report}");
}

#[test]
fn what_was_put_can_be_followed_until_it_is_removed() {
    // Beside shots, whose links lead to few others, it would seldom choose the catalogue; and a trial needs
    // a player who has clubs: it would try little but to open some in vain.
    let catalogue = ["--include-tag", "players", "--include-tag", "balls"];
    let no_trials = ["--exclude-operation-id", "openTrial"];
    let chains = ["--phases", "stateful", "--max-examples", "200"];
    let report = run(&[&chains[..], &catalogue, &no_trials].concat(), PATIENCE);
    // How many it chooses differs from run to run.
    assert!(links(&report) >= 4, "{report}");
}

#[test]
#[ignore = "takes some minutes: thousands of cases, also of the values at every bound"]
fn schemathesis_finds_nothing_in_the_long_run() {
    let report = run(&["--max-examples", "60"], Duration::from_hours(1));
    assert!(cases(&report) >= 2_000, "{report}");
    eprintln!("{} cases, {} links", cases(&report), links(&report));
}
