//! The built program on a folder of its own.

use std::{
    io::{BufRead, BufReader},
    process::{Child, Command, Stdio},
};

/// A running service that ends with the test.
pub(crate) struct Service {
    child: Child,
    /// Where it is.
    pub(crate) url: String,
    _data: tempfile::TempDir,
}

impl Service {
    /// Starts on a free port.
    pub(crate) fn start() -> Self {
        let data = tempfile::tempdir().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_evencarry"))
            .args(["serve", "--listen", "127.0.0.1:0", "--log", "error", "--data"])
            .arg(data.path().join("data"))
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let url = first.trim().strip_prefix("listening on ").unwrap().to_owned();
        Self { child, url, _data: data }
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
