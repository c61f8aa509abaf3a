//! A script that runs on and on, and what it says.

use std::{
    io::{BufRead, BufReader, Read},
    path::PathBuf,
    process::{Child, Command, Stdio},
    sync::mpsc::{Receiver, channel},
    thread,
};

use crate::support::PATIENCE;

/// Where the examples are.
pub(crate) fn example(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("api-spec/examples").join(name)
}

/// A Python script that is running; it is killed when this goes.
pub(crate) struct Script {
    child: Child,
    said: Receiver<String>,
    complained: Receiver<String>,
}

impl Script {
    /// Starts an example against the service at this address.
    pub(crate) fn start(name: &str, arguments: &[&str], url: &str) -> Self {
        let mut command = Command::new("python3");
        command.arg(example(name)).args(arguments).env("EVENCARRY_URL", url);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let said = lines(child.stdout.take().unwrap());
        let complained = lines(child.stderr.take().unwrap());
        Self { child, said, complained }
    }

    /// The next line that it prints.
    pub(crate) fn says(&self) -> String {
        self.said.recv_timeout(PATIENCE).unwrap_or_else(|_| {
            panic!(
                "it says nothing, but complains: {:?}",
                self.complained.try_iter().collect::<Vec<_>>()
            )
        })
    }

    /// Waits until it complains of this.
    pub(crate) fn complains(&self, what: &str) {
        while !self.complained.recv_timeout(PATIENCE).expect(what).contains(what) {}
    }
}

fn lines(from: impl Read + Send + 'static) -> Receiver<String> {
    let (tell, told) = channel();
    thread::spawn(move || {
        for line in BufReader::new(from).lines().map_while(Result::ok) {
            if tell.send(line).is_err() {
                return;
            }
        }
    });
    told
}

impl Drop for Script {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}
