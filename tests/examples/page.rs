//! `api-spec/examples/page.html`: short, asks only for what the published description offers, and follows
//! what happens in a real browser.

use std::{
    collections::BTreeSet,
    io::{BufRead, BufReader, Write},
    net::{SocketAddr, TcpListener},
};

use serde_json::{Value, json};

use crate::{
    driver::{Session, is_there},
    support::{Running, season::visits, wait_until},
};

const PAGE: &str = include_str!("../../api-spec/examples/page.html");
const DESCRIPTION: &str = include_str!("../../api-spec/openapi.json");
/// The service that the page asks as it stands.
const SERVICE: &str = "http://127.0.0.1:8417";

/// What is asked of the service, with the player's place as the description has it.
fn asked() -> Vec<String> {
    let marks = PAGE.split("`${service}").skip(1);
    let paths = marks.map(|rest| rest.split('`').next().unwrap());
    paths.map(|path| path.replace("/${player}", "/{player}")).collect()
}

#[test]
fn the_page_fits_on_a_screen() {
    assert!(PAGE.lines().count() <= 41, "{}", PAGE.lines().count());
}

#[test]
fn the_page_asks_for_what_is_there() {
    let description: Value = serde_json::from_str(DESCRIPTION).unwrap();
    let asked = asked();
    let paths: Vec<&str> = asked.iter().map(|path| path.split('?').next().unwrap()).collect();
    assert_eq!(paths, ["/v1/players/{player}/ladder", "/v1/live"]);
    for path in paths {
        assert!(description["paths"][path]["get"].is_object(), "{path}");
    }
}

#[test]
fn the_page_listens_to_events_that_there_are() {
    let description: Value = serde_json::from_str(DESCRIPTION).unwrap();
    let stream = &description["paths"]["/v1/live"]["get"]["responses"]["200"]["content"];
    let events = &stream["text/event-stream"]["schema"]["x-events"];
    let path = asked().pop().unwrap();
    let wanted: BTreeSet<&str> =
        path.split("kind=").skip(1).map(|rest| rest.trim_end_matches('&')).collect();
    assert_eq!(wanted, BTreeSet::from(["correction", "shot", "verdict"]));
    for kind in wanted.into_iter().chain(["reset"]) {
        assert!(events[kind].is_object(), "{kind}");
        assert!(PAGE.contains(&format!("\"{kind}\"")), "nobody listens to {kind}");
    }
}

#[test]
fn the_page_asks_nobody_else() {
    let hosts: Vec<&str> = PAGE
        .split("://")
        .skip(1)
        .map(|rest| rest.split(['/', '"', ' ', '\n']).next().unwrap())
        .collect();
    assert_eq!(hosts, ["localhost:8500", "127.0.0.1:8417"]);
}

/// Serves the page to whoever asks, with the address of a service in place of its own.
fn serve(listener: TcpListener, service: SocketAddr) {
    assert_eq!(PAGE.matches(&format!("\"{SERVICE}\"")).count(), 1);
    let page = PAGE.replace(SERVICE, &format!("http://{service}"));
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            let head = BufReader::new(stream.try_clone().unwrap()).lines();
            head.map_while(Result::ok).take_while(|line| !line.is_empty()).for_each(drop);
            let (length, end) = (page.len(), "Connection: close\r\n\r\n");
            let head = format!("Content-Type: text/html\r\nContent-Length: {length}\r\n{end}");
            drop(write!(stream, "HTTP/1.1 200 OK\r\n{head}{page}"));
        }
    });
}

/// What a person reads on the page: the sentence, and the cells of each club.
fn read(browser: &Session) -> Value {
    let script = "return [document.getElementById('says').textContent, \
         [...document.querySelectorAll('#rungs tr')].map((row) => [...row.cells].map((cell) => cell.textContent))]";
    browser.ask("POST", "/execute/sync", Some(json!({"script": script, "args": []})))
}

/// What the service says of the same.
fn expected(service: &Running) -> Value {
    let ladder = service.get("/v1/players/rowan/ladder").json();
    let rows = ladder["rungs"].as_array().unwrap().iter().map(|rung| {
        let metrics = &rung["metrics"];
        let centre = |name: &str| format!("{:.1}", metrics[name]["centre"].as_f64().unwrap());
        let figures = ["carry_m", "launch_angle_deg", "spin_rate_rpm"].map(centre);
        let shots = metrics["carry_m"]["n"].to_string();
        let club = rung["club"].as_str().unwrap().to_owned();
        [&[club], &figures[..], &[shots]].concat()
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let replacements = service.get("/v1/players/rowan/replacements?incumbent=5h").json();
    let candidates = replacements["candidates"].as_array().unwrap().iter().map(|candidate| {
        let text = |member: &str| candidate[member].as_str().unwrap().replace('_', " ");
        format!("{}: {}", text("club"), text("verdict"))
    });
    json!([candidates.collect::<Vec<_>>().join(" · "), rows])
}

#[test]
fn the_page_follows_in_a_browser() {
    if !is_there() {
        return;
    }
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let origin = format!("http://{}", listener.local_addr().unwrap());
    let service = Running::adjusted(|service| service.origins.list(&origin).unwrap());
    serve(listener, service.address);
    service.stream(&visits(0..1));
    let browser = Session::start();
    browser.ask("POST", "/url", Some(json!({"url": origin})));
    let first = expected(&service);
    assert_eq!(first[0], "4u: undecided");
    wait_until("the page shows the bag", || read(&browser) == first);
    assert_eq!(service.stream(&visits(1..4)).json()["accepted"], 48);
    let later = expected(&service);
    assert_eq!(later[0], "4u: replaces");
    wait_until("the page follows without being loaded anew", || read(&browser) == later);
}
