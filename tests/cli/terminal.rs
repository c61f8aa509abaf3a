//! The commands that ask a running service.

use std::{
    io::{BufRead, BufReader},
    path::Path,
    process::{Child, ChildStdout, Stdio},
    sync::mpsc::{Receiver, channel},
    thread,
};

use serde_json::{Value, json};

use crate::{PATIENCE, Running, code, evencarry, raw};

/// Two clubs of rowan's in some visits, the second flying lower.
fn season(service: &Running) {
    let mut lines = String::new();
    for visit in 0..6_u32 {
        for n in 0..10_u32 {
            for (club, launch, spin) in [("5h", 16.8, 5_240.0), ("4u", 13.6, 4_150.0)] {
                let off = f64::from((n * 7 + visit) % 10) / 4.5 - 1.0;
                let shot = json!({
                    "id": format!("{visit}-{n}-{club}"), "source": "bay-3", "player": "rowan", "club": club,
                    "time": format!("2026-03-{:02}T10:{:02}:00Z", visit + 1, 2 * n), "lie": "mat",
                    "launch": {
                        "ball_speed_mps": 51.9 + off, "launch_angle_deg": launch + off,
                        "spin_rate_rpm": spin + 100.0 * off,
                    },
                    "flight": {"carry_m": 158.0 + 3.0 * off, "origin": "tracked"},
                });
                lines.push_str(&shot.to_string());
                lines.push('\n');
            }
        }
    }
    let sent = raw::with_body("application/x-ndjson", "POST", "/v1/shots", lines.as_bytes());
    assert_eq!(service.ask(&sent).json()["accepted"], 120);
}

fn get(service: &Running, path: &str) -> raw::Answer {
    service.ask(format!("GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
}

fn told(service: &Running, arguments: &[&str]) -> String {
    let (status, out, told) = code(evencarry(arguments).args(["--url", &service.url]));
    assert_eq!((status, told.as_str()), (Some(0), ""), "{arguments:?}");
    out
}

#[test]
fn with_json_the_terminal_prints_what_curl_gets() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let pair = "incumbent=5h&candidate=4u";
    for units in ["si", "imperial"] {
        let weather = format!("comparisons?{pair}&conditions=true&units={units}");
        let judged = format!("replacements?{pair}&units={units}");
        for (arguments, paths) in [
            (&["profile", "rowan", "5h"][..], vec![format!("clubs/5h/profile?units={units}")]),
            (&["ladder", "rowan"], vec![format!("ladder?units={units}")]),
            (
                &["compare", "rowan", "5h", "4u"],
                vec![format!("comparisons?{pair}&units={units}"), judged.clone()],
            ),
            (&["compare", "rowan", "5h", "4u", "--weather"], vec![weather, judged]),
        ] {
            let printed = told(&service, &[arguments, &["--json", "--units", units]].concat());
            let answers = paths.iter().map(|path| {
                format!("{}\n", get(&service, &format!("/v1/players/rowan/{path}")).text())
            });
            assert_eq!(printed, answers.collect::<String>(), "{arguments:?}");
        }
    }
}

/// A number as the terminal writes it: so many digits behind the point.
fn written(value: &Value, digits: usize) -> String {
    format!("{:.digits$}", value.as_f64().unwrap()).replace('-', "−")
}

/// The cells of the row that begins so.
fn row(text: &str, begins: &str) -> Vec<String> {
    let line = text.lines().find(|line| line.starts_with(&format!("  {begins}  ")));
    let line = line.unwrap_or_else(|| panic!("no row begins with {begins}:\n{text}"));
    line.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).map(str::to_owned).collect()
}

