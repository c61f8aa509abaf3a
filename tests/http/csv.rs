//! Tables of shots: mappings as documents, and rows that come by them.

use std::fmt::Write;

use serde_json::{Value, json};

use crate::support::{Answer, Running, shot};

const MAPPING: &str = "/v1/csv-mappings/bay-export";
const SEND: &str = "/v1/shots?mapping=bay-export";
const HEADER: &str = "Shot;When;Club;Carry;Colour\r\n";

/// A service that knows a mapping.
fn start() -> Running {
    let service = Running::start();
    assert_eq!(put(&service, &mapping()).status, 201);
    service
}

fn mapping() -> Value {
    json!({
        "name": "Bay export", "delimiter": ";", "decimal_mark": ",",
        "columns": {"Shot": "/id", "When": "/time", "Club": "/club", "Carry": "/flight/carry_m"},
        "ignored": ["Colour"], "values": {"Club": {"5 Hybrid": "5h", "4 Iron": "4i"}},
        "set": {"source": "bay-3", "player": "rowan", "lie": "mat",
                "launch": {"ball_speed_mps": 51.9, "launch_angle_deg": 16.8, "spin_rate_rpm": 5240}}
    })
}

fn put(service: &Running, mapping: &Value) -> Answer {
    service.send("PUT", MAPPING, &mapping.to_string())
}

fn send(service: &Running, path: &str, file: &str) -> Answer {
    service.send_as("text/csv; charset=utf-8", "POST", path, file.as_bytes())
}

fn row(id: &str) -> String {
    format!("{id};2026-04-11T10:15:04Z;5 Hybrid;158,3;red\r\n")
}

fn items(service: &Running) -> usize {
    service.get("/v1/shots?limit=1000").json()["items"].as_array().unwrap().len()
}

#[test]
fn a_table_is_stored_as_the_shots_that_it_says() {
    let service = start();
    let file = format!("\u{feff}{HEADER}{}{}", row("1"), row("2"));
    let told = send(&service, SEND, &file).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(2), &json!(0)), "{told}");
    let item = service.get("/v1/shots/bay-3/1").json();
    assert_eq!((&item["player"], &item["club"]), (&json!("rowan"), &json!("5h")));
    assert_eq!(item["event"]["flight"]["carry_m"], 158.3);
    let again = send(&service, SEND, &file).json();
    assert_eq!((&again["accepted"], &again["duplicates"]), (&json!(0), &json!(2)));
    assert_eq!(service.send("POST", "/v1/shots", &shot("1")).json()["status"], "duplicate");
}

#[test]
fn rows_are_refused_one_by_one_by_the_line_they_start_on() {
    let service = start();
    let file = format!(
        "{HEADER}{}\r\n\"2\";\"2026-04-11T10:15:04Z\";\"5 Hybrid\";\"158,3\";\"two\r\nlines\"\r\n\
         3;2026-04-11T10:15:04Z;6 Iron;158.3;\r\n4;too;short\r\n{}{}",
        row("1"),
        row("1").replace("158,3", "160"),
        row("5")
    );
    let told = send(&service, SEND, &file).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(3), &json!(3)), "{told}");
    let refusals: Vec<_> = told["refusals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (&it["line"], &it["status"]))
        .collect();
    assert_eq!(
        refusals,
        [(&json!(6), &json!(422)), (&json!(7), &json!(422)), (&json!(8), &json!(409))]
    );
    let faulty = &told["refusals"][0];
    assert_eq!((&faulty["source"], &faulty["id"]), (&json!("bay-3"), &json!("3")));
    assert_eq!(faulty["errors"][0]["pointer"], "/club");
    assert_eq!(faulty["errors"][1]["pointer"], "/flight/carry_m");
    assert!(faulty["errors"][1]["detail"].as_str().unwrap().starts_with("column `Carry`: "));
}

