//! axe-core (npm, pinned in `package-lock.json`): finds what people with a screen reader, a keyboard or
//! weak eyes would stumble over.

use std::{
    fs::{self, File},
    path::{Path, PathBuf},
    process::Command,
    sync::LazyLock,
};

use serde_json::Value;

use crate::browser::Browser;

/// The text of the checker, fetched once by `npm ci` into `target/`.
static AXE: LazyLock<String> = LazyLock::new(|| {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser");
    let folder: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/browser-tools");
    fs::create_dir_all(&folder).unwrap();
    let lock = File::create(folder.join("lock")).unwrap();
    lock.lock().unwrap();
    let wanted = fs::read_to_string(here.join("package-lock.json")).unwrap();
    let had = fs::read_to_string(folder.join("package-lock.json"));
    let file = folder.join("node_modules/axe-core/axe.min.js");
    if !file.exists() || had.is_ok_and(|had| had != wanted) {
        for name in ["package.json", "package-lock.json"] {
            fs::copy(here.join(name), folder.join(name)).unwrap();
        }
        let mut npm = Command::new("npm");
        npm.args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"]).current_dir(&folder);
        let ended = npm.output().expect("npm is there: apt-get install npm");
        assert!(
            ended.status.success(),
            "axe-core could not be fetched: this needs a package index that npm reaches\n{}",
            String::from_utf8_lossy(&ended.stderr)
        );
    }
    fs::read_to_string(file).unwrap()
});

/// Fails where the checker finds anything, with the place and the mend that it names.
pub(crate) fn check(browser: &Browser<'_>, what: &str) {
    browser.run(&format!("if (!window.axe) {{ {} }}", AXE.as_str()));
    let found = browser.run_to_end(
        "axe.run(document).then((found) => done(found.violations.map(({ id, help, nodes }) => \
         ({ id, help, at: nodes.slice(0, 5).map((node) => [node.target.join(' '), node.failureSummary]) }))), \
         (error) => done([{ id: 'axe', help: String(error) }]));",
    );
    assert_eq!(found, Value::Array(Vec::new()), "{what}: {found:#}");
}