#[test]
fn the_tables_show_the_numbers_that_curl_gets() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let profile = get(&service, "/v1/players/rowan/clubs/5h/profile").json();
    let carry = &profile["metrics"]["carry_m"];
    let text = told(&service, &["profile", "rowan", "5h"]);
    let cells = row(&text, "carry");
    assert_eq!(cells[..4], ["carry", "m", &carry["n"].to_string(), &written(&carry["median"], 1)]);
    assert_eq!(cells[5], written(&carry["mean"], 1));
    assert!(text.contains("60 of 60 shots counted, in 6 visits"), "{text}");

    let ladder = get(&service, "/v1/players/rowan/ladder?units=imperial").json();
    let text = told(&service, &["ladder", "rowan", "--units", "imperial"]);
    for rung in ladder["rungs"].as_array().unwrap() {
        let cells = row(&text, rung["club"].as_str().unwrap());
        assert_eq!(cells[3], written(&rung["metrics"]["carry_yd"]["centre"], 1), "{text}");
    }

    let pair = "incumbent=5h&candidate=4u";
    let compared = get(&service, &format!("/v1/players/rowan/comparisons?{pair}")).json();
    let judged = get(&service, &format!("/v1/players/rowan/replacements?{pair}")).json();
    let text = told(&service, &["compare", "rowan", "5h", "4u"]);
    let launch = &compared["differences"]["launch_angle_deg"];
    let bounds = format!("{} to {}", written(&launch["low"], 1), written(&launch["high"], 1));
    assert_eq!(row(&text, "launch angle")[2..], [written(&launch["estimate"], 1), bounds]);
    assert_eq!(judged["candidates"][0]["verdict"], "replaces");
    let words = judged["candidates"][0]["words"].as_str().unwrap();
    assert!(text.starts_with(&format!("{words}\n")), "{text}");
    for given_up in judged["candidates"][0]["given_up"].as_array().unwrap() {
        assert!(text.contains(given_up["words"].as_str().unwrap()), "{text}");
    }
}

#[test]
fn the_weather_is_told_as_sentences_and_a_table_of_the_numbers_that_curl_gets() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let asked =
        "/v1/players/rowan/comparisons?incumbent=5h&candidate=4u&conditions=true&units=imperial";
    let conditions = &get(&service, asked).json()["conditions"];
    let arguments = ["compare", "rowan", "5h", "4u", "--weather", "--units", "imperial"];
    let text = told(&service, &arguments);
    assert!(text.contains(conditions["words"].as_str().unwrap()), "{text}");
    assert!(text.ends_with(&format!("{}\n", conditions["caution"].as_str().unwrap())), "{text}");
    let cold = &conditions["cold_and_wet"];
    for (begins, weather) in [
        ("20.0 mph ahead", &conditions["winds"][1]),
        ("10.0 mph behind", &conditions["winds"][3]),
        ("30.0 mph from the right", &conditions["winds"][8]),
        ("still, 41 °F", cold),
    ] {
        let of = |club: &str, member: &str| weather[club][member].clone();
        let kept = &weather["candidate_keeps_yd"];
        let wanted = ["incumbent", "candidate"].map(|club| {
            [
                written(&of(club, "carry_yd")["median"], 1),
                written(&of(club, "carry_change_yd"), 1),
                written(&of(club, "drift_yd"), 1),
            ]
        });
        let bounds = format!("{} to {}", written(&kept["low"], 1), written(&kept["high"], 1));
        let wanted = [&wanted.concat()[..], &[written(&kept["estimate"], 1), bounds]].concat();
        let unsigned = |cells: &[String]| -> Vec<String> {
            cells.iter().map(|cell| cell.replace("−0.0", "0.0")).collect()
        };
        assert_eq!(unsigned(&row(&text, begins)[1..]), unsigned(&wanted), "{begins}\n{text}");
    }
    assert!(!told(&service, &["compare", "rowan", "5h", "4u"]).contains("mph"));
}

