//! The page while the demo feed plays its season into the service: an invented player, whole visits,
//! whatever comes in whatever order.

use std::{
    path::Path,
    process::{Child, Command, Stdio},
};

use serde_json::{Value, json};

use crate::{
    browser::Browser,
    season::{ask, send},
    support::{Running, wait_until},
};

const PLAYER: &str = "/v1/players/marit";
const PAIR: &str = "/v1/players/marit/replacements?incumbent=5h&candidate=4u";
/// Slow enough to look at three places while it plays.
const SHOTS_A_SECOND: &str = "25";
/// Sentences that a place must have said one after another before the next is looked at.
const SENTENCES: u64 = 3;
/// Keeps what the sentence has said, with a mark that a reload would wipe off.
const LISTEN: &str = "window.said = []; setInterval(() => { \
    const now = document.querySelector('#sentence')?.textContent; \
    if (now && now !== window.said.at(-1)) window.said.push(now); }, 30)";

/// The demo feed, which ends with us.
struct Feed(Child);

impl Feed {
    /// Plays into a service. A build of the workspace puts its executable beside ours.
    fn into(service: &Running) -> Self {
        let feed = Path::new(env!("CARGO_BIN_EXE_evencarry")).with_file_name("demo-feed");
        assert!(
            feed.is_file(),
            "no {}: build the workspace (cargo build --workspace)",
            feed.display()
        );
        let to = format!("http://{}", service.address);
        let child = Command::new(feed)
            .args(["--to", &to, "--speed", SHOTS_A_SECOND, "--exit"])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .spawn();
        Self(child.unwrap())
    }

    fn plays(&mut self) -> bool {
        self.0.try_wait().unwrap().is_none()
    }
}

impl Drop for Feed {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// How many shots of both clubs a trial has counted.
fn counted(service: &Running, trial: &str) -> u64 {
    let shots = &ask(service, trial)["standings"][0]["shots"];
    shots["incumbent"].as_u64().unwrap() + shots["candidate"].as_u64().unwrap()
}

#[test]
fn ladder_trial_and_head_to_head_follow_the_demo_feed_without_a_reload() {
    let service = Running::start();
    let Some(browser) = Browser::open(&service) else { return };
    let mut feed = Feed::into(&service);
    wait_until("the player has a ladder", || {
        service.get(&format!("{PLAYER}/ladder")).status == 200
    });
    let follows = |place: &str, sentences: u64| {
        browser.go(place);
        browser.run(LISTEN);
        browser.until(
            &format!("{place} says {sentences} sentences"),
            &format!("return window.said.length >= {sentences}"),
        );
    };
    follows("/players/marit", SENTENCES);
    assert!(feed.plays(), "the ladder was looked at too late");

    let brief = json!({"incumbent": "5h", "candidates": ["4u"]});
    let opened = send(&service, "POST", &format!("{PLAYER}/trials"), &brief);
    let id = opened["id"].as_str().unwrap();
    let path = format!("{PLAYER}/trials/{id}");
    follows(&format!("/players/marit/trials/{id}"), SENTENCES);
    assert!(counted(&service, &path) > 0 && feed.plays(), "the trial was looked at too late");

    follows("/players/marit/head-to-head?incumbent=5h&candidate=4u", 2);
    assert!(feed.0.wait().unwrap().success(), "the season was not played to its end");
    let candidate = &ask(&service, PAIR)["candidates"][0];
    browser.shows("#sentence", candidate["words"].as_str().unwrap());
    assert_eq!(candidate["verdict"], "replaces");
    let said = browser.run("return window.said");
    let said: Vec<&str> = said.as_array().unwrap().iter().filter_map(Value::as_str).collect();
    assert!(said.len() > 2, "it said no more than this without a reload: {said:?}");
    browser.go(&format!("/players/marit/trials/{id}"));
    let words = &ask(&service, &path)["standings"][0]["words"];
    browser.shows("#sentence", words.as_str().unwrap());
    browser.close();
}
