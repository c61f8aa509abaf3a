//! The feed as a person runs it: the built program against a stand-in for the service.
#![allow(clippy::unwrap_used, missing_docs, unreachable_pub)]

mod support;

use rustix::process::{Pid, Signal, kill_process};
use serde_json::{Value, json};
use std::path::Path;
use std::process::{Output, Stdio};
use std::time::Duration;
use support::{Asked, StandIn, as_told, candidate};
use tokio::process::{Child, Command};

const FEED: &str = env!("CARGO_BIN_EXE_demo-feed");

/// Shots of the season, whatever the seed.
const SHOTS: usize = 565;

fn feed(arguments: &[&str]) -> Command {
    let mut command = Command::new(FEED);
    command.env_remove("CARGO");
    command.args(arguments).stdin(Stdio::null()).kill_on_drop(true);
    command
}

async fn output(mut command: Command) -> Output {
    tokio::time::timeout(Duration::from_mins(1), command.output()).await.unwrap().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn interrupt(child: &Child) {
    let pid = Pid::from_raw(child.id().unwrap().cast_signed()).unwrap();
    kill_process(pid, Signal::INT).unwrap();
}

fn shots(asked: &[Asked]) -> Vec<Value> {
    asked
        .iter()
        .filter(|asked| asked.line == "POST /v1/shots")
        .flat_map(|asked| asked.body.lines())
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[tokio::test]
async fn the_season_is_fed_in_order_and_the_story_is_told() {
    let service = StandIn::answering(as_told()).await;
    let output =
        output(feed(&["--to", &service.url(), "--speed", "max", "--exit", "--expect-story"])).await;
    let said = said(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("The 4-utility replaces the 5-hybrid."), "{said}");
    assert!(said.contains("Visit 14, 4 March: "), "{said}");
    assert!(said.contains("565 of 565 in all"), "{said}");
    assert!(said.contains("never take a safe distance"), "{said}");
    let wind = "4-utility    131 m, without wind 154 m (drag and lift fitted to its own 87 tracked";
    assert!(said.contains(wind), "{said}");

    let asked = service.asked();
    let shots = shots(&asked);
    assert_eq!(shots.len(), SHOTS);
    let time = |shot: &Value| shot["time"].as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
    assert!(shots.is_sorted_by(|a, b| time(a) < time(b)));
    let questions = asked.iter().filter(|asked| asked.line.contains("/replacements?")).count();
    assert_eq!(questions, 14 + 1, "after each visit, and at the end");
    let flown: Vec<_> = asked
        .iter()
        .filter_map(|asked| asked.line.strip_prefix("GET /v1/players/marit/clubs/"))
        .map(|club| club.strip_suffix("/flight?wind_speed_mph=20&wind_from_deg=0").unwrap())
        .collect();
    assert_eq!(flown, ["5h", "4u", "4i", "9w", "3u"], "the incumbent and who wants its place");
}

#[tokio::test]
async fn the_first_ball_is_assigned_before_the_bay_learns_who_is_there() {
    let service = StandIn::answering(as_told()).await;
    output(feed(&["--to", &service.url(), "--speed", "max", "--exit"])).await;
    let asked = service.asked();
    let catalogued = asked.iter().take_while(|asked| asked.line.starts_with("PUT ")).count();
    let next = &asked[catalogued..];
    assert_eq!(next[0].line, "POST /v1/shots");
    let first: Value = serde_json::from_str(&next[0].body).unwrap();
    assert_eq!((first.get("player"), first.get("club")), (None, None));
    assert_eq!(next[1].line, "POST /v1/assignments");
    assert_eq!(
        serde_json::from_str::<Value>(&next[1].body).unwrap(),
        json!({"filter": {"source": "bay-7", "last": 1},
               "set": {"player": "marit", "club": "5h"}, "dry_run": false})
    );
    assert_eq!(next[2].line, "PUT /v1/sources/bay-7/context");
}

#[tokio::test]
async fn another_verdict_is_told_as_it_is_and_ends_with_status_3() {
    let answer = json!([candidate("4u", "undecided", &[])]);
    let service = StandIn::answering(answer).await;
    let output =
        output(feed(&["--to", &service.url(), "--speed", "max", "--exit", "--expect-story"])).await;
    let said = said(&output);
    assert_eq!(output.status.code(), Some(3), "{said}");
    assert!(said.contains("The 4-utility: undecided, outlook: even (50 %)."), "{said}");
    assert!(said.contains("the answer is `undecided`"), "{said}");
    assert!(said.contains("The answer leaves out the 9-wood."), "{said}");
}

#[tokio::test]
async fn without_expectation_another_verdict_is_no_failure() {
    let service = StandIn::answering(json!([candidate("4u", "insufficient", &[])])).await;
    let output = output(feed(&["--to", &service.url(), "--speed", "max", "--exit"])).await;
    assert_eq!(output.status.code(), Some(0));
}

#[tokio::test]
async fn a_service_that_is_not_there_is_one_plain_sentence() {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let url = format!("http://{}", listener.local_addr().unwrap());
    drop(listener);
    let output = output(feed(&["--to", &url, "--speed", "max"])).await;
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        String::from_utf8_lossy(&output.stderr),
        format!(
            "demo-feed: nothing answers at {url}: start the service first, or leave out --to\n"
        )
    );
}

#[tokio::test]
async fn ctrl_c_stops_in_the_middle_of_the_play() {
    let service = StandIn::answering(as_told()).await;
    let child = feed(&["--to", &service.url(), "--speed", "0.5"]).stdout(Stdio::null()).spawn();
    let mut child = child.unwrap();
    service.until_asked("PUT /v1/sources/bay-7/context").await;
    interrupt(&child);
    let status = tokio::time::timeout(Duration::from_secs(30), child.wait()).await.unwrap();
    assert_eq!(status.unwrap().code(), Some(130));
    assert!(shots(&service.asked()).len() < SHOTS);
}

#[tokio::test]
async fn the_service_of_our_own_is_found_beside_us_and_gone_after_ctrl_c() {
    let service = StandIn::answering(as_told()).await;
    // The program and, beside it, one that stands in for the service's executable.
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let stores = tempfile::tempdir().unwrap();
    let ready = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/ready.sh");
    std::fs::hard_link(FEED, place.path().join("demo-feed")).unwrap();
    std::os::unix::fs::symlink(ready, place.path().join("evencarry")).unwrap();

    let child = Command::new(place.path().join("demo-feed"))
        .env_remove("CARGO")
        .args(["--listen", &service.address.to_string(), "--speed", "max"])
        .env("TMPDIR", stores.path())
        .stdout(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .unwrap();
    // The last question before it settles down to wait.
    service.until_asked("GET /v1/players/marit/ladder").await;
    assert_eq!(stores.path().read_dir().unwrap().count(), 1);
    interrupt(&child);
    let output = tokio::time::timeout(Duration::from_secs(30), child.wait_with_output()).await;
    let said = said(&output.unwrap().unwrap());
    assert!(said.ends_with("The service is stopped, and its store is gone.\n"), "{said}");
    assert_eq!(stores.path().read_dir().unwrap().count(), 0);
}

#[tokio::test]
async fn written_shots_are_complete_in_themselves_and_need_no_service() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("shots.ndjson");
    let output = output(feed(&["--write", path.to_str().unwrap()])).await;
    assert_eq!(output.status.code(), Some(0));
    let text = std::fs::read_to_string(&path).unwrap();
    let events: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(events.len(), SHOTS);
    for event in events {
        for member in ["id", "source", "time", "player", "club", "session", "lie", "ball"] {
            assert!(event[member].is_string(), "{member}: {event}");
        }
    }
}
