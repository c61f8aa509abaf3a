//! The forms of a list of shots: JSON, NDJSON and CSV, written piece by piece, and gzip.

use std::sync::{Arc, atomic::Ordering};

use serde_json::Value;

use crate::support::{
    Answer, Running,
    failing_disk::{Failures, UNREADABLE, home},
    shot,
};

const NDJSON: &str = "Accept: application/x-ndjson\r\n";
const CSV: &str = "Accept: text/csv\r\n";

/// A shot with so much beside it that is kept and given back.
fn large(id: &str, more: &str) -> String {
    let padding = "x".repeat(15_000);
    shot(id).replace("\"lie\"", &format!("\"ext\":{{\"padding\":\"{more}{padding}\"}},\"lie\""))
}

fn filled_with(service: &Running, shots: impl Iterator<Item = String>) {
    let lines: String = shots.map(|shot| shot + "\n").collect();
    let answer = service.stream(&lines).json();
    assert_eq!(answer["refused"], 0, "{answer}");
}

/// Rows by an independent reader of RFC 4180, each as its cells by the names of their columns.
fn rows(answer: &Answer) -> Vec<Vec<(String, String)>> {
    assert_eq!(answer.status, 200, "{}", answer.text());
    assert_eq!(answer.header("content-type"), Some("text/csv; charset=utf-8"));
    let mut reader = csv::Reader::from_reader(answer.text().as_bytes());
    let names: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let cells = |row: csv::Result<csv::StringRecord>| {
        names.iter().cloned().zip(row.unwrap().iter().map(str::to_owned)).collect()
    };
    reader.records().map(cells).collect()
}

fn cell<'a>(row: &'a [(String, String)], name: &str) -> &'a str {
    &row.iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("no {name}")).1
}

#[test]
fn all_forms_hold_the_same_shots_and_lead_to_the_same_next_page() {
    let service = Running::start();
    filled_with(&service, (0..25).map(|n| shot(&format!("{n:02}"))));
    for order in ["oldest", "newest"] {
        let mut paths = vec![format!("/v1/shots?player=rowan&limit=10&order={order}")];
        let mut pages = 0;
        while let Some(path) = paths.pop() {
            let json = service.get(&path);
            let ids: Vec<String> = json.json()["items"]
                .as_array()
                .unwrap()
                .iter()
                .map(|item| item["event"]["id"].as_str().unwrap().to_owned())
                .collect();
            let lines = service.get_with(&path, NDJSON);
            let of_line =
                |line: &str| serde_json::from_str::<Value>(line).unwrap()["event"]["id"].clone();
            assert_eq!(lines.text().lines().map(of_line).collect::<Vec<_>>(), ids);
            let table = service.get_with(&path, CSV);
            let table_ids: Vec<String> =
                rows(&table).iter().map(|row| cell(row, "id").to_owned()).collect();
            assert_eq!(table_ids, ids);
            for other in [&lines, &table] {
                assert_eq!(other.header("link"), json.header("link"));
            }
            pages += 1;
            let link = json.header("link").map(|link| link.trim_start_matches('<'));
            paths.extend(link.map(|link| link.split_once('>').unwrap().0.to_owned()));
        }
        assert_eq!(pages, 3, "{order}");
    }
}