#[test]
fn what_goes_wrong_is_told_with_its_exit_code() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let ask = |arguments: &[&str]| code(evencarry(arguments).args(["--url", &service.url]));
    let (status, out, told) = ask(&["ladder", "robin"]);
    assert_eq!((status, out.as_str()), (Some(64), ""));
    assert!(told.contains("404") && told.contains("robin"), "{told}");
    let (status, _, told) = ask(&["compare", "rowan", "5h", "5h"]);
    assert_eq!(status, Some(64));
    assert!(told.contains("the incumbent itself"), "{told}");
    let (status, _, told) = ask(&["watch", "--player", "robin"]);
    assert_eq!(status, Some(64));
    assert!(told.contains("no player is called \"robin\""), "{told}");
    assert_eq!(ask(&["watch", "--incumbent", "5h"]).0, Some(64));
    assert_eq!(ask(&["ladder", "rowan", "--units", "cubits"]).0, Some(64));
    let url = service.url.clone();
    drop(service);
    for arguments in [&["ladder", "rowan"][..], &["watch"]] {
        let (status, _, told) = code(evencarry(arguments).args(["--url", &url]));
        assert_eq!(status, Some(69), "{told}");
        assert!(told.contains("does not answer") && told.contains("evencarry serve"), "{told}");
    }
    let (status, _, told) = code(evencarry(&["ladder", "rowan"]).args(["--url", "bay"]));
    assert_eq!(status, Some(64));
    assert!(told.contains("no URL that can be asked"), "{told}");
}

#[test]
fn what_was_exported_is_imported_whole_into_a_service_that_holds_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(&folder.path().join("one"), &[]);
    season(&service);
    let file = folder.path().join("all.ndjson");
    let name = file.to_str().unwrap();
    let (status, out, told) = code(evencarry(&["export", name]).args(["--url", &service.url]));
    assert_eq!(status, Some(0), "{told}");
    assert!(out.ends_with("120 frames, 120 shots\n"), "{out}");
    // No terminal, so lines tell how far it is.
    assert!(told.ends_with("export: 120 frames of 120 frames\n"), "{told}");
    let other = Running::start(&folder.path().join("other"), &[]);
    let (status, out, told) = code(evencarry(&["import", name]).args(["--url", &other.url]));
    assert_eq!(status, Some(0), "{told}");
    assert!(out.ends_with("120 frames, 120 shots, 0 left out\n"), "{out}");
    assert!(told.contains("import: "), "{told}");
    assert!(told.ends_with("the service verifies and stores it\n"), "{told}");
    let asked = "/v1/players/rowan/replacements?incumbent=5h";
    assert_eq!(get(&service, asked).text(), get(&other, asked).text());
    let (status, _, told) = code(evencarry(&["import", name]).args(["--url", &other.url]));
    assert_eq!(status, Some(64), "{told}");
    assert!(told.contains("409"), "{told}");
    let nobody = folder.path().join("nobody.ndjson");
    let ask = ["export", nobody.to_str().unwrap(), "--player", "robin", "--url", &service.url];
    assert_eq!(code(&mut evencarry(&ask)).0, Some(64));
    let (status, _, told) = code(evencarry(&["import", "none"]).args(["--url", &other.url]));
    assert_eq!(status, Some(66), "{told}");
    let left: Vec<_> =
        std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 3, "{left:?}");
}

/// A watch that runs; its lines as they come.
struct Watching {
    child: Child,
    lines: Receiver<String>,
}

impl Watching {
    fn start(url: &str, arguments: &[&str]) -> Self {
        let mut command = evencarry(&["watch", "--url", url]);
        let mut child = command.args(arguments).stdout(Stdio::piped()).spawn().unwrap();
        let lines = lines_of(child.stdout.take().unwrap());
        Self { child, lines }
    }

    fn next(&self) -> String {
        self.lines.recv_timeout(PATIENCE).expect("a line comes")
    }