#[test]
fn a_long_table_comes_through_whole() {
    let service = start();
    let mut file = HEADER.to_owned();
    for number in 0..3_000 {
        write!(file, "{}", row(&number.to_string())).unwrap();
    }
    let told = send(&service, SEND, &file).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(3_000), &json!(0)));
    assert_eq!(told["last_sequence"], 3_001, "the mapping was the first");
}

#[test]
fn a_dry_run_shows_the_first_events_and_all_faults_and_stores_nothing() {
    let service = start();
    let mut file = HEADER.to_owned();
    for number in 0..1_200 {
        let bad = number % 100 == 50;
        write!(
            file,
            "{}",
            row(&number.to_string()).replace("158,3", if bad { "?" } else { "158,30" })
        )
        .unwrap();
    }
    let answer = send(&service, &format!("{SEND}&dry_run=true"), &file);
    assert_eq!(answer.status, 200);
    assert!(answer.text().contains("158.30"), "as it would be stored");
    let told = answer.json();
    assert_eq!((&told["rows"], &told["refused"]), (&json!(1_000), &json!(10)));
    assert_eq!(told["events"].as_array().unwrap().len(), 10);
    assert_eq!(
        (&told["events"][0]["line"], &told["events"][0]["event"]["id"]),
        (&json!(2), &json!("0"))
    );
    assert_eq!(told["refusals"][0]["line"], 52);
    assert_eq!(items(&service), 0);
    let short = send(&service, &format!("{SEND}&dry_run=true"), &format!("{HEADER}{}", row("1")));
    assert_eq!(short.json()["rows"], 1);
}

#[test]
fn all_or_nothing_is_for_tables_too() {
    let service = start();
    let path = format!("{SEND}&all_or_nothing=true");
    let bad = format!("{HEADER}{}{}", row("1"), row("2").replace("5 Hybrid", "?"));
    let answer = send(&service, &path, &bad);
    assert_eq!(answer.status, 422);
    assert_eq!(answer.problem()["refusals"][0]["line"], 3);
    assert_eq!(items(&service), 0);
    assert_eq!(send(&service, &path, &format!("{HEADER}{}", row("1"))).json()["accepted"], 1);
}

#[test]
fn a_header_that_does_not_fit_refuses_the_table() {
    let service = start();
    for (file, words) in [
        ("Shot;When;Club;Cary\r\n1;2;3;4\r\n", ["\"Cary\"", "\"Carry\" is not in the header"]),
        ("Shot,When,Club,Carry,Colour\r\n", ["says nothing of", "is not in the header"]),
        ("", ["header", "columns"]),
        ("\u{feff}\r\n\r\n", ["header", "columns"]),
    ] {
        let answer = send(&service, SEND, file);
        assert_eq!(answer.status, 422, "{file}");
        let problem = answer.problem();
        for word in words {
            assert!(
                problem["errors"].to_string().replace("\\\"", "\"").contains(word),
                "{problem}"
            );
        }
        assert_eq!(problem["accepted"], 0);
    }
    assert_eq!(send(&service, SEND, HEADER).json()["accepted"], 0, "a table without rows");
}

#[test]
fn a_table_and_its_mapping_go_together() {
    let service = start();
    let file = format!("{HEADER}{}", row("1"));
    let parameter = |answer: Answer| {
        assert_eq!(answer.status, 422);
        let problem = answer.problem();
        assert_eq!(problem["errors"].as_array().unwrap().len(), 1, "{problem}");
        problem["errors"][0]["parameter"].as_str().unwrap().to_owned()
    };
    assert_eq!(parameter(send(&service, "/v1/shots", &file)), "mapping");
    assert_eq!(parameter(send(&service, "/v1/shots?mapping=other", &file)), "mapping");
    assert_eq!(parameter(service.send("POST", SEND, &shot("1"))), "mapping");
    let ndjson = service.send_as("application/x-ndjson", "POST", SEND, shot("1").as_bytes());
    assert_eq!(parameter(ndjson), "mapping");
    assert_eq!(parameter(service.send("POST", "/v1/shots?dry_run=true", &shot("1"))), "dry_run");
    let latin = service.send_as("text/csv; charset=iso-8859-1", "POST", SEND, file.as_bytes());
    assert_eq!(latin.status, 415);
    assert_eq!(items(&service), 0);
}

