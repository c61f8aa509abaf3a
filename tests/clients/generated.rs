//! A client that openapi-python-client (an independent generator) makes of the published description
//! works: it sends, corrects and asks, with typed members.

use std::{path::Path, time::Duration};

use crate::{
    python::{finish, program, told},
    service::Service,
};

const PATIENCE: Duration = Duration::from_mins(3);

#[test]
fn a_generated_client_sends_assigns_and_reads_a_verdict() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let package = folder.path().join("client");
    let mut generate = program("openapi-python-client");
    generate.args(["generate", "--path"]).arg(root.join("api-spec/openapi.json"));
    generate.arg("--config").arg(root.join("api-spec/client-generator.yaml"));
    generate.arg("--output-path").arg(&package);
    let generated = finish("openapi-python-client", &mut generate, PATIENCE);
    assert!(generated.status.success(), "{}", told(&generated));
    let service = Service::start();
    let mut script = program("python");
    script.arg(root.join("tests/clients/generated.py")).arg(&service.url).arg(&package);
    let ran = finish("generated.py", &mut script, PATIENCE);
    assert!(ran.status.success() && told(&ran).contains("all of it"), "{}", told(&ran));
}