#[test]
fn a_table_shows_what_is_effective_and_what_was_measured() {
    let service = Running::start();
    let sent = r#"{"id":"1","source":"bay-3","time":"2026-04-11T10:15:04.120+02:00","player":"rowan","club":"5h","session":"spring, 1","intent":{"shape":"fade"},"wet":true,
        "launch":{"ball_speed_mph":116.5,"launch_angle_deg":16.8,"launch_direction_deg":-0.8,"backspin_rpm":4000,"sidespin_rpm":3000},
        "clubhead":{"speed_kmh":136.8},"flight":{"carry_yd":180,"apex_ft":90,"origin":"tracked","adjusted_for":["air","wind"]},
        "air":{"temperature_f":50,"altitude_m":1480},"wind":{"speed_kt":10,"from_deg":0,"height_m":10},"target":{"distance_m":160},"ground":"soft"}"#;
    assert_eq!(service.send("POST", "/v1/shots", sent).status, 201);
    let patch = r#"{"lie":"tee","ball":"range-b","set_aside":{"reason":"phone \"rang\", twice"}}"#;
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1", patch).status, 200);
    let table = service.get_with("/v1/shots", CSV);
    assert!(
        table.text().starts_with("sequence,source,id,time,player,club,session,lie,height,shape,")
    );
    assert!(table.text().ends_with("\r\n"));
    let rows = rows(&table);
    assert_eq!(rows.len(), 1);
    for (name, expected) in [
        ("sequence", "1"),
        ("source", "bay-3"),
        ("id", "1"),
        ("time", "2026-04-11T08:15:04.12Z"),
        ("player", "rowan"),
        ("club", "5h"),
        ("session", "spring, 1"),
        ("lie", "tee"),
        ("height", "stock"),
        ("shape", "fade"),
        ("swing", "full"),
        ("purpose", "practice"),
        ("ball", "range-b"),
        ("wet", "true"),
        ("place", ""),
        ("set_aside", "phone \"rang\", twice"),
        ("launch_angle_deg", "16.8"),
        ("launch_direction_deg", "-0.8"),
        ("spin_rate_rpm", "5000"),
        ("clubhead_speed_mps", "38"),
        ("carry_m", "164.592"),
        ("apex_m", "27.432"),
        ("total_m", ""),
        ("temperature_c", "10"),
        ("pressure_hpa", ""),
        ("altitude_m", "1480"),
        ("wind_from_deg", "0"),
        ("wind_height_m", "10"),
        ("target_distance_m", "160"),
        ("ground", "soft"),
        ("flight_origin", "tracked"),
        ("adjusted_for", "air wind"),
    ] {
        assert_eq!(cell(&rows[0], name), expected, "{name}");
    }
    let close = |name: &str, expected: f64| {
        let found: f64 = cell(&rows[0], name).parse().unwrap();
        assert!((found - expected).abs() < 1e-9, "{name}: {found}");
    };
    // 116.5 miles of 1,609.344 m an hour; ten knots of 1,852 m an hour; atan2(3000, 4000).
    close("ball_speed_mps", 52.08016);
    close("wind_speed_mps", 5.144_444_444_444);
    close("spin_axis_deg", 36.869_897_645_844);
}

#[test]
fn a_table_comes_in_imperial_units_when_asked() {
    let service = Running::start();
    let sent = shot("1")
        .replace("\"carry_m\":158.3", "\"carry_yd\":173,\"apex_ft\":90")
        .replace("\"lie\"", "\"air\":{\"temperature_f\":50},\"lie\"");
    assert_eq!(service.send("POST", "/v1/shots", &sent).status, 201);
    let table = rows(&service.get_with("/v1/shots?units=imperial", CSV));
    let close = |name: &str, expected: f64| {
        let found: f64 = cell(&table[0], name).parse().unwrap();
        assert!((found - expected).abs() < 1e-9, "{name}: {found}");
    };
    close("carry_yd", 173.0);
    close("apex_ft", 90.0);
    close("temperature_f", 50.0);
    close("ball_speed_mph", 51.9 / 0.447_04);
    assert!(table[0].iter().all(|(name, _)| !name.ends_with("_m") && !name.ends_with("_mps")));
    // As JSON an event comes as it was sent.
    assert_eq!(
        service.get("/v1/shots?units=imperial").problem()["errors"][0]["parameter"],
        "units"
    );
}

#[test]
fn no_cell_is_a_formula_to_a_spreadsheet() {
    let service = Running::start();
    let names = ["=1+1", "+1", "-7", "@sum", "'quoted", "plain"];
    filled_with(&service, names.iter().map(|name| shot(name).replace("rowan", name)));
    let table = rows(&service.get_with("/v1/shots", CSV));
    for (row, name) in table.iter().zip(names) {
        for column in ["id", "player"] {
            let shown = cell(row, column);
            assert!(!shown.starts_with(['=', '+', '-', '@']), "{shown}");
            assert_eq!(shown.strip_prefix('\'').unwrap_or(shown), name);
        }
    }
    assert_eq!(cell(&table[5], "id"), "plain");
}

#[test]
fn a_large_page_comes_in_pieces_of_bounded_size() {
    let service = Running::start();
    filled_with(&service, (0..60).map(|n| large(&format!("{n:02}"), "")));
    for fields in ["", NDJSON] {
        let mut connection = service.connect();
        let ask = format!("GET /v1/shots?limit=60 HTTP/1.1\r\nHost: localhost\r\n{fields}\r\n");
        connection.send(ask.as_bytes());
        assert_eq!(connection.head_answer().header("content-length"), None);
        let (pieces, whole) = connection.pieces();
        assert!(whole);
        // A piece is full at 64 KiB, and may go beyond by one shot.
        assert!(pieces.iter().all(|piece| piece.len() < 64 * 1024 + 17 * 1024));
        assert!(pieces.len() > 8, "{}", pieces.len());
        let text = pieces.concat();
        let count = if fields.is_empty() {
            serde_json::from_slice::<Value>(&text).unwrap()["items"].as_array().unwrap().len()
        } else {
            text.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()).count()
        };
        assert_eq!(count, 60);
    }
}

