//! An environment of Python with the packages of `requirements.txt`, made once and shared.

use std::{
    fs::{self, File},
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
    sync::{LazyLock, mpsc},
    thread,
    time::Duration,
};

use rustix::process::{Pid, Signal, kill_process};

const REQUIREMENTS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/clients/requirements.txt");

/// How long it may take to fetch and install packages.
const INSTALLING: Duration = Duration::from_mins(5);

/// The folder of the environment.
static ENVIRONMENT: LazyLock<PathBuf> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("python-env");
    make(&folder);
    folder
});

/// A program of the environment.
pub(crate) fn program(name: &str) -> Command {
    let programs = ENVIRONMENT.join("bin");
    let mut command = Command::new(programs.join(name));
    let path = std::env::var_os("PATH").unwrap_or_default();
    let all = [programs].into_iter().chain(std::env::split_paths(&path));
    command.env("PATH", std::env::join_paths(all).unwrap());
    command
}

/// Makes the environment, unless the one that is there has the same packages. Other processes wait.
fn make(folder: &Path) {
    let wanted = fs::read_to_string(REQUIREMENTS).unwrap();
    let lock = File::create(folder.with_extension("lock")).unwrap();
    lock.lock().unwrap();
    let stamp = folder.join("requirements.txt");
    if fs::read_to_string(&stamp).is_ok_and(|had| had == wanted) {
        return;
    }
    let mut venv = Command::new("python3");
    venv.args(["-m", "venv", "--clear"]).arg(folder);
    let made = finish("python3 -m venv", &mut venv, INSTALLING);
    assert!(
        made.status.success(),
        "no environment of Python could be made: install python3 with venv (python3-venv)\n{}",
        told(&made)
    );
    let mut pip = Command::new(folder.join("bin/python"));
    pip.args(["-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check"]);
    pip.args(["--timeout", "30", "--retries", "2", "--requirement", REQUIREMENTS]);
    let installed = finish("pip install", &mut pip, INSTALLING);
    assert!(
        installed.status.success(),
        "the packages of tests/clients/requirements.txt could not be installed: \
         these tests need a package index that pip reaches\n{}",
        told(&installed)
    );
    fs::write(stamp, wanted).unwrap();
}

/// What a program said.
pub(crate) fn told(output: &Output) -> String {
    let text = |bytes| String::from_utf8_lossy(bytes).into_owned();
    text(&output.stdout) + &text(&output.stderr)
}

/// Runs a program to its end, or ends it when it takes too long.
pub(crate) fn finish(what: &str, command: &mut Command, patience: Duration) -> Output {
    let child = command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let child = child.unwrap_or_else(|error| panic!("{what} cannot be started: {error}"));
    let process = Pid::from_child(&child);
    let (sender, ended) = mpsc::channel();
    thread::spawn(move || drop(sender.send(child.wait_with_output())));
    ended.recv_timeout(patience).map_or_else(
        |_| {
            let _ = kill_process(process, Signal::KILL);
            panic!("{what} did not end within {} s", patience.as_secs())
        },
        |output| output.unwrap(),
    )
}
