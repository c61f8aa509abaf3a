//! Every line of the README's five minutes runs, in order, on a fresh store, and answers what the
//! README says.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../clients/service.rs"]
mod service;

use std::process::Command;

use service::Service;

const README: &str = include_str!("../../README.md");
/// Where the README's lines find the service.
const STATED: &str = "http://127.0.0.1:8417";

/// One command and the fragments that its output must hold.
#[derive(Default)]
struct Line {
    command: String,
    expected: Vec<String>,
}

/// The commands of all `sh` blocks. A command goes on until its expected output.
fn lines() -> Vec<Line> {
    let mut lines = Vec::new();
    for block in README.split("```sh\n").skip(1) {
        let (block, _) = block.split_once("\n```").unwrap();
        let mut line = Line::default();
        for text in block.lines() {
            if let Some(fragment) = text.strip_prefix("#> ") {
                line.expected.push(fragment.to_owned());
                continue;
            }
            if !line.expected.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.command.push_str(text);
            line.command.push('\n');
        }
        assert!(!line.expected.is_empty(), "what does this answer?\n{}", line.command);
        lines.push(line);
    }
    lines
}

#[test]
fn the_five_minutes_with_curl_answer_what_they_say() {
    let service = Service::start();
    let lines = lines();
    assert!(lines.len() >= 15, "only {} commands were found", lines.len());
    for line in lines {
        assert!(line.command.contains(STATED), "{} asks nobody", line.command);
        let command = line.command.replace(STATED, &service.url);
        let run = Command::new("bash").args(["-euo", "pipefail", "-c", &command]).output().unwrap();
        let (out, err) =
            (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
        assert!(run.status.success(), "{command}\n{out}{err}");
        for fragment in line.expected {
            assert!(out.contains(&fragment), "{command}\nanswers\n{out}\nand not\n{fragment}");
        }
    }
}

#[test]
fn the_event_in_one_screen_is_an_event() {
    let (_, json) = README.split_once("```json\n").unwrap();
    let (json, _) = json.split_once("\n```").unwrap();
    evencarry::shot::parse(json.as_bytes()).unwrap();
}