#[test]
fn a_mapping_is_a_document_like_others() {
    let service = start();
    let entry = service.get(MAPPING).json();
    assert_eq!((&entry["id"], &entry["as_of"]), (&json!("bay-export"), &json!(1)));
    assert_eq!(entry["columns"], mapping()["columns"]);
    let mut changed = mapping();
    changed["name"] = json!("Bay export, new");
    assert_eq!(put(&service, &changed).status, 200);
    let list = service.get("/v1/csv-mappings").json();
    assert_eq!((&list["items"][0]["name"], &list["as_of"]), (&json!("Bay export, new"), &json!(2)));
    let mut bare = mapping();
    bare["columns"]["Carry"] = json!("/flight/carry");
    let answer = put(&service, &bare);
    assert_eq!(answer.problem()["errors"][0]["pointer"], "/columns/Carry");
    let delete = |service: &Running| {
        service.ask(format!("DELETE {MAPPING} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes())
    };
    assert_eq!(delete(&service).status, 204);
    assert_eq!(delete(&service).status, 404);
    assert_eq!(service.get(MAPPING).status, 404);
    assert_eq!(put(&service, &mapping()).status, 201);
}

#[test]
fn what_cannot_be_read_of_a_table_is_one_row() {
    let service = start();
    let mut file = format!("{HEADER}{}", row("1")).into_bytes();
    file.extend_from_slice(format!("2;{};;;\r\n", "x".repeat(70_000)).as_bytes());
    file.extend_from_slice(b"3;\xff;;;\r\n");
    file.extend_from_slice(row("4").as_bytes());
    file.extend_from_slice(b"5;\"2026");
    let told = service.send_as("text/csv", "POST", SEND, &file).json();
    assert_eq!((&told["accepted"], &told["refused"]), (&json!(2), &json!(3)), "{told}");
    let statuses: Vec<_> = told["refusals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (&it["line"], &it["status"]))
        .collect();
    assert_eq!(
        statuses,
        [(&json!(3), &json!(413)), (&json!(4), &json!(400)), (&json!(6), &json!(422))]
    );
}

#[test]
fn a_table_that_breaks_off_keeps_its_whole_rows_and_says_so() {
    let service = start();
    let file = format!("{HEADER}{}{}3;2026-04-11T1", row("1"), row("2"));
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut encoder, file.as_bytes()).unwrap();
    let mut body = encoder.finish().unwrap();
    body.truncate(body.len() - 4);
    let head = format!(
        "POST {SEND} HTTP/1.1\r\nHost: localhost\r\nContent-Type: text/csv\r\n\
         Content-Encoding: gzip\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    let answer = service.ask(&[head.as_bytes(), &body].concat());
    assert_eq!(answer.status, 400);
    let problem = answer.problem();
    assert_eq!((&problem["accepted"], &problem["last_line"]), (&json!(2), &json!(3)));
    assert_eq!(items(&service), 2);
}

#[test]
fn a_mapping_comes_back_as_it_was_put() {
    let service = Running::start();
    let mut mapping = mapping();
    mapping["columns"].as_object_mut().unwrap().remove("Shot");
    mapping["ignored"] = json!(["Colour", "Shot"]);
    mapping["row_id"] = json!({"prefix": "april", "row": true});
    assert_eq!(put(&service, &mapping).status, 201);
    let answer = service.get(MAPPING);
    let names = answer.text().matches("\"id\":").count();
    assert_eq!(names, 1, "its own id and no other: {}", answer.text());
    let mut entry = answer.json();
    for told in ["id", "as_of"] {
        entry.as_object_mut().unwrap().remove(told);
    }
    assert_eq!(entry, mapping);
}
