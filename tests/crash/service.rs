//! The built program as a process of its own.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Read};
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};

/// How long anything may take on a slow machine.
pub(crate) const PATIENCE: Duration = Duration::from_mins(1);

const GREETING: &str = "listening on ";

/// A service that was started; killed when dropped.
pub(crate) struct Service {
    child: Child,
    /// Lines of standard output; disconnected when the process has ended.
    lines: Receiver<String>,
    errors: Option<JoinHandle<String>>,
}

/// How a service ended.
#[derive(Debug)]
pub(crate) struct End {
    pub(crate) status: ExitStatus,
    /// Standard error.
    pub(crate) errors: String,
}

impl Service {
    /// Starts a service on a data folder, at a free port.
    pub(crate) fn start(data: impl AsRef<OsStr>) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_evencarry"))
            .args(["serve", "--listen", "127.0.0.1:0", "--data"])
            .arg(data)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let output = BufReader::new(child.stdout.take().unwrap());
        let (sender, lines) = channel();
        thread::spawn(move || {
            for line in output.lines().map_while(Result::ok) {
                // A line that nobody waits for is of no interest.
                drop(sender.send(line));
            }
        });
        let mut errors = child.stderr.take().unwrap();
        let errors = thread::spawn(move || {
            let mut text = Vec::new();
            errors.read_to_end(&mut text).unwrap();
            String::from_utf8_lossy(&text).into_owned()
        });
        Self { child, lines, errors: Some(errors) }
    }

    /// Starts a service that must serve; gives its address as well.
    pub(crate) fn serving(data: &Path) -> (Self, String) {
        let mut service = Self::start(data);
        match service.address_within(PATIENCE) {
            Some(address) => (service, address),
            None => panic!("it does not serve: {:?}", service.kill()),
        }
    }

    /// Where it listens, if it says so in time.
    pub(crate) fn address_within(&mut self, time: Duration) -> Option<String> {
        let line = self.lines.recv_timeout(time).ok()?;
        let address = line.strip_prefix(GREETING);
        Some(address.unwrap_or_else(|| panic!("its first line is {line:?}")).to_owned())
    }

    /// Ends it as a power switch would, and waits until it is gone. It must not have ended before.
    pub(crate) fn kill(mut self) -> End {
        self.child.kill().unwrap();
        let end = self.end();
        assert_eq!(end.status.signal(), Some(Signal::KILL.as_raw()), "it ended by itself: {end:?}");
        end
    }

    /// Asks it to stop.
    pub(crate) fn terminate(&self) {
        kill_process(Pid::from_child(&self.child), Signal::TERM).unwrap();
    }

    /// Waits until it has ended.
    pub(crate) fn end(mut self) -> End {
        while match self.lines.recv_timeout(PATIENCE) {
            Ok(_) => true,
            Err(RecvTimeoutError::Disconnected) => false,
            Err(RecvTimeoutError::Timeout) => panic!("the service does not end"),
        } {}
        let status = self.child.wait().unwrap();
        let errors = self.errors.take().unwrap().join().unwrap();
        End { status, errors }
    }

    /// Stops it in order.
    pub(crate) fn stop(self) -> End {
        self.terminate();
        let end = self.end();
        assert!(end.status.success(), "a stop in order is no success: {end:?}");
        end
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        // One that has ended already needs no kill.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