#[test]
fn what_cannot_be_read_in_the_middle_cuts_the_answer_off() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |_| {});
    let mark = |n: usize| if n == 50 { UNREADABLE } else { "" };
    filled_with(&service, (0..60).map(|n| large(&format!("{n:02}"), mark(n))));
    failures.reads.store(true, Ordering::SeqCst);
    for fields in ["", NDJSON, "Accept-Encoding: gzip\r\n"] {
        let mut connection = service.connect();
        let ask = format!("GET /v1/shots?limit=60 HTTP/1.1\r\nHost: localhost\r\n{fields}\r\n");
        connection.send(ask.as_bytes());
        assert_eq!(connection.head_answer().status, 200);
        let (_, whole) = connection.pieces();
        assert!(!whole, "the client takes a part for the whole");
    }
    // What fails before the first bytes is a problem like any other.
    assert_eq!(service.get("/v1/shots?order=newest&limit=10").problem()["status"], 500);
    assert_eq!(service.get("/v1/shots?limit=40").status, 200);
}

#[test]
fn head_is_get_without_the_body() {
    let service = Running::start();
    filled_with(&service, (0..12).map(|n| large(&format!("{n:02}"), "")));
    for (path, fields) in [
        ("/v1/shots?limit=2", ""),
        ("/v1/shots?limit=2", CSV),
        ("/v1/shots?limit=12", NDJSON),
        ("/v1/players/rowan/ladder", ""),
        ("/v1/players/rowan/ladder", "Accept-Encoding: gzip\r\n"),
        ("/openapi.json", ""),
        ("/v1/players/nobody", ""),
    ] {
        let get = service.get_with(path, fields);
        let mut connection = service.connect();
        let ask = format!("HEAD {path} HTTP/1.1\r\nHost: localhost\r\n{fields}\r\n");
        connection.send(ask.as_bytes());
        let head = connection.head_answer();
        assert_eq!(head.status, get.status, "{path}");
        for name in ["content-type", "etag", "link", "vary", "cache-control", "content-encoding"] {
            assert_eq!(head.header(name), get.header(name), "{path} {name}");
        }
        if head.header("content-length").is_some() {
            assert_eq!(head.header("content-length"), get.header("content-length"), "{path}");
        }
        // Nothing follows but the next answer.
        connection.send(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n");
        assert_eq!(connection.answer().json()["status"], "alive", "{path}");
    }
}

#[test]
fn gzip_goes_to_who_takes_it_and_means_the_same() {
    let service = Running::start();
    filled_with(&service, (0..40).map(|n| shot(&format!("{n:02}"))));
    for path in ["/v1/shots", "/v1/players/rowan/clubs/5h/profile", "/openapi.json"] {
        let plain = service.get(path);
        assert_eq!(plain.header("content-encoding"), None);
        assert!(plain.header("vary").unwrap().contains("Accept-Encoding"));
        let zipped = service.get_with(path, "Accept-Encoding: br, gzip\r\n");
        assert_eq!(zipped.header("content-encoding"), Some("gzip"), "{path}");
        assert_eq!(zipped.header("content-type"), plain.header("content-type"));
        assert!(zipped.body.len() < plain.body.len() / 2);
        assert_eq!(zipped.decoded(), plain.body, "{path}");
        // The tag of another coding is weak, and counts as the same.
        let tag = zipped.header("etag").unwrap();
        assert!(tag.starts_with("W/\""), "{tag}");
        assert_eq!(service.get_with(path, &format!("If-None-Match: {tag}\r\n")).status, 304);
        for unwanted in ["identity", "gzip;q=0", "gzip;q=0.1, identity"] {
            let answer = service.get_with(path, &format!("Accept-Encoding: {unwanted}\r\n"));
            assert_eq!(answer.header("content-encoding"), None, "{unwanted}");
        }
    }
}

#[test]
fn a_small_answer_is_sent_as_it_is_unless_that_is_refused() {
    let service = Running::start();
    let small = service.get_with("/healthz", "Accept-Encoding: gzip\r\n");
    assert_eq!(small.header("content-encoding"), None);
    let only = service.get_with("/healthz", "Accept-Encoding: gzip, identity;q=0\r\n");
    assert_eq!(only.header("content-encoding"), Some("gzip"));
    assert_eq!(only.decoded(), small.body);
    let neither = service.get_with("/healthz", "Accept-Encoding: identity;q=0\r\n");
    assert_eq!(neither.status, 406);
    neither.problem();
}
