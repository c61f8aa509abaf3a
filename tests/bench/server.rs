//! A service or its baseline, each in a process of its own that ends with its handle.

#![allow(dead_code, reason = "each bench uses its part")]

use std::{
    fs,
    io::{BufRead, BufReader},
    net::SocketAddr,
    process::{Child, Command, Stdio},
};

use tempfile::TempDir;

/// A running server.
pub(crate) struct Server {
    child: Child,
    pub(crate) address: SocketAddr,
    // Goes after the child.
    _folder: Option<TempDir>,
}

impl Server {
    /// The service on a new store, on the disk that holds the build.
    pub(crate) fn evencarry() -> Self {
        let folder = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_evencarry"));
        command.arg("serve").arg("--data").arg(folder.path().join("data"));
        command.args(["--listen", "127.0.0.1:0"]);
        Self::start(command, Some(folder))
    }

    /// This bench itself, in another role.
    pub(crate) fn ourselves(role: &str) -> Self {
        let mut command = Command::new(std::env::current_exe().unwrap());
        command.arg(role);
        Self::start(command, None)
    }

    fn start(mut command: Command, folder: Option<TempDir>) -> Self {
        command.stdin(Stdio::null()).stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let mut line = String::new();
        said.read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("listening on http://").expect("an address").parse();
        Self { child, address: address.unwrap(), _folder: folder }
    }

    /// Time on any core so far, in seconds, from `/proc` (100 ticks a second).
    pub(crate) fn core_s(&self) -> f64 {
        let stat = fs::read_to_string(format!("/proc/{}/stat", self.child.id())).unwrap();
        let after_name = stat.rsplit_once(") ").unwrap().1;
        let ticks =
            after_name.split(' ').skip(11).take(2).map(|ticks| ticks.parse::<f64>().unwrap());
        ticks.sum::<f64>() / 100.0
    }

    /// Memory that is resident now, in MB.
    pub(crate) fn resident_mb(&self) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).unwrap();
        line.trim().trim_end_matches(" kB").parse::<u64>().unwrap() / 1024
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}