    /// The next line that holds a text.
    fn until(&self, text: &str) -> String {
        loop {
            let line = self.next();
            if line.contains(text) {
                return line;
            }
        }
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

fn lines_of(out: ChildStdout) -> Receiver<String> {
    let (sender, lines) = channel();
    thread::spawn(move || {
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            // A line that nobody waits for is of no interest.
            drop(sender.send(line));
        }
    });
    lines
}

fn send(service: &Running, id: u32) {
    let shot = json!({
        "id": format!("w{id}"), "source": "bay-3", "player": "rowan", "club": "4u", "lie": "mat",
        "time": "2026-04-11T10:15:04Z",
        "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 13.6, "spin_rate_rpm": 4150},
        "flight": {"carry_m": 158.4, "origin": "tracked"},
    });
    let body = shot.to_string();
    let sent = raw::with_body("application/json", "POST", "/v1/shots", body.as_bytes());
    assert_eq!(service.ask(&sent).status, 201);
}

#[test]
fn watching_tells_shots_and_verdicts_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    for (path, body) in [
        ("/v1/players/rowan", r#"{"name":"Rowan"}"#),
        ("/v1/players/rowan/clubs/4u", r#"{"name":"4-utility","kind":"utility"}"#),
        ("/v1/players/rowan/clubs/5h", r#"{"name":"5-hybrid","kind":"hybrid"}"#),
        ("/v1/sources/bay-3", r#"{"name":"Bay 3"}"#),
    ] {
        let put = raw::with_body("application/json", "PUT", path, body.as_bytes());
        assert!(service.ask(&put).status < 300, "{path}");
    }
    let watching = Watching::start(
        &service.url,
        &["--player", "rowan", "--incumbent", "5h", "--candidate", "4u", "--units", "imperial"],
    );
    let asked = "/v1/players/rowan/replacements?incumbent=5h&candidate=4u&units=imperial";
    let judged = get(&service, asked).json();
    let words = judged["candidates"][0]["words"].as_str().unwrap();
    assert!(words.contains("4-utility can take the place of 5-hybrid"), "{words}");
    assert_eq!(watching.next(), format!("verdict  Proven: {words}"));
    send(&service, 1);
    let line = watching.until("10:15:04");
    for part in ["Bay 3", "Rowan", "4-utility", "carry 173 yd", "launch 13.6°", "spin 4150 rpm"] {
        assert!(line.contains(part), "{part}: {line}");
    }
}

/// A service on a port that is known before.
fn serve_at(data: &Path, port: u16) -> Running {
    Running::start(data, &["--listen", &format!("127.0.0.1:{port}")])
}

#[test]
fn a_watch_goes_on_when_the_service_is_back_and_tells_every_shot_once() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let port: u16 = service.url.rsplit(':').next().unwrap().parse().unwrap();
    let watching =
        Watching::start(&service.url, &["--json", "--source", "bay-3", "--after", "120"]);
    let next = || -> u64 {
        let event: Value = serde_json::from_str(&watching.until("\"shot\"")).unwrap();
        assert_eq!(event["data"]["sequence"], event["id"]);
        event["id"].as_u64().unwrap()
    };
    (0..5).for_each(|n| send(&service, n));
    assert_eq!([next(), next(), next(), next(), next()], [121, 122, 123, 124, 125]);
    drop(service);
    let service = serve_at(folder.path(), port);
    (5..10).for_each(|n| send(&service, n));
    assert_eq!([next(), next(), next(), next(), next()], [126, 127, 128, 129, 130]);
}

#[test]
fn a_watch_ends_when_nobody_reads_it() {
    let folder = tempfile::tempdir().unwrap();
    let service = Running::start(folder.path(), &[]);
    season(&service);
    let mut command = evencarry(&["watch", "--url", &service.url, "--after", "0"]);
    let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
    let mut first = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
    assert!(first.contains("10:00:00"), "{first}");
    send(&service, 1);
    let deadline = std::time::Instant::now() + PATIENCE;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        assert!(std::time::Instant::now() < deadline, "the watch does not end");
        thread::yield_now();
    };
    assert!(status.success(), "{status}");
}
