//! The image: what it copies is there, and what it runs is taken.

use std::{fs, path::Path, process::Command};

use crate::{check, deployed, evencarry, root};

/// Instructions and their arguments, continued lines joined.
fn instructions() -> Vec<(String, String)> {
    let text = deployed("Containerfile").replace("\\\n", " ");
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    lines
        .map(|line| line.split_once(' ').unwrap())
        .map(|(name, rest)| (name.to_owned(), rest.trim().to_owned()))
        .collect()
}

/// The arguments of the last instruction of a name.
fn last(name: &str) -> String {
    let mut all = instructions();
    all.retain(|(known, _)| known == name);
    all.pop().unwrap_or_else(|| panic!("no {name}")).1
}

/// A command in its list form.
fn words(command: &str) -> Vec<String> {
    serde_json::from_str(command).unwrap_or_else(|_| panic!("{command} is no list of texts"))
}

/// The sources of every COPY from the build's folder.
fn copied() -> Vec<String> {
    let copies = instructions().into_iter().filter(|(name, _)| name == "COPY");
    copies
        .map(|(_, rest)| rest)
        .filter(|rest| !rest.starts_with("--from="))
        .flat_map(|rest| {
            let mut paths: Vec<String> = rest.split_whitespace().map(String::from).collect();
            paths.pop();
            paths
        })
        .collect()
}

fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        fs::create_dir_all(to).unwrap();
        for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
            copy(&entry.path(), &to.join(entry.file_name()));
        }
    } else {
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(from, to).unwrap();
    }
}

#[test]
fn what_it_copies_is_enough_for_cargo_to_know_what_to_build() {
    let build = tempfile::tempdir().unwrap();
    for path in copied() {
        assert!(root().join(&path).exists(), "{path} is not there");
        copy(&root().join(&path), &build.path().join(&path));
    }
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| String::from("cargo"));
    let output = Command::new(cargo)
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(build.path())
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let known: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let targets = known["packages"].as_array().unwrap().iter().flat_map(|package| {
        package["targets"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(|target| target["src_path"].as_str())
    });
    for source in targets {
        assert!(Path::new(source).exists(), "{source} is not copied");
    }
    assert!(build.path().join("Cargo.lock").exists());
}

#[test]
fn it_is_built_with_the_toolchain_of_the_sources() {
    let toolchain = fs::read_to_string(root().join("rust-toolchain.toml")).unwrap();
    let toolchain: toml::Table = toolchain.parse().unwrap();
    let version = toolchain["toolchain"]["channel"].as_str().unwrap();
    let (minor, _) = version.rsplit_once('.').unwrap();
    let (_, image) = instructions().into_iter().find(|(name, _)| name == "FROM").unwrap();
    assert!(image.starts_with(&format!("rust:{minor}-")), "{image} is not of {version}");
}

#[test]
fn its_command_line_is_one_that_serve_goes_by() {
    let program = words(&last("ENTRYPOINT"));
    assert_eq!(program, ["/usr/local/bin/evencarry"]);
    let copies = instructions();
    assert!(copies.iter().any(|(_, rest)| rest.ends_with(&format!(" {}", program[0]))));
    let (status, shown, told) = check(&words(&last("CMD")));
    assert_eq!(status, Some(0), "{told}");
    assert!(shown.contains("listen = \"0.0.0.0:8417\""), "{shown}");
    assert!(shown.contains("open_network = true"), "{shown}");
    assert!(deployed("Containerfile").contains("CAUTION"));
}

#[test]
fn its_health_is_asked_for_where_it_listens() {
    let (_, command) = last("HEALTHCHECK").split_once("CMD ").map(own).unwrap();
    let command = words(&command);
    assert_eq!(command[..2], ["/usr/local/bin/evencarry", "healthcheck"]);
    let (status, help, _) = evencarry(&[String::from("healthcheck"), String::from("--help")]);
    assert_eq!(status, Some(0));
    assert!(help.contains("http://127.0.0.1:8417"), "{help}");
    assert_eq!(last("EXPOSE"), "8417");
}

/// The image format of OCI has no health check: podman-build(1), `--format`.
#[test]
fn it_is_built_in_a_form_that_keeps_the_health_check() {
    for name in ["Containerfile", "README.md"] {
        let text = deployed(name);
        let builds: Vec<&str> =
            text.lines().filter(|line| line.contains("podman build ")).collect();
        assert!(!builds.is_empty(), "{name} does not say how it is built");
        assert!(builds.iter().all(|line| line.contains("--format docker ")), "{name}: {builds:?}");
    }
}

fn own((one, two): (&str, &str)) -> (String, String) {
    (one.to_owned(), two.to_owned())
}

#[test]
fn it_runs_as_nobody_in_particular_and_keeps_its_data_outside() {
    let all = instructions();
    let place = |name: &str| all.iter().rposition(|(known, _)| known == name).unwrap();
    let user = last("USER");
    assert!(user.parse::<u32>().is_err() && !user.starts_with("0:") && !user.contains("root"));
    assert!(place("USER") > place("RUN"), "the last command of the image runs as root");
    let data = words(&last("CMD"));
    let at = data.iter().position(|word| word == "--data").unwrap();
    assert_eq!(data[at + 1], last("VOLUME"));
    let (uid, gid) = user.split_once(':').unwrap();
    let made = format!("--owner={uid} --group={gid} --mode=0700 {}", last("VOLUME"));
    assert!(last("RUN").contains(&made), "the folder of the data is another's");
}
