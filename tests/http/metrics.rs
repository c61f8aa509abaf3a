//! `/metrics`: what a scraper reads, and that it is true.

#![allow(clippy::float_cmp, clippy::cast_precision_loss)] // what is compared was counted

use std::sync::{Arc, atomic::Ordering::SeqCst};

use evencarry::store::Home;

use crate::{
    exposition::Exposition,
    support::{
        Answer, Connection, Running, clock,
        failing_disk::{Failures, home},
        shot, shot_with, wait_until,
    },
};

fn ask(service: &Running, accept: &str) -> Answer {
    let request = format!("GET /metrics HTTP/1.1\r\nHost: localhost\r\nAccept: {accept}\r\n\r\n");
    service.ask(request.as_bytes())
}

fn figures(service: &Running) -> Exposition {
    let answer = service.get("/metrics");
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("content-type"), Some("text/plain; version=0.0.4; charset=utf-8"));
    Exposition::parse(answer.text())
}

/// A bit of everything.
fn use_it(service: &Running) {
    service.send("POST", "/v1/shots", &shot("1"));
    service.send("POST", "/v1/shots", "nonsense");
    service.stream(&format!("{}\n{}\n{{}}\n", shot("1"), shot("2")));
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    service.send("PATCH", "/v1/shots/bay-3/1", r#"{"club":"4i"}"#);
    service.get("/v1/players/rowan/clubs/5h/profile");
    service.get("/v1/players/nobody/ladder");
    service.get("/nowhere/rowan");
    service.send("BREW", "/v1/shots", "");
}

#[test]
fn the_page_keeps_the_rules_of_its_format_and_of_names() {
    let service = Running::start();
    use_it(&service);
    let page = figures(&service);
    assert!(page.0.len() > 20, "{:?}", page.0.keys());
    for (name, family) in &page.0 {
        assert!(name.starts_with("evencarry_") || name.starts_with("process_"), "{name}");
        assert_eq!(family.kind == "counter", name.ends_with("_total"), "{name}");
        // Base units only: <https://prometheus.io/docs/practices/naming/>.
        for wrong in ["_ms", "_micros", "_nanos", "_kb", "_mb", "_percent"] {
            assert!(!name.contains(wrong), "{name}");
        }
    }
}

#[test]
fn no_name_of_a_person_a_club_or_a_source_is_on_the_page() {
    let service = Running::start();
    use_it(&service);
    for accept in ["text/plain", "application/openmetrics-text"] {
        let page = ask(&service, accept).text().to_lowercase();
        for name in ["rowan", "nobody", "bay-3", "5h", "4i", "brew"] {
            assert!(!page.contains(name), "{name}");
        }
    }
}

#[test]
fn a_scraper_gets_the_form_it_likes_best() {
    let service = Running::start();
    // What a scraper of Prometheus 2 and 3 sends.
    for liked in [
        "application/openmetrics-text;version=1.0.0,application/openmetrics-text;version=0.0.1;q=0.75,text/plain;version=0.0.4;q=0.5,*/*;q=0.1",
        "application/openmetrics-text;version=1.0.0;escaping=allow-utf-8;q=0.6,application/openmetrics-text;version=0.0.1;q=0.5,text/plain;version=1.0.0;escaping=allow-utf-8;q=0.4,text/plain;version=0.0.4;q=0.3,*/*;q=0.2",
    ] {
        let answer = ask(&service, liked);
        assert_eq!(answer.status, 200);
        assert_eq!(
            answer.header("content-type"),
            Some("application/openmetrics-text; version=1.0.0; charset=utf-8")
        );
        assert!(answer.text().ends_with("# EOF\n"));
        assert!(answer.text().contains("# UNIT evencarry_commit_duration_seconds seconds\n"));
    }
    for plain in ["*/*", "text/plain", "text/html,application/xhtml+xml,*/*;q=0.8"] {
        let answer = ask(&service, plain);
        Exposition::parse(answer.text());
    }
    assert_eq!(ask(&service, "application/json").status, 406);
    assert_eq!(service.get("/metrics?x=1").status, 422);
}

#[test]
fn shots_and_acts_are_counted_exactly() {
    let service = Running::start();
    let unassigned = shot("u").replace(r#""player":"rowan","#, "");
    service.send("POST", "/v1/shots", &shot("1"));
    service.send("POST", "/v1/shots", &shot("1"));
    service.send("POST", "/v1/shots", &shot_with("1", 1.0));
    service.send("POST", "/v1/shots", "{}");
    service.send("POST", "/v1/shots", "{");
    let long = "x".repeat(70_000);
    let lines = [&shot("2"), &shot("1"), &unassigned, "{", "{}", &shot_with("2", 1.0), &long];
    service.stream(&lines.join("\n"));
    service.send("POST", "/v1/shots", &format!("[{},7]", shot("3")));
    let all = "/v1/shots?all_or_nothing=true";
    service.send("POST", all, &format!("[{},7]", shot("4")));
    service.send("POST", all, &format!("[{},{}]", shot("5"), shot("5")));
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    service.send("PUT", "/v1/balls/b", r#"{"name":"B"}"#);
    service.send("PATCH", "/v1/shots/bay-3/1", r#"{"club":"4i"}"#);
    service.send("PATCH", "/v1/shots/bay-3/none", r#"{"club":"4i"}"#);
    let page = figures(&service);
    let count = |name: &str, labels: &[(&str, &str)]| page.value(name, labels);
    assert_eq!(count("evencarry_shots_stored_total", &[]), 5.0);
    assert_eq!(count("evencarry_shots_duplicate_total", &[]), 3.0);
    assert_eq!(count("evencarry_shots_unassigned_total", &[]), 1.0);
    for (status, refused) in [("400", 2.0), ("409", 2.0), ("413", 1.0), ("422", 4.0)] {
        assert_eq!(count("evencarry_shots_refused_total", &[("status", status)]), refused);
    }
    assert_eq!(count("evencarry_acts_total", &[("kind", "put")]), 2.0);
    assert_eq!(count("evencarry_acts_total", &[("kind", "correct")]), 1.0);
    assert_eq!(count("evencarry_last_sequence", &[]), 8.0);
    assert_eq!(count("evencarry_rows_in_memory", &[]), 5.0);
    // Every frame went through a group, and each group through one sync.
    assert_eq!(count("evencarry_commit_frames_sum", &[]), 8.0);
    let groups = count("evencarry_commit_frames_count", &[]);
    assert!((4.0..=8.0).contains(&groups), "{groups}");
    assert_eq!(count("evencarry_commit_duration_seconds_count", &[]), groups);
    assert_eq!(count("evencarry_store_state", &[("state", "accepting")]), 1.0);
    assert_eq!(count("evencarry_store_state", &[]), 1.0);
    assert_eq!(count("evencarry_table_lag_frames", &[]), 8.0);
    // The room of a shot is given back with its answer, or a moment later.
    wait_until("the queue is empty", || {
        figures(&service).value("evencarry_queue_bytes", &[]) == 0.0
    });
}

#[test]
fn a_disk_that_is_full_or_fails_is_told() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |_| {});
    let holds = |state: &str| {
        let page = figures(&service);
        assert_eq!(page.value("evencarry_store_state", &[]), 1.0, "one state holds");
        page.value("evencarry_store_state", &[("state", state)]) == 1.0
    };
    assert!(holds("accepting"));
    failures.room.store(true, SeqCst);
    // Room is taken in steps: some shots fit into the last one.
    let stored = (0..100_000).take_while(|n| {
        service.send("POST", "/v1/shots", &format!("[{}]", large(*n))).status == 200
    });
    let stored = stored.count();
    assert!(holds("full"));
    failures.room.store(false, SeqCst);
    assert_eq!(service.send("POST", "/v1/shots", &shot("more")).status, 201);
    assert!(holds("accepting"));
    failures.syncs.store(true, SeqCst);
    assert_eq!(service.send("POST", "/v1/shots", &shot("none")).status, 503);
    assert!(holds("refusing"));
    let page = figures(&service);
    assert_eq!(page.value("evencarry_shots_stored_total", &[]), stored as f64 + 1.0);
    assert_eq!(page.value("evencarry_shots_refused_total", &[]), 0.0, "a failure is no refusal");
    let failed = page.value("evencarry_http_requests_total", &[("status", "5xx")]);
    assert_eq!(failed, 2.0);
    assert_eq!(page.value("evencarry_http_problems_total", &[("type", "unavailable")]), 2.0);
}

/// A shot of 15 KiB.
fn large(number: usize) -> String {
    let padding = "x".repeat(15 * 1024);
    shot(&format!("large-{number}"))
        .replace("\"lie\"", &format!("\"ext\":{{\"a\":\"{padding}\"}},\"lie\""))
}

#[test]
fn requests_are_counted_by_pattern_method_and_class() {
    let service = Running::start();
    service.send("POST", "/v1/shots", &shot("1"));
    service.send("POST", "/v1/shots", "{}");
    for club in ["5h", "5h", "none"] {
        service.get(&format!("/v1/players/rowan/clubs/{club}/profile"));
    }
    let mut head = service.connect();
    head.send(b"HEAD /v1/shots HTTP/1.1\r\nHost: localhost\r\n\r\n");
    head.head_answer();
    service.ask(b"GET /v1/shots HTTP/1.1\r\nHost: localhost\r\nAccept: image/png\r\n\r\n");
    service.get("/nowhere");
    service.send("PUT", "/v1/shots", "");
    service.ask(b"GET /v1/shots HTTP/1.1\r\nHost: evil.example\r\n\r\n");
    let page = figures(&service);
    let profile = "/v1/players/{player}/clubs/{club}/profile";
    for (route, method, status, requests) in [
        ("/v1/shots", "POST", "2xx", 1.0),
        ("/v1/shots", "POST", "4xx", 1.0),
        ("/v1/shots", "POST", "5xx", 0.0),
        ("/v1/shots", "GET", "2xx", 1.0),
        ("/v1/shots", "GET", "4xx", 1.0),
        (profile, "GET", "2xx", 2.0),
        (profile, "GET", "4xx", 1.0),
        ("none", "any", "4xx", 3.0),
        ("/metrics", "GET", "2xx", 0.0),
    ] {
        let labels = [("route", route), ("method", method), ("status", status)];
        assert_eq!(page.value("evencarry_http_requests_total", &labels), requests, "{labels:?}");
    }
    let timed = "evencarry_http_request_duration_seconds";
    let of_profile = [("route", profile), ("method", "GET")];
    assert_eq!(page.value(&format!("{timed}_count"), &of_profile), 3.0);
    let took = page.value(&format!("{timed}_sum"), &of_profile);
    assert!(took > 0.0 && took < 60.0, "{took}");
    for (kind, problems) in [
        ("invalid", 1.0),
        ("not-found", 2.0),
        ("not-acceptable", 1.0),
        ("method-not-allowed", 1.0),
        ("misdirected", 1.0),
        ("internal", 0.0),
    ] {
        let told = page.value("evencarry_http_problems_total", &[("type", kind)]);
        assert_eq!(told, problems, "{kind}");
    }
    let again = figures(&service);
    let own = [("route", "/metrics"), ("status", "2xx")];
    assert_eq!(again.value("evencarry_http_requests_total", &own), 1.0);
}

#[test]
fn what_is_open_and_under_way_is_told() {
    let service = Running::start();
    let mut waiting: Vec<Connection> = (0..3).map(|_| service.connect()).collect();
    for connection in &mut waiting {
        // A body that is still to come: the request is in flight until then.
        connection.send(
            b"POST /v1/shots HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n",
        );
    }
    let gauge = |name: &str| figures(&service).value(name, &[]);
    // The question itself is one more of each.
    wait_until("three are under way", || gauge("evencarry_http_requests_in_flight") == 4.0);
    assert!(gauge("evencarry_http_connections") >= 4.0);
    for connection in &mut waiting {
        connection.send(b"{}");
        assert_eq!(connection.answer().status, 422);
    }
    assert_eq!(gauge("evencarry_http_requests_in_flight"), 1.0);
    drop(waiting);
    wait_until("they are gone", || gauge("evencarry_http_connections") == 1.0);
}

#[test]
fn a_restart_counts_anew_and_tells_of_the_table_it_made() {
    let folder = tempfile::tempdir().unwrap();
    let at_folder = || Home::in_folder(folder.path(), clock()).unwrap();
    let mut first = Running::at_home(at_folder(), |_| {});
    first.send("POST", "/v1/shots", &shot("1").replace(r#""player":"rowan","#, ""));
    assert_eq!(figures(&first).value("evencarry_table_rebuilds_total", &[]), 0.0);
    first.tell_to_stop();
    first.wait();
    drop(first.store.clone().close());
    drop(first);
    let sled = folder.path().join("sled");
    wait_until("the folder is free", || std::fs::remove_dir_all(&sled).is_ok() || !sled.exists());
    let again = Running::at_home(at_folder(), |_| {});
    let page = figures(&again);
    assert_eq!(page.value("evencarry_table_rebuilds_total", &[]), 1.0);
    assert_eq!(page.value("evencarry_last_sequence", &[]), 1.0);
    assert_eq!(page.value("evencarry_table_lag_frames", &[]), 0.0);
    assert_eq!(page.value("evencarry_shots_stored_total", &[]), 0.0, "a replay is no news");
    assert_eq!(page.value("evencarry_shots_unassigned_total", &[]), 0.0);
}

#[test]
fn the_release_is_told() {
    let page = figures(&Running::start());
    let version = env!("CARGO_PKG_VERSION");
    assert_eq!(page.value("evencarry_build_info", &[("version", version)]), 1.0);
}

#[cfg(target_os = "linux")]
#[test]
fn the_process_is_told_of() {
    let page = figures(&Running::start());
    assert!(page.value("process_resident_memory_bytes", &[]) > 1e6);
    assert!(page.value("process_open_fds", &[]) > 3.0);
    assert!(page.value("process_max_fds", &[]) > page.value("process_open_fds", &[]));
    assert!(page.value("process_start_time_seconds", &[]) > 1.7e9);
    assert!(page.value("process_cpu_seconds_total", &[]) > 0.0);
}

#[test]
fn a_problem_has_an_id_of_its_own_and_a_success_needs_none() {
    let service = Running::start();
    let ids = ["/nowhere", "/v1/players/none", "/v1/shots?x=1"]
        .map(|path| service.get(path).header("x-request-id").unwrap().to_owned());
    assert!(ids[0] != ids[1] && ids[1] != ids[2], "{ids:?}");
    assert_eq!(service.get("/healthz").header("x-request-id"), None);
}
