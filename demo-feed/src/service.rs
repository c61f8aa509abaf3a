//! The service as a child process on a throw-away store. It does not outlive its [`Service`].

use crate::client::{Client, ClientError};
use rustix::process::{Pid, Signal, kill_process};
use std::ffi::OsString;
use std::fs::File;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::process::{ExitStatus, Stdio};
use std::time::Duration;
use tempfile::TempDir;
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, ChildStdout, Command};
use tokio::time::{Instant, sleep, timeout};

/// The port that is easy to remember; any free one is taken where it is in use.
const FRIENDLY_PORT: u16 = 8417;
/// Longest wait until the service takes requests; a new store opens in well under a second.
const READY_WITHIN: Duration = Duration::from_secs(30);
/// Pause between two questions whether it is ready.
const ASK_EVERY: Duration = Duration::from_millis(50);
/// Longest wait for a clean end, before the child is killed.
const STOP_WITHIN: Duration = Duration::from_secs(5);
/// How many lines of the service's log an error shows.
const LOG_LINES: usize = 12;
/// The service's executable.
const EXECUTABLE: &str = "evencarry";

/// Why there is no service.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ServiceError {
    /// Nothing is known about where we are.
    #[error("the directory of this program cannot be found: {0}")]
    Location(#[source] io::Error),
    /// The build could not be run or did not succeed.
    #[error("`{command}` did not build the service: {reason}")]
    Build {
        /// The command line.
        command: String,
        /// Its status, or why it could not be run.
        reason: String,
    },
    /// No temporary directory, or no log file in it.
    #[error("no throw-away store can be made: {0}")]
    Store(#[source] io::Error),
    /// The program cannot be run.
    #[error("{program} cannot be started: {source}")]
    Start {
        /// Its path.
        program: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// It ended by itself.
    #[error("the service ended by itself ({status}){log}")]
    Ended {
        /// How it ended.
        status: String,
        /// The end of its log, on lines of its own.
        log: String,
    },
    /// Its first line names no address.
    #[error("the service's first line names no http address: {0:?}")]
    NoAddress(String),
    /// It did not get ready in time.
    #[error("the service is not ready after {} seconds{log}", READY_WITHIN.as_secs())]
    NotReady {
        /// The end of its log, on lines of its own.
        log: String,
    },
    /// Its output or its status cannot be read.
    #[error("the service cannot be watched: {0}")]
    Watch(#[source] io::Error),
    /// It listens, but not to us.
    #[error(transparent)]
    Client(#[from] ClientError),
}

/// The service's program: beside ours, where a build puts both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Program {
    path: PathBuf,
    cargo: Option<OsString>,
}

impl Program {
    /// Where the service's executable belongs, and the `cargo` that started us, if one did.
    pub(crate) fn beside_ours(cargo: Option<OsString>) -> Result<Self, ServiceError> {
        let ours = std::env::current_exe().map_err(ServiceError::Location)?;
        Ok(Self {
            cargo,
            path: ours.with_file_name(format!("{EXECUTABLE}{}", std::env::consts::EXE_SUFFIX)),
        })
    }

    /// The build that is needed first, as `cargo` arguments; `None` where it is built already.
    /// Where `cargo` started us, it is asked: it knows what has changed since.
    #[must_use]
    pub(crate) fn missing(&self) -> Option<Vec<String>> {
        (self.cargo.is_some() || !self.path.is_file()).then(|| build_arguments(&self.path))
    }

    /// Runs `cargo` with the arguments of [`Program::missing`].
    pub(crate) async fn build(&self, arguments: &[String]) -> Result<(), ServiceError> {
        let cargo = self.cargo.clone().unwrap_or_else(|| "cargo".into());
        let failed = |reason: String| ServiceError::Build {
            command: format!("cargo {}", arguments.join(" ")),
            reason,
        };
        let built = Command::new(cargo).args(arguments).kill_on_drop(true).status().await;
        match built {
            Ok(status) if !status.success() => Err(failed(status.to_string())),
            Ok(_) if !self.path.is_file() => {
                Err(failed(format!("{} is still not there", self.path.display())))
            }
            Ok(_) => Ok(()),
            Err(error) => Err(failed(error.to_string())),
        }
    }
}

/// The profile is the name of the directory, except that `dev` builds into `debug`.
fn build_arguments(program: &Path) -> Vec<String> {
    let directory = program.parent().and_then(Path::file_name).map(|name| name.to_string_lossy());
    let profile: &[&str] = match directory.as_deref() {
        Some("release") => &["--release"],
        Some("debug") | None => &[],
        Some(custom) => &["--profile", custom],
    };
    ["build"].iter().chain(profile).chain(&["-p", EXECUTABLE]).map(ToString::to_string).collect()
}

/// A running service of our own. Dropping it kills the child; [`Service::stop`] ends it cleanly.
#[derive(Debug)]
pub(crate) struct Service {
    // Before the store: fields are dropped in order, and the child must be gone first.
    child: Child,
    store: TempDir,
    url: String,
}

impl Service {
    /// Starts `program` on a new store and waits until it is ready.
    pub(crate) async fn start(
        program: &Program,
        listen: Option<SocketAddr>,
    ) -> Result<Self, ServiceError> {
        let store = tempfile::Builder::new()
            .prefix("evencarry-demo-")
            .tempdir()
            .map_err(ServiceError::Store)?;
        let log = File::create(log_path(&store)).map_err(ServiceError::Store)?;
        let mut child = Command::new(&program.path)
            .arg("serve")
            .arg("--data")
            .arg(store.path().join("data"))
            .arg("--listen")
            .arg(listen.unwrap_or_else(free_address).to_string())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(log)
            .kill_on_drop(true)
            .spawn()
            .map_err(|source| ServiceError::Start { program: program.path.clone(), source })?;
        let stdout = child.stdout.take();
        let mut service = Self { child, store, url: String::new() };
        let until = Instant::now() + READY_WITHIN;
        service.url = match tokio::time::timeout_at(until, service.first_line(stdout)).await {
            Ok(line) => address_in(&line?)?,
            Err(_) => return Err(ServiceError::NotReady { log: service.log() }),
        };
        service.wait_until_ready(until).await?;
        Ok(service)
    }

    /// Where it listens, such as `http://127.0.0.1:8417`.
    #[must_use]
    pub(crate) fn url(&self) -> &str {
        &self.url
    }

    /// Waits for an end that nobody asked for, and says how it came.
    pub(crate) async fn ended(&mut self) -> ServiceError {
        match self.child.wait().await {
            Ok(status) => self.end_of(status),
            Err(error) => ServiceError::Watch(error),
        }
    }

    /// Whether it has ended by itself already, and how.
    pub(crate) fn has_ended(&mut self) -> Option<ServiceError> {
        let status = self.child.try_wait().ok().flatten()?;
        Some(self.end_of(status))
    }

    /// Ends the child, asking first, and removes the store.
    pub(crate) async fn stop(mut self) -> Result<(), ServiceError> {
        if let Some(pid) = self.child.id().and_then(|id| Pid::from_raw(id.cast_signed())) {
            // An error here means that it has ended meanwhile, which the wait below sees.
            let _ = kill_process(pid, Signal::TERM);
        }
        if timeout(STOP_WITHIN, self.child.wait()).await.is_err() {
            self.child.kill().await.map_err(ServiceError::Watch)?;
        }
        self.store.close().map_err(ServiceError::Store)
    }

    /// The first line of its output; the rest is read and thrown away, so that it never blocks.
    async fn first_line(&mut self, stdout: Option<ChildStdout>) -> Result<String, ServiceError> {
        let mut line = String::new();
        if let Some(stdout) = stdout {
            let mut output = BufReader::new(stdout);
            output.read_line(&mut line).await.map_err(ServiceError::Watch)?;
            tokio::spawn(async move { tokio::io::copy(&mut output, &mut tokio::io::sink()).await });
        }
        if line.is_empty() {
            return Err(self.ended().await);
        }
        Ok(line)
    }

    async fn wait_until_ready(&mut self, until: Instant) -> Result<(), ServiceError> {
        let client = Client::new(self.url.clone())?;
        while client.ready().await.is_err() {
            if let Some(ended) = self.has_ended() {
                return Err(ended);
            }
            if Instant::now() >= until {
                return Err(ServiceError::NotReady { log: self.log() });
            }
            sleep(ASK_EVERY).await;
        }
        Ok(())
    }

    fn end_of(&self, status: ExitStatus) -> ServiceError {
        ServiceError::Ended { status: status.to_string(), log: self.log() }
    }

    /// The last lines of its log, each on a line of its own, indented.
    fn log(&self) -> String {
        let text = std::fs::read(log_path(&self.store)).unwrap_or_default();
        let text = String::from_utf8_lossy(&text);
        let lines: Vec<_> = text.lines().collect();
        let shown = &lines[lines.len().saturating_sub(LOG_LINES)..];
        shown.iter().flat_map(|line| ["\n  ", *line]).collect()
    }
}

fn log_path(store: &TempDir) -> PathBuf {
    store.path().join("service.log")
}

/// The friendly port on loopback if it is free, else port 0: any.
fn free_address() -> SocketAddr {
    let friendly = SocketAddr::from((Ipv4Addr::LOCALHOST, FRIENDLY_PORT));
    let free = TcpListener::bind(friendly).is_ok();
    if free { friendly } else { SocketAddr::from((Ipv4Addr::LOCALHOST, 0)) }
}

/// The http address in a line such as `listening on http://127.0.0.1:8417`.
fn address_in(line: &str) -> Result<String, ServiceError> {
    line.split_whitespace()
        .find(|word| word.starts_with("http://"))
        .map(|url| url.trim_end_matches('/').to_owned())
        .ok_or_else(|| ServiceError::NoAddress(line.trim_end().to_owned()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use rustix::process::test_kill_process;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};

    /// A program of `tests/data` that stands in for the service.
    fn stand_in(name: &str) -> Program {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
        Program { path, cargo: None }
    }

    /// Says 200 to every connection, for the stand-in that only names an address.
    async fn always_ready() -> SocketAddr {
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap();
        tokio::spawn(async move {
            while let Ok((mut socket, _)) = listener.accept().await {
                let mut request = [0; 1024];
                let _ = socket.read(&mut request).await;
                let answer = b"HTTP/1.1 200 OK\r\ncontent-length: 0\r\nconnection: close\r\n\r\n";
                let _ = socket.write_all(answer).await;
            }
        });
        address
    }

    #[test]
    fn the_address_is_read_from_the_first_line() {
        assert_eq!(
            address_in("listening on http://127.0.0.1:8417\n").unwrap(),
            "http://127.0.0.1:8417"
        );
        assert_eq!(address_in("http://[::1]:80/").unwrap(), "http://[::1]:80");
        let error = address_in("listening somewhere\n").unwrap_err();
        assert_eq!(
            error.to_string(),
            "the service's first line names no http address: \"listening somewhere\""
        );
    }

    #[test]
    fn the_service_is_built_in_the_profile_of_the_feed() {
        let of = |path: &str| build_arguments(Path::new(path)).join(" ");
        assert_eq!(of("target/release/evencarry"), "build --release -p evencarry");
        assert_eq!(of("target/debug/evencarry"), "build -p evencarry");
        assert_eq!(of("target/bench-lto/evencarry"), "build --profile bench-lto -p evencarry");
    }

    #[test]
    fn a_program_is_built_where_it_is_missing_or_cargo_can_tell_whether_it_is_stale() {
        assert_eq!(stand_in("ready.sh").missing(), None);
        assert!(stand_in("absent").missing().is_some());
        let by_cargo = Program { cargo: Some("cargo".into()), ..stand_in("ready.sh") };
        assert!(by_cargo.missing().is_some());
    }

    #[tokio::test]
    async fn stopping_ends_the_child_and_removes_its_store() {
        let address = always_ready().await;
        let service = Service::start(&stand_in("ready.sh"), Some(address)).await.unwrap();
        assert_eq!(service.url(), format!("http://{address}"));
        let pid = Pid::from_raw(service.child.id().unwrap().cast_signed()).unwrap();
        let store = service.store.path().to_owned();
        assert!(store.is_dir());
        service.stop().await.unwrap();
        assert!(test_kill_process(pid).is_err(), "the child still runs");
        assert!(!store.exists());
    }

    #[tokio::test]
    async fn a_service_that_fails_is_explained_by_its_log() {
        let error = Service::start(&stand_in("failing.sh"), None).await.unwrap_err();
        assert_eq!(
            error.to_string(),
            "the service ended by itself (exit status: 4)\n  the store is of a newer release"
        );
    }

    #[tokio::test]
    async fn a_program_that_is_not_there_cannot_be_started() {
        let error = Service::start(&stand_in("absent"), None).await.unwrap_err();
        assert!(matches!(error, ServiceError::Start { .. }), "{error}");
    }
}
