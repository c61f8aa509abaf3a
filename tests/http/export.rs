//! Export and import over HTTP: what comes in again answers as it did.

use serde_json::{Value, json};

use crate::support::{Answer, Running, shot, shot_with};

fn import(service: &Running, archive: &[u8]) -> Answer {
    service.send_as("application/x-ndjson", "POST", "/v1/import", archive)
}

fn delete(service: &Running, path: &str) {
    let answer =
        service.ask(format!("DELETE {path} HTTP/1.1\r\nHost: localhost\r\n\r\n").as_bytes());
    assert_eq!(answer.status, 204, "{path}");
}

/// A history with something of everything, up to erasures and a retirement.
fn history(service: &Running) {
    let put =
        |path: &str, body: &str| assert!(service.send("PUT", path, body).status < 300, "{path}");
    let patch = |id: &str, body: &str| {
        assert_eq!(
            service.send("PATCH", &format!("/v1/shots/bay-3/{id}"), body).status,
            200,
            "{id} {body}"
        );
    };
    put("/v1/players/rowan", r#"{"name":"Rowan","hand":"left"}"#);
    put(
        "/v1/players/rowan/clubs/5h",
        r#"{"name":"Five","loft_deg":25,"builds":[{"from":"2026-04-03","what":"bent"}]}"#,
    );
    put("/v1/players/rowan/bags/b", r#"{"name":"B","clubs":["5h"]}"#);
    put("/v1/balls/range-b", r#"{"name":"Range","kind":"range"}"#);
    put("/v1/sources/bay-3", r#"{"name":"Bay 3","place":"indoor","ball":"range-b"}"#);
    let lines: Vec<String> = (0..80_u32)
        .map(|number| {
            let club = ["5h", "4u", "7i"][number as usize % 3];
            let player = if number % 5 == 4 { "marit" } else { "rowan" };
            shot_with(&number.to_string(), 150.0 + f64::from(number * 7 % 13))
                .replace("5h", club)
                .replace("rowan", player)
                .replace("T10:15", &format!("T{:02}:{:02}", 8 + number / 40, number % 40))
                .replace("2026-04-11", &format!("2026-04-{:02}", 1 + number / 16))
        })
        .collect();
    assert_eq!(service.stream(&lines.join("\n")).json()["accepted"], 80);
    put("/v1/sources/bay-3/context", r#"{"player":"marit","club":"9i","lie":"tee"}"#);
    let bare = |id: &str| shot(id).replace(r#""player":"rowan","club":"5h","lie":"mat","#, "");
    service.stream(&[bare("inherits"), shot("a").replace("bay-3", "bay-4")].join("\n"));
    put("/v1/sources/bay-3/context", "{}");
    service.send("POST", "/v1/shots", "{\n \"id\": \"pretty\", \"source\": \"bay-3\",\n \"time\": \"2026-04-11T10:15:04.50Z\", \"flight\": {\"carry_m\": 1.50e2}, \"ext\": {\"note\": \"a\\nb\"}}\n");
    service.send("POST", "/v1/shots", &bare("waits").replace("2026-04-11", "2026-03-01"));
    patch("7", r#"{"set_aside":{"reason":"phone rang"}}"#);
    patch("8", r#"{"club":"2h","lie":"sand","ball":"other"}"#);
    patch("9", r#"{"player":"rowan"}"#);
    let assign = json!({"filter": {"source": "bay-3", "unassigned": true}, "set": {"player": "rowan", "club": "5h"}});
    assert_eq!(service.send("POST", "/v1/assignments", &assign.to_string()).json()["matched"], 2);
    delete(service, "/v1/shots/bay-3/0");
    delete(service, "/v1/shots/bay-3/8");
    let retire = json!({"filter": {"player": "rowan", "to": "2026-04-02T00:00:00Z"}});
    assert!(
        service.send("POST", "/v1/retirements", &retire.to_string()).json()["changed"].as_u64()
            > Some(3)
    );
}

const GETS: [&str; 24] = [
    "/readyz",
    "/v1/players",
    "/v1/players/rowan",
    "/v1/players/marit",
    "/v1/players/rowan/clubs",
    "/v1/players/marit/clubs",
    "/v1/players/rowan/bags",
    "/v1/balls",
    "/v1/sources",
    "/v1/sources/bay-3/context",
    "/v1/shots?limit=1000",
    "/v1/shots?order=newest&limit=7",
    "/v1/shots?player=rowan&flag=mishit",
    "/v1/shots?flag=late",
    "/v1/shots/bay-3/pretty",
    "/v1/shots/bay-3/0",
    "/v1/shots/bay-3/3",
    "/v1/players/rowan/clubs/5h/profile",
    "/v1/players/rowan/clubs/5h/profile?lie=mat&from=2026-04-03",
    "/v1/players/rowan/ladder",
    "/v1/players/rowan/ladder?bag=b",
    "/v1/players/rowan/comparisons?incumbent=5h&candidate=4u",
    "/v1/players/rowan/replacements?incumbent=5h&must_carry_m=150",
    "/v1/players/rowan/replacements?incumbent=5h&candidate=4u&slot_low_m=150&slot_high_m=160",
];

fn answers(service: &Running) -> Vec<(u16, String)> {
    GETS.iter().map(|path| service.get(path)).map(|a| (a.status, a.text().to_owned())).collect()
}

fn lines(archive: &str) -> Vec<Value> {
    archive.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn after_an_import_every_answer_is_the_same_to_the_byte() {
    let service = Running::start();
    history(&service);
    let archive = service.get("/v1/export");
    assert_eq!(archive.header("content-type"), Some("application/x-ndjson"));
    let archive = archive.text().to_owned();
    let other = Running::start();
    let taken = import(&other, archive.as_bytes());
    assert_eq!(taken.status, 200, "{}", taken.text());
    assert_eq!(taken.json()["as_of"], service.store.last().get());
    for ((here, there), path) in answers(&service).iter().zip(answers(&other)).zip(GETS) {
        assert_eq!(*here, there, "{path}");
    }
    for (mine, yours) in lines(&archive).iter().zip(lines(other.get("/v1/export").text())) {
        if mine["head"].is_null() && mine["end"].is_null() {
            assert_eq!(*mine, yours, "what was imported is exported the same");
        }
    }
    for again in [shot("0"), shot_with("8", 1.0), shot("3"), shot("new")] {
        let [here, there] = [&service, &other].map(|one| one.send("POST", "/v1/shots", &again));
        assert_eq!((here.status, here.json()), (there.status, there.json()), "{again}");
    }
}

#[test]
fn what_was_erased_or_retired_is_in_no_export() {
    let service = Running::start();
    history(&service);
    let secret = shot("secret").replace(r#""lie":"mat""#, r#""ext":{"note":"very private"}"#);
    service.stream(
        &[secret.clone(), secret.replace("\"secret\"", "\"other\"").replace("rowan", "zoe")]
            .join("\n"),
    );
    service.send("PUT", "/v1/players/zoe", r#"{"name":"Zoe Z."}"#);
    service.send("PUT", "/v1/players/zoe/clubs/5h", r#"{"name":"private club"}"#);
    service.send("PUT", "/v1/sources/bay-3/context", r#"{"player":"zoe","lie":"mat"}"#);
    service.send("PATCH", "/v1/shots/bay-3/42", r#"{"player":"zoe"}"#);
    service.send("PATCH", "/v1/shots/bay-3/42", r#"{"player":"rowan"}"#);
    assert!(service.get("/v1/export").text().contains("very private"));
    delete(&service, "/v1/shots/bay-3/secret");
    delete(&service, "/v1/players/zoe?shots=erase");
    let archive = service.get("/v1/export").text().to_owned();
    for gone in ["very private", "private club", "zoe", "Zoe", "\"secret\"", "\"id\":\"3\""] {
        assert!(!archive.contains(gone), "{gone}");
    }
    let other = Running::start();
    assert_eq!(import(&other, archive.as_bytes()).status, 200);
    assert_eq!(other.get("/v1/players/zoe").status, 410);
    assert_eq!(other.get("/v1/shots/bay-3/other").status, 410);
    assert_eq!(other.send("POST", "/v1/shots", &secret).json()["status"], "duplicate");
    assert_eq!(other.get("/v1/shots/bay-3/42").json()["player"], "rowan");
    for ((here, there), path) in answers(&service).iter().zip(answers(&other)).zip(GETS) {
        assert_eq!(*here, there, "{path}");
    }
}

#[test]
fn one_players_export_holds_the_player_and_nobody_else() {
    let service = Running::start();
    history(&service);
    let archive = service.get("/v1/export?player=rowan").text().to_owned();
    assert!(!archive.contains("marit"), "{archive}");
    let other = Running::start();
    let taken = import(&other, archive.as_bytes());
    assert_eq!(taken.status, 200, "{}", taken.text());
    for path in GETS.iter().filter(|path| path.starts_with("/v1/players/rowan")) {
        assert_eq!(other.get(path).text(), service.get(path).text(), "{path}");
    }
    assert_eq!(other.get("/v1/players/marit").status, 404);
    assert_eq!(service.get("/v1/export?player=nobody").status, 422);
}

#[test]
fn who_was_erased_and_put_anew_is_so_after_an_import_too() {
    let service = Running::start();
    service.stream(&[shot("1"), shot("2").replace("rowan", "marit")].join("\n"));
    delete(&service, "/v1/players/rowan?shots=erase");
    // One waits for good, one is assigned later, one is the player's from the start.
    service.stream(&[shot("waits"), shot("assigned")].join("\n"));
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    service.send("POST", "/v1/shots", &shot("after"));
    let assign = json!({"filter": {"source": "bay-3", "id": "assigned"}, "set": {"player": "rowan", "club": "4i"}});
    assert_eq!(service.send("POST", "/v1/assignments", &assign.to_string()).json()["changed"], 1);
    // Another's shot, sent before the erasure, is the player's when its content goes.
    service.send("PATCH", "/v1/shots/bay-3/2", r#"{"player":"rowan"}"#);
    let retire = json!({"filter": {"source": "bay-3", "id": "2"}}).to_string();
    assert_eq!(service.send("POST", "/v1/retirements", &retire).json()["changed"], 1);
    let all = ["/v1/players", "/v1/shots", "/v1/players/rowan/clubs", "/v1/players/rowan/ladder"];
    let own = [
        "/v1/players/rowan",
        "/v1/players/rowan/ladder",
        "/v1/shots?player=rowan",
        "/v1/players/rowan/clubs/4i/profile",
        "/v1/players/rowan/clubs/5h/profile",
    ];
    for (export, paths) in [("/v1/export", &all[..]), ("/v1/export?player=rowan", &own[..])] {
        let other = Running::start();
        let taken = import(&other, &service.get(export).body);
        assert_eq!(taken.status, 200, "{}", taken.text());
        for path in paths {
            assert_eq!(other.get(path).text(), service.get(path).text(), "{export}: {path}");
        }
        let lifted = r#"{"player":null,"club":null}"#;
        let waits = other.send("PATCH", "/v1/shots/bay-3/assigned", lifted).json();
        assert_eq!(
            waits["player"],
            json!(null),
            "{export}: what was sent under the name waits again"
        );
    }
}

#[test]
fn a_cut_or_changed_export_stores_nothing() {
    let service = Running::start();
    history(&service);
    let archive = service.get("/v1/export").text().to_owned();
    let all: Vec<&str> = archive.lines().collect();
    let without = |at: usize| {
        let kept = all.iter().enumerate().filter(|(number, _)| *number != at);
        kept.map(|(_, line)| *line).collect::<Vec<_>>().join("\n")
    };
    let other = Running::start();
    let changed = archive.replacen("\"carry_m\":15", "\"carry_m\":16", 1);
    assert_ne!(changed, archive);
    for (broken, says) in [
        (String::new(), "head"),
        (all[1..].join("\n"), "head"),
        (all[..all.len() - 1].join("\n"), "cut off"),
        (without(9), "is due"),
        (without(all.len() - 2), "counts or hash"),
        (changed, "counts or hash"),
        (archive.replacen("export.v1", "export.v2", 1), "export.v2"),
        (archive.replacen("\"act\":", "\"deed\":", 1), "line "),
        (format!("{archive}{}", all[1]), "follows"),
        (archive.replacen('{', "[", 1), "head"),
    ] {
        let refused = import(&other, broken.as_bytes());
        assert_eq!(refused.status, 422, "{says}");
        let detail = refused.problem()["detail"].as_str().unwrap().to_owned();
        assert!(detail.contains(says), "{detail}");
        assert_eq!(other.store.last().get(), 0);
    }
    assert_eq!(import(&other, archive.as_bytes()).status, 200, "a whole one is taken afterwards");
    let again = import(&other, archive.as_bytes());
    assert_eq!(again.status, 409, "{}", again.text());
}

#[test]
fn an_import_into_a_store_that_holds_anything_is_refused() {
    let service = Running::start();
    service.send("PUT", "/v1/players/rowan", r#"{"name":"Rowan"}"#);
    let archive = Running::start().get("/v1/export").text().to_owned();
    assert_eq!(lines(&archive).len(), 2, "a head and an end");
    assert_eq!(import(&service, archive.as_bytes()).status, 409);
    assert_eq!(service.send("POST", "/v1/import", &archive).status, 415);
}
