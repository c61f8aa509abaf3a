//! What stands in `deploy/` agrees with the program: settings, flags, codes, files.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod container;
mod sample;
mod unit;

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

/// The root of the sources.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A file of `deploy/`.
fn deployed(name: &str) -> String {
    fs::read_to_string(root().join("deploy").join(name)).unwrap()
}

/// What a program run said: its code, standard output and standard error.
type Said = (Option<i32>, String, String);

/// Runs the program without any variable of its own.
fn evencarry(arguments: &[String]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_evencarry"));
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("EVENCARRY_") {
            command.env_remove(name);
        }
    }
    let output = command.args(arguments).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// Judges the arguments of a `serve` that would run elsewhere: the settings file is that of `deploy/`,
/// and the data folder one of this test.
fn check(serve: &[String]) -> Said {
    let folder = tempfile::tempdir().unwrap();
    let here = BTreeMap::from([
        ("/etc/evencarry/evencarry.toml", root().join("deploy/evencarry.toml")),
        ("/var/lib/evencarry", folder.path().join("data")),
    ]);
    let moved = |argument: &String| -> String {
        let here = here.get(argument.as_str()).cloned();
        here.unwrap_or_else(|| PathBuf::from(argument)).to_str().unwrap().to_owned()
    };
    assert_eq!(serve.first().map(String::as_str), Some("serve"), "{serve:?}");
    for path in here.keys() {
        assert!(serve.iter().any(|argument| argument == path), "{path} is not named: {serve:?}");
    }
    let arguments: Vec<String> =
        [String::from("check")].into_iter().chain(serve[1..].iter().map(moved)).collect();
    evencarry(&arguments)
}

/// The settings that `check` shows.
fn shown(text: &str) -> toml::Table {
    text.parse().unwrap_or_else(|error| panic!("{error}\n{text}"))
}
