//! The built program in a process of its own, so that its memory can be read.

use std::{
    fs,
    io::{BufRead, BufReader},
    net::SocketAddr,
    process::{Child, Command, Stdio},
};

use super::{Answer, Connection, raw};

/// A daemon that runs on a folder of its own, and ends with this.
pub struct Daemon {
    child: Child,
    address: SocketAddr,
    folder: tempfile::TempDir,
}

impl Daemon {
    /// Starts it with more arguments for `serve`.
    pub fn start(more: &[&str]) -> Self {
        Self::in_folder(tempfile::tempdir().unwrap(), more)
    }

    /// Kills it, and starts another on what it left.
    pub fn kill_and_restart(mut self, more: &[&str]) -> Self {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        let folder = std::mem::replace(&mut self.folder, tempfile::tempdir().unwrap());
        Self::in_folder(folder, more)
    }

    fn in_folder(folder: tempfile::TempDir, more: &[&str]) -> Self {
        let data = folder.path().join("data");
        let mut command = Command::new(env!("CARGO_BIN_EXE_evencarry"));
        command.args(["serve", "--listen", "127.0.0.1:0", "--data", data.to_str().unwrap()]);
        let log = fs::File::create(folder.path().join("log")).unwrap();
        command.args(more).stdout(Stdio::piped()).stderr(log);
        for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("EVENCARRY_")) {
            command.env_remove(name);
        }
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("listening on http://").unwrap().parse().unwrap();
        Self { child, address, folder }
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// A new connection.
    pub fn connect(&self) -> Connection {
        Connection::open(self.address)
    }

    /// Asks once, on a connection of its own.
    pub fn ask(&self, request: &[u8]) -> Answer {
        let mut connection = self.connect();
        connection.send(request);
        connection.answer()
    }

    /// GET
    pub fn get(&self, path: &str) -> Answer {
        self.ask(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
    }

    /// A request with a body.
    pub fn send_as(&self, media: &str, method: &str, path: &str, body: &[u8]) -> Answer {
        self.ask(&raw::with_body(media, method, path, body))
    }

    /// Memory in use at most, so far, in bytes: `VmHWM` of proc(5). A peak cannot hide between two looks.
    pub fn peak_bytes(&self) -> usize {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
        peak.trim().strip_suffix(" kB").unwrap().parse::<usize>().unwrap() * 1024
    }

    /// Ends it at once; what it logged.
    pub fn log(mut self) -> String {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        fs::read_to_string(self.folder.path().join("log")).unwrap()
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
