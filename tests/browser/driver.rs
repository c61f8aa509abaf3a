//! `chromedriver`, and what is said to it: the JSON of `WebDriver` over HTTP.

use std::{
    io::{BufRead, BufReader, Write},
    process::{Child, Command, Stdio},
};

use serde_json::{Value, json};
use tokio::runtime::Runtime;

/// Browsers by the names that distributions give them.
const BROWSERS: [&str; 2] = ["chromium", "chromium-browser"];
const DRIVER: &str = "chromedriver";

/// Whether the two are there. Without them these tests test nothing: said aloud, and no pass under CI.
pub(crate) fn is_there() -> bool {
    let missing = match (browser(), found(DRIVER)) {
        (Some(_), true) => return true,
        (None, true) => "chromium",
        (Some(_), false) => "chromedriver",
        (None, false) => "chromium and chromedriver",
    };
    let told = format!(
        "NOT TESTED: the page, for {missing} cannot be found; on Debian: apt-get install chromium \
         chromium-driver npm"
    );
    assert!(std::env::var_os("CI").is_none(), "{told}");
    // Past the capture of the test harness, so that nobody takes this for a pass.
    drop(writeln!(std::io::stderr(), "{told}"));
    false
}

fn browser() -> Option<&'static str> {
    BROWSERS.into_iter().find(|name| found(name))
}

fn found(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

/// A browser of its own, with nothing kept from before.
pub(crate) struct Session {
    driver: Child,
    runtime: Runtime,
    client: reqwest::Client,
    base: String,
    profile: tempfile::TempDir,
}

impl Session {
    /// Starts the driver on a free port, and a browser.
    pub(crate) fn start() -> Self {
        let mut driver = Command::new(DRIVER)
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(driver.stdout.take().unwrap()).lines();
        let started = lines.find(|line| line.as_ref().unwrap().contains("started successfully"));
        let started = started.expect("chromedriver says its port").unwrap();
        let port = started.trim_end_matches('.').rsplit(' ').next().unwrap().to_owned();
        // What it says later is taken, so that it never waits.
        std::thread::spawn(move || lines.for_each(drop));
        let profile = tempfile::tempdir().unwrap();
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        let mut session = Self {
            driver,
            runtime,
            client: reqwest::Client::new(),
            base: format!("http://127.0.0.1:{port}/session"),
            profile,
        };
        let made = session.ask("POST", "", Some(session.capabilities()));
        session.base = format!("{}/{}", session.base, made["sessionId"].as_str().unwrap());
        session
    }

    fn capabilities(&self) -> Value {
        let profile = format!("--user-data-dir={}", self.profile.path().display());
        json!({"capabilities": {"alwaysMatch": {
            "browserName": "chrome",
            "timeouts": {"script": 120_000},
            "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"},
            "goog:chromeOptions": {
                "binary": which(browser().unwrap()),
                "args": [
                    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                    "--disable-background-networking", "--disable-component-update", "--disable-sync",
                    "--disable-dev-shm-usage", "--hide-scrollbars", profile,
                ],
            },
        }}})
    }

    /// What the driver answers.
    pub(crate) fn ask(&self, method: &str, path: &str, body: Option<Value>) -> Value {
        let method = method.parse().unwrap();
        let mut request = self.client.request(method, format!("{}{path}", self.base));
        if let Some(body) = body {
            request = request.json(&body);
        }
        self.runtime.block_on(async {
            let answer = request.send().await.unwrap();
            let status = answer.status();
            let told: Value = answer.json().await.unwrap();
            assert!(status.is_success(), "{path}: {}", told["value"]);
            told["value"].clone()
        })
    }

    /// A command of the browser's own protocol.
    pub(crate) fn command(&self, name: &str, parameters: &Value) -> Value {
        self.ask("POST", "/goog/cdp/execute", Some(json!({"cmd": name, "params": parameters})))
    }
}

fn which(program: &str) -> String {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let there = std::env::split_paths(&path).map(|folder| folder.join(program));
    there.into_iter().find(|file| file.is_file()).unwrap().to_str().unwrap().to_owned()
}

impl Drop for Session {
    fn drop(&mut self) {
        drop(self.runtime.block_on(self.client.delete(&self.base).send()));
        drop(self.driver.kill());
        drop(self.driver.wait());
    }
}
