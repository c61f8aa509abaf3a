//! Connections are files to the system, which grants a process few of them to begin with.

use std::{path::Path, process::Command};

use rustix::process::Signal;

use crate::{Running, raw};

/// A service that the shell has set a limit for.
fn limited(limit: &str, data: &Path) -> Running {
    let mut command = Command::new("sh");
    command.args(["-c", &format!("ulimit {limit} && exec \"$0\" \"$@\"")]);
    command.arg(env!("CARGO_BIN_EXE_evencarry"));
    Running::spawn(command, data, &[])
}

#[test]
fn more_connections_are_served_than_a_process_begins_with() {
    let folder = tempfile::tempdir().unwrap();
    let service = limited("-Sn 100", folder.path());
    let mut held: Vec<raw::Connection> = (0..150).map(|_| service.connect()).collect();
    for connection in &mut held {
        connection.send(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n");
        assert_eq!(connection.answer().status, 200);
    }
}

#[test]
fn a_limit_that_cannot_be_raised_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let service = limited("-n 200", folder.path());
    service.signal(Signal::TERM);
    let (status, log) = service.end();
    assert!(status.success(), "{log}");
    assert!(log.contains("files=200") && log.contains("lower `connections`"), "{log}");
}
