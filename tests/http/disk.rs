//! A disk that fails: writes are refused with a cause, reads go on.

use std::sync::{Arc, atomic::Ordering};

use crate::support::{
    Running,
    failing_disk::{Failures, home},
    shot,
};

#[test]
fn after_a_failed_sync_writes_are_refused_and_reads_go_on() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |_| {});
    assert_eq!(service.send("POST", "/v1/shots", &shot("1")).status, 201);
    assert_eq!(service.get("/readyz").status, 200);

    failures.syncs.store(true, Ordering::SeqCst);
    let refused = service.send("POST", "/v1/shots", &shot("2"));
    assert_eq!(refused.status, 503);
    assert!(refused.header("retry-after").unwrap().parse::<u64>().unwrap() > 0);
    refused.problem();

    // A sync that failed once is not trusted again, though the disk answers.
    failures.syncs.store(false, Ordering::SeqCst);
    assert_eq!(service.send("PATCH", "/v1/shots/bay-3/1", r#"{"club":"x"}"#).status, 503);
    assert_eq!(service.send("PUT", "/v1/players/robin", r#"{"name":"Robin"}"#).status, 503);
    let not_ready = service.get("/readyz");
    assert_eq!(not_ready.status, 503);
    assert_eq!(not_ready.problem()["takes_writes"], false);
    let cause = not_ready.problem()["detail"].as_str().unwrap().to_owned();
    assert!(cause.contains("the disk does not answer"), "{cause}");

    assert_eq!(service.get("/healthz").status, 200);
    let page = service.get("/v1/shots").json();
    assert_eq!(page["items"].as_array().unwrap().len(), 1, "what is not durable is not shown");
    assert_eq!(service.get("/v1/players/rowan/clubs/5h/profile").status, 200);
}

#[test]
fn a_stream_says_how_far_it_came_before_the_disk_failed() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |service| service.limits.group_shots = 2);
    failures.syncs.store(true, Ordering::SeqCst);
    let answer = service.stream(&format!("{}\n{}\n{}\n", shot("1"), shot("2"), shot("3")));
    assert_eq!(answer.status, 503);
    let problem = answer.problem();
    assert_eq!(problem["accepted"], 0);
    assert_eq!(problem["last_line"], 0);
    assert!(answer.header("retry-after").is_some());
}

#[test]
fn a_full_disk_is_taken_up_again_when_there_is_room() {
    let failures = Arc::new(Failures::default());
    let service = Running::at_home(home(&failures), |_| {});
    assert_eq!(service.send("POST", "/v1/shots", &shot("1")).status, 201);
    failures.room.store(true, Ordering::SeqCst);
    // An array is one group: nothing smaller finds room behind the one that found none.
    let large: Vec<String> =
        (0..1_000).map(|n| shot(&format!("{n:04}-{}", "x".repeat(90)))).collect();
    let large = format!("[{}]", large.join(","));
    let mut round = 0;
    let refused = loop {
        let body = large.replace("bay-3", &format!("bay-{round}"));
        let answer = service.send("POST", "/v1/shots", &body);
        if answer.status != 200 {
            break answer;
        }
        round += 1;
        assert!(round < 1_000, "the disk never fills");
    };
    assert_eq!(refused.status, 503);
    assert_eq!(service.get("/readyz").status, 503);
    failures.room.store(false, Ordering::SeqCst);
    assert_eq!(service.send("POST", "/v1/shots", &shot("later")).status, 201);
    assert_eq!(service.get("/readyz").status, 200);
}

#[test]
fn an_import_that_finds_no_room_half_way_says_what_is_stored_and_what_to_do() {
    let service = Running::start();
    let lines: Vec<String> = (0..100).map(|n| shot(&n.to_string())).collect();
    service.stream(&lines.join("\n"));
    let archive = service.get("/v1/export").body;
    let failures = Arc::new(Failures::default());
    let other = Running::at_home(home(&failures), |_| {});
    failures.room.store(true, Ordering::SeqCst);
    let refused = other.send_as("application/x-ndjson", "POST", "/v1/import", &archive);
    assert_eq!(refused.status, 503);
    let detail = refused.problem()["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("received whole") && detail.contains("restart"), "{detail}");
    assert_eq!(refused.header("retry-after"), None, "sending it again does not help");
    let cause = other.get("/readyz").problem()["detail"].as_str().unwrap().to_owned();
    assert!(cause.contains("import is unfinished"), "{cause}");
}
