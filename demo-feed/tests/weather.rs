//! What the season says of the weather that is coming, as the service answers it: the swap is made for it.
//! It needs the service's executable beside ours, as a build of the workspace puts it.
#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]

use rustix::process::{Pid, Signal, kill_process};
use serde_json::Value;
use std::process::Stdio;
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::Command;

/// The season is loaded, and the service that holds it stays up.
const LOADED: &str = "The service stays up at ";

/// Plays the season into a service of its own, and asks that service one thing.
async fn asked_of_the_season(path: &str) -> Value {
    let mut feed = Command::new(env!("CARGO_BIN_EXE_demo-feed"))
        .env_remove("CARGO")
        .args(["--listen", "127.0.0.1:0", "--speed", "max"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .unwrap();
    let mut said = BufReader::new(feed.stdout.take().unwrap()).lines();
    let loaded = async {
        while let Some(line) = said.next_line().await.unwrap() {
            if let Some(rest) = line.strip_prefix(LOADED) {
                return rest.split(". ").next().unwrap().to_owned();
            }
        }
        panic!("the season was not loaded");
    };
    let url = tokio::time::timeout(Duration::from_mins(3), loaded).await.unwrap();
    let answer = reqwest::get(format!("{url}{path}")).await.unwrap();
    let answer = serde_json::from_slice(&answer.bytes().await.unwrap()).unwrap();
    let pid = Pid::from_raw(feed.id().unwrap().cast_signed()).unwrap();
    kill_process(pid, Signal::INT).unwrap();
    // It stops its service, which must not outlive it, and says so; nobody may hold its output up.
    while said.next_line().await.unwrap().is_some() {}
    feed.wait().await.unwrap();
    answer
}

#[tokio::test]
async fn the_replacement_keeps_more_into_the_wind_and_pays_for_it_downwind_and_with_weak_strikes() {
    let question = "incumbent=5h&candidate=4u&conditions=true&units=imperial";
    let answer = asked_of_the_season(&format!("/v1/players/marit/comparisons?{question}")).await;
    let told = &answer["conditions"];
    // Head, tail and cross, each of 10, 20 and 30 mph.
    let of_wind = |place: usize, end: &str| {
        let there = &told["winds"][place];
        assert_eq!(there["wind"]["speed_mph"].as_f64().map(f64::round), Some(20.0), "{there}");
        there["candidate_keeps_yd"][end].as_f64().unwrap() * 0.9144
    };
    assert!(of_wind(1, "estimate") >= 9.0, "m kept into the wind: {}", of_wind(1, "estimate"));
    assert!(of_wind(1, "low") > 5.0, "and by either model: {}", of_wind(1, "low"));
    assert!(of_wind(4, "high") < 0.0, "given up downwind by either model");
    let costs = |end: &str| told["weak_strikes"]["costs_more_still_yd"][end].as_f64().unwrap();
    assert!(costs("low") > 0.0, "a weak strike costs it more by either model: {}", costs("low"));
    let words = told["words"].as_str().unwrap();
    for said in [
        "Into 20 mph of wind 4-utility keeps ",
        " more of its carry than 5-hybrid (",
        " yd by the two models).",
        "With 20 mph from behind, 4-utility gives up ",
        "In still air a weak strike of 4-utility ends ",
        ": it costs 4-utility ",
        " more carry (",
        "by the model of a modern ball, fitted to each club's own shots",
    ] {
        assert!(words.contains(said), "no {said:?} in {words:?}");
    }
}
