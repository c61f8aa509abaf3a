//! The built program, as a person or a service manager runs it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::{
    fs,
    io::{BufRead, BufReader, Read},
    net::TcpListener,
    path::Path,
    process::{Child, Command, ExitStatus, Stdio},
    time::{Duration, Instant},
};

use rustix::process::{Pid, Signal, kill_process};

#[path = "../support/raw.rs"]
#[allow(dead_code, unreachable_pub)]
mod raw;

mod open_files;
mod settings;
mod terminal;

/// How long anything may take before a test fails: far more than it needs.
const PATIENCE: Duration = Duration::from_secs(20);

fn evencarry(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_evencarry"));
    command.args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped());
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("EVENCARRY_") {
            command.env_remove(name);
        }
    }
    command
}

/// A service that runs, and where.
struct Running {
    child: Child,
    url: String,
}

impl Running {
    fn start(data: &Path, more: &[&str]) -> Self {
        Self::spawn(evencarry(&[]), data, more)
    }

    /// Starts what comes to be the program, whatever stands before it.
    fn spawn(mut command: Command, data: &Path, more: &[&str]) -> Self {
        command.args(["serve", "--data", data.to_str().unwrap()]);
        if !more.contains(&"--listen") {
            command.args(["--listen", "127.0.0.1:0"]);
        }
        command.args(more).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let url = line.strip_prefix("listening on ").unwrap_or_else(|| panic!("{line:?}")).trim();
        Self { url: url.to_owned(), child }
    }

    fn connect(&self) -> raw::Connection {
        raw::Connection::open(self.url.strip_prefix("http://").unwrap().parse().unwrap())
    }

    fn ask(&self, request: &[u8]) -> raw::Answer {
        let mut connection = self.connect();
        connection.send(request);
        connection.answer()
    }

    fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).unwrap();
    }

    fn end(mut self) -> (ExitStatus, String) {
        let deadline = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < deadline, "the service does not end");
            std::thread::yield_now();
        };
        let mut log = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut log).unwrap();
        (status, log)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

fn code(command: &mut Command) -> (Option<i32>, String, String) {
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

const SHOT: &str = r#"{"id":"1","source":"bay-3","time":"2026-04-11T10:15:04Z","player":"rowan","club":"5h","flight":{"carry_yd":173}}"#;

#[test]
fn what_was_acknowledged_is_there_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("deep/shots");
    for (signal, status) in [(Signal::TERM, 201), (Signal::INT, 200), (Signal::KILL, 200)] {
        let service = Running::start(&data, &[]);
        let stored =
            service.ask(&raw::with_body("application/json", "POST", "/v1/shots", SHOT.as_bytes()));
        assert_eq!(stored.status, status, "{}", stored.text());
        let list = service.ask(b"GET /v1/shots HTTP/1.1\r\nHost: localhost\r\n\r\n").json();
        assert_eq!(list["items"].as_array().unwrap().len(), 1, "{list}");
        assert_eq!(list["as_of"], 1);
        service.signal(signal);
        let (ended, log) = service.end();
        assert_eq!(ended.success(), signal != Signal::KILL, "{log}");
    }
}

#[test]
fn the_log_is_of_json_if_that_is_wanted_and_names_no_person() {
    let folder = tempfile::tempdir().unwrap();
    let service =
        Running::start(folder.path(), &["--log-format", "json", "--log", "debug,sled=off,mio=off"]);
    service.ask(&raw::with_body("application/json", "POST", "/v1/shots", SHOT.as_bytes()));
    service.ask(b"GET /v1/players/rowan/clubs/5h/profile HTTP/1.1\r\nHost: localhost\r\n\r\n");
    service.signal(Signal::TERM);
    let (_, log) = service.end();
    for line in log.lines() {
        let line: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(line["timestamp"].is_string());
    }
    assert!(log.contains("/v1/players/{player}/clubs/{club}/profile"), "{log}");
    assert!(!log.contains("rowan"), "{log}");
}

#[test]
fn a_folder_has_one_service_at_a_time() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    let data = folder.path().to_str().unwrap();
    let (status, out, told) =
        code(&mut evencarry(&["serve", "--data", data, "--listen", "127.0.0.1:0"]));
    assert_eq!(status, Some(75), "{told}");
    assert!(out.is_empty());
    assert!(told.contains("in use") && !told.contains("panicked"), "{told}");
    assert_eq!(service.ask(b"GET /readyz HTTP/1.1\r\nHost: localhost\r\n\r\n").status, 200);
}

#[test]
fn an_address_in_use_is_told_with_the_mend() {
    let folder = tempfile::tempdir().unwrap();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let data = folder.path().to_str().unwrap();
    let (status, _, told) = code(&mut evencarry(&["serve", "--data", data, "--listen", &address]));
    assert_eq!(status, Some(75), "{told}");
    assert!(told.contains(&address) && told.contains("port 0"), "{told}");
}

#[test]
fn what_is_no_data_folder_is_told_as_such() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, "mine").unwrap();
    let serve = |data: &Path| {
        code(&mut evencarry(&[
            "serve",
            "--data",
            data.to_str().unwrap(),
            "--listen",
            "127.0.0.1:0",
        ]))
    };
    let (status, _, told) = serve(&file);
    assert_eq!(status, Some(73), "{told}");
    assert!(told.contains("not a folder"), "{told}");
    let (status, _, told) = serve(folder.path());
    assert_eq!(status, Some(65), "{told}");
    assert!(told.contains("not a file of this store"), "{told}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}

#[test]
fn beyond_this_machine_only_when_that_is_meant() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let data = data.to_str().unwrap();
    let (status, _, told) =
        code(&mut evencarry(&["serve", "--data", data, "--listen", "0.0.0.0:0"]));
    assert_eq!(status, Some(64), "{told}");
    assert!(told.contains("--open-network"), "{told}");
    assert!(!Path::new(data).exists(), "nothing was made");
    let open = ["--open-network", "--listen", "0.0.0.0:0"];
    let mut child = evencarry(&[&["serve", "--data", data], &open[..]].concat()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
    assert!(line.starts_with("listening on http://0.0.0.0:"), "{line}");
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn a_declared_host_is_answered() {
    let folder = tempfile::tempdir().unwrap();
    let service =
        Running::start(folder.path(), &["--host", "bay.example", "--host", "hub.example"]);
    for (host, status) in [("bay.example", 200), ("hub.example:8417", 200), ("evil.example", 421)] {
        let ask = format!("GET /healthz HTTP/1.1\r\nHost: {host}\r\n\r\n");
        assert_eq!(service.ask(ask.as_bytes()).status, status, "{host}");
    }
}

#[test]
fn a_healthcheck_goes_by_no_empty_variable_and_says_what_a_url_is() {
    let (_, _, told) = code(evencarry(&["healthcheck"]).env("EVENCARRY_URL", ""));
    assert!(told.is_empty() || told.contains("http://127.0.0.1:8417/readyz"), "{told}");
    let (status, _, told) = code(evencarry(&["healthcheck"]).env("EVENCARRY_URL", "bay"));
    assert_eq!(status, Some(1));
    assert!(told.contains("no URL that can be asked"), "{told}");
}

#[test]
fn a_healthcheck_says_whether_writes_are_taken() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    let (status, out, told) = code(&mut evencarry(&["healthcheck", "--url", &service.url]));
    assert_eq!((status, out.as_str(), told.as_str()), (Some(0), "", ""));
    let url = service.url.clone();
    service.signal(Signal::TERM);
    service.end();
    let (status, _, told) = code(&mut evencarry(&["healthcheck", "--url", &url]));
    assert_eq!(status, Some(1));
    assert!(told.contains("does not answer"), "{told}");
}

#[test]
fn help_has_units_and_examples_and_wrong_usage_is_64() {
    let (status, out, _) = code(&mut evencarry(&["--help"]));
    assert_eq!(status, Some(0));
    assert!(out.contains("serve") && out.contains("healthcheck"));
    assert!(out.contains("metres") && out.contains("carry_yd") && out.contains("Exit codes"));
    let (status, out, _) = code(&mut evencarry(&["serve", "--help"]));
    assert_eq!(status, Some(0));
    assert!(out.contains("--listen") && out.contains("127.0.0.1:8417"));
    assert_eq!(code(&mut evencarry(&["--version"])).0, Some(0));
    let usages: [&[&str]; 4] =
        [&[], &["serve"], &["serve", "--data", "x", "--listen", "here"], &["fly"]];
    for wrong in usages {
        let (status, _, told) = code(&mut evencarry(wrong));
        assert_eq!(status, Some(64), "{wrong:?}");
        assert!(!told.is_empty());
    }
    for wrong in [["--log", "=loud="], ["--host", "http://bay.example"]] {
        let arguments = [&["serve", "--data", "x"], &wrong[..]].concat();
        assert_eq!(code(&mut evencarry(&arguments)).0, Some(64), "{wrong:?}");
    }
    assert!(!Path::new("x").exists(), "nothing was made");
}
